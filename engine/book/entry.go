// Package book is the record: entries that are written once and never changed,
// and the fold that makes builds of them. Merge is set union; the same entries
// in any order, any number of times, give the same build.
package book

import "encoding/json"

// Entry is one thing that happened on one device.
type Entry struct {
	ID     string          `json:"id"`     // UUIDv7
	Device string          `json:"device"` // UUID of the device
	Seq    uint64          `json:"seq"`    // 1, 2, 3 ... without gaps per device
	Clock  Clock           `json:"clock"`
	Build  string          `json:"build"` // UUID of the build
	Kind   string          `json:"kind"`
	Body   json.RawMessage `json:"body"`
}

// Clock is a hybrid logical clock: milliseconds since 1970 and a counter. It
// never runs backwards on a device and is later than every entry the device
// had seen.
type Clock struct {
	MS  int64  `json:"ms"`
	Ctr uint32 `json:"ctr"`
}

// Kinds of entry. A kind that this version does not know is kept and passed on.
const (
	KindSet       = "set"       // SetBody
	KindReading   = "reading"   // ReadingBody
	KindStop      = "stop"      // StopBody
	KindStrike    = "strike"    // StrikeBody
	KindUnstrike  = "unstrike"  // TargetBody
	KindCorrect   = "correct"   // CorrectBody
	KindUncorrect = "uncorrect" // TargetBody
	KindBite      = "bite"      // BiteBody
)

// SetBody sets one field. Path is one of
//
//	number, name, note, demo, state, moves (the whole list)
//	engine.<key> with the build file's keys; likewise wheel, targets,
//	moves_allowed, limits and rules; targets stand in the order in which each
//	was first set, those named in targets.order before them
//	windows/<window id>.<key>, passes/<pass id>.<key>
//	extra.<key> and the like for fields unknown to this version
//
// The first set below a window or pass id makes it. "removed": true takes it
// out of the build without losing it; a window's "place" is where it stands
// among the windows, from 1; "targets.order" is a text of keys with spaces
// between. Base is the ID of the entry whose value
// was on screen when this one was set ("" when there was none); Over holds the
// IDs of the other values when a conflict was on screen. A set replaces what
// it names and nothing else: two sets that don't know of each other, with
// different values, are a conflict. The later clock is used and both are shown
// until a set names both (Folded.Heads gives what to name); of two orders the
// later is used and nobody is asked.
type SetBody struct {
	Path  string          `json:"path"`
	Value json.RawMessage `json:"value"`
	Base  string          `json:"base,omitempty"`
	Over  []string        `json:"over,omitempty"`
}

// ReadingBody is one reading; the reading's ID is the entry's.
type ReadingBody struct {
	Pass    string          `json:"pass"`   // pass ID
	Window  string          `json:"window"` // window ID
	Event   string          `json:"event"`
	Value   json.RawMessage `json:"value"` // as in the build file
	Method  string          `json:"method,omitempty"`
	Feeler  json.RawMessage `json:"feeler_mm,omitempty"`
	Side    string          `json:"side,omitempty"`
	Quarter int             `json:"quarter,omitempty"`
	At      string          `json:"at,omitempty"`
	Device  *string         `json:"device,omitempty"` // of an imported reading: what its file said; nil: the entry's device
	Extra   json.RawMessage `json:"extra,omitempty"`  // object of unknown fields of an imported reading
}

// StopBody is one reading against the stop; two with one Check make a pair.
type StopBody struct {
	Pass   string          `json:"pass"`
	Check  string          `json:"check"` // ID shared by the pair
	When   string          `json:"when"`  // before, after
	Near   string          `json:"near"`  // tdc, bdc
	Way    string          `json:"way"`   // "running" (first) or "back" (second)
	Value  float64         `json:"value"`
	At     string          `json:"at,omitempty"`
	Device *string         `json:"device,omitempty"` // as in ReadingBody
	Extra  json.RawMessage `json:"extra,omitempty"`  // object of unknown fields of an imported check, with its first reading
}

// BiteBody is one bite; the bite's ID is the entry's. A strike takes it out.
type BiteBody struct {
	Pass   string          `json:"pass"`             // pass ID; "": before all passes
	Window string          `json:"window"`           // window ID; "": all alike, or none
	Bite   json.RawMessage `json:"bite"`             // as in the build file, without id, pass, window and struck
	Device *string         `json:"device,omitempty"` // as in ReadingBody
}

// StrikeBody strikes out a reading, a stop reading or a bite; the reason is shown.
type StrikeBody struct {
	Target string `json:"target"` // entry ID
	Reason string `json:"reason"`
	Base   string `json:"base,omitempty"` // the unstrike that was in force, if any
}

// TargetBody undoes the strike or correction of its target entry.
type TargetBody struct {
	Target string `json:"target"`         // for unstrike the reading's ID, for uncorrect the correct entry's ID
	Base   string `json:"base,omitempty"` // for unstrike: the strike that was in force
}

// CorrectBody records consent to a remedy; Correction as in the build file.
type CorrectBody struct {
	Pass       string          `json:"pass"`
	Correction json.RawMessage `json:"correction"`
}

// Item is an entry before it has an identity: what the app asks to be written.
// Storage gives it ID, device, sequence and clock inside the transaction.
// ID may be set by the app to a fresh UUIDv7 when other items refer to it.
type Item struct {
	ID    string
	Build string
	Kind  string
	Body  json.RawMessage
}

// Card is the line a build shows in the Book without its entries being loaded.
type Card struct {
	Build     string `json:"build"`
	Number    string `json:"number"`
	Name      string `json:"name"`
	Summary   string `json:"summary"` // e.g. "44 x 32.5 mm, 4 windows, 2 passes"
	State     string `json:"state,omitempty"`
	Demo      bool   `json:"demo,omitempty"`
	Readings  int    `json:"readings"`
	Entries   int    `json:"entries"`
	TouchedMS int64  `json:"touched_ms"`

	ScatterDeg2 float64 `json:"scatter_deg2"` // squares of the repeats' distances from their means, added up
	ScatterDF   float64 `json:"scatter_df"`   // and their degrees of freedom
}
