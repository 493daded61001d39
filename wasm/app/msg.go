package app

import (
	"encoding/json"

	"portwright/engine/book"
)

// Msg is something that happened: a person's intent (in the station's file)
// or an answer from outside (here).
type Msg interface{ msg() }

// Answers and events from package browser.
type (
	// Started is the first message; Hash is the address after "#".
	Started struct{ Hash string }

	// Navigated follows every change of the address, GoTo and the back button.
	Navigated struct{ Hash string }

	// BookLoaded answers LoadBook.
	BookLoaded struct {
		Device    string
		Former    []string // names under which this device wrote before
		Cards     []book.Card
		Settings  Settings
		Storage   Storage
		Recovered int    // entries kept now that an earlier start could not keep
		Err       string // storage can't be opened or was emptied: what the person should know
	}

	// BuildLoaded answers LoadBuild. Draft is nil when none was kept.
	BuildLoaded struct {
		Build   string
		Entries []book.Entry
		Draft   json.RawMessage
		Err     string
	}

	// Kept answers Append: the entries are durable.
	Kept struct {
		Token   string
		Entries []book.Entry
		AtMS    int64
		Total   int // entries on this device now
	}

	// NotKept answers Append: nothing of it was stored. The browser layer has
	// already reopened a lost connection once and tried again. The items, each
	// with its ID, are safe to append again. After BookLoaded it comes with an
	// empty Token for items that an earlier start could not keep either.
	NotKept struct {
		Token string
		Items []book.Item
		Name  string // DOMException name, e.g. "QuotaExceededError"
		Err   string
	}

	// Merged answers MergeEntries. Differ counts entries that were left out
	// because what is here has their ID and is another.
	Merged struct {
		New, Known, Differ int
		Total              int // entries on this device now
		Err                string
	}

	// BookExported answers ExportBook.
	BookExported struct {
		Name    string
		Entries int
		AtMS    int64
		Err     string
	}

	// FilePicked answers PickFile. Data is nil when the person gave up.
	FilePicked struct {
		Name string
		Data []byte
		Err  string // e.g. larger than 32 MB
	}

	// PersistAnswer answers AskPersist.
	PersistAnswer struct{ Storage Storage }

	// OtherTab says that another tab wrote entries of Build; "" for so many
	// builds that the whole book should be read again.
	OtherTab struct{ Build string }

	// CameIn says that the sync brought entries of Build; "" for so many builds
	// that the whole book should be read again.
	CameIn struct{ Build string }

	// SyncTold says how the sync stands.
	SyncTold SyncStatus

	// Online says that the device has a network again.
	Online struct{}

	// Visible says that the page came to the front or left it.
	Visible struct{ Shown bool }

	// Key is a key of a keyboard or cordless number pad, pressed while no
	// native field has the focus; Key as in KeyboardEvent.key.
	Key struct{ Key string }

	// UpdateWaiting says that a new version is installed and waits.
	UpdateWaiting struct{ Build string }
)

func (Started) msg()       {}
func (Navigated) msg()     {}
func (BookLoaded) msg()    {}
func (BuildLoaded) msg()   {}
func (Kept) msg()          {}
func (NotKept) msg()       {}
func (Merged) msg()        {}
func (BookExported) msg()  {}
func (FilePicked) msg()    {}
func (PersistAnswer) msg() {}
func (OtherTab) msg()      {}
func (CameIn) msg()        {}
func (SyncTold) msg()      {}
func (Online) msg()        {}
func (Visible) msg()       {}
func (Key) msg()           {}
func (UpdateWaiting) msg() {}

// Settings belong to this device and are not synced.
type Settings struct {
	Theme        string `json:"theme,omitempty"` // "" follows the system, "day", "shed"
	LeftHand     bool   `json:"left_hand,omitempty"`
	Repeats      int    `json:"repeats,omitempty"`   // readings asked per event; 0 means 3
	ReadBack     bool   `json:"read_back,omitempty"` // a kept value is spoken
	Still        bool   `json:"still,omitempty"`     // no vibration when a value is kept
	Tone         bool   `json:"tone,omitempty"`      // a short tone when a value is kept
	LastBackupMS int64  `json:"last_backup_ms,omitempty"`
	LastBuild    string `json:"last_build,omitempty"`

	Token  string `json:"token,omitempty"`  // that the shop PC gave this device
	Places string `json:"places,omitempty"` // where the shop PC is asked besides where the page came from
	Names  string `json:"names,omitempty"`  // what people call the devices that wrote, as the shop PC said
}

// Storage is what the browser says of its own storage.
type Storage struct {
	Persisted bool    `json:"persisted"`
	Known     bool    `json:"known"` // false: the browser can't say
	UsedMB    float64 `json:"used_mb"`
	QuotaMB   float64 `json:"quota_mb"`
	Entries   int     `json:"entries"` // stored on this device
}

// Input is what Update may know of the world: the time and a fresh UUIDv7.
type Input struct {
	NowMS int64
	Fresh string // UUIDv7, new for every message
}

// ID returns the nth fresh ID of this message, n < 65536.
func (in Input) ID(n int) string {
	const hex = "0123456789abcdef"
	b := []byte(in.Fresh)
	if len(b) != 36 {
		return in.Fresh
	}
	for i := 0; i < 4; i++ {
		b[35-i] = hex[(n>>(4*i))&15]
	}
	return string(b)
}
