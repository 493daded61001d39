package book

import (
	"encoding/json"
	"strconv"
	"strings"

	"portwright/engine/build"
	"portwright/engine/unit"
)

// The constructors below make items that Fold understands. id is the entry's
// ID, a fresh UUIDv7, or "" when nothing refers to it. Errors are
// *unit.InputError. Whether a reading stands on the wheel is asked with
// build.CheckReading, which knows the wheel.

// SetItem sets one field over the values that are in force (Folded.Heads).
func SetItem(id, of, path string, value json.RawMessage, heads ...string) (Item, error) {
	t, err := parsePath(path)
	if err != nil {
		return Item{}, err
	}
	var scratch build.Part
	switch t.list {
	case "windows":
		scratch = &build.Window{}
	case "passes":
		scratch = &build.Pass{}
	case "":
		scratch = &build.Build{}
	default:
		scratch = partOf(&build.Build{}, t.list)
	}
	if err := build.SetField(scratch, t.key, value); err != nil {
		return Item{}, err
	}
	return setItem(id, of, path, value, heads...), nil
}

// ReadingItem is a reading of a window, by the IDs of pass and window. r.Window
// and r.Struck are not looked at; the device is the one that writes it.
func ReadingItem(id, of, pass, window string, r build.Reading) (Item, error) {
	if err := given("pass", pass, "window", window); err != nil {
		return Item{}, err
	}
	if err := oneOf("event", r.Event, build.Opens, build.Closes); err != nil {
		return Item{}, err
	}
	if _, err := build.EncodePart(&r); err != nil { // a number that is not finite
		return Item{}, err
	}
	return readingItem(id, of, pass, window, r, false), nil
}

// StopItem is one reading against the stop.
func StopItem(id, of string, s StopBody) (Item, error) {
	if err := given("pass", s.Pass, "check", s.Check); err != nil {
		return Item{}, err
	}
	if err := oneOf("when", s.When, build.WhenBefore, build.WhenAfter); err != nil {
		return Item{}, err
	}
	if err := oneOf("near", s.Near, build.NearTDC, build.NearBDC); err != nil {
		return Item{}, err
	}
	if err := oneOf("way", s.Way, build.WayRunning, build.WayBack); err != nil {
		return Item{}, err
	}
	if string(build.NumberJSON(s.Value)) == "null" {
		return Item{}, &unit.InputError{Field: "value", Value: strconv.FormatFloat(s.Value, 'g', -1, 64), Unit: "deg", Reason: "must be a finite number"}
	}
	return Item{ID: id, Build: of, Kind: KindStop, Body: bodyOf(&s)}, nil
}

// StrikeItem strikes out a reading or stop reading; heads are those of
// "strikes/" and the target.
func StrikeItem(id, of, target, reason string, heads ...string) (Item, error) {
	if err := given("target", target, "reason", strings.TrimSpace(reason)); err != nil {
		return Item{}, err
	}
	return Item{ID: id, Build: of, Kind: KindStrike, Body: bodyOf(&StrikeBody{Target: target, Reason: reason, Base: first(heads)})}, nil
}

// UnstrikeItem lets a reading count again.
func UnstrikeItem(id, of, target string, heads ...string) (Item, error) {
	if err := given("target", target); err != nil {
		return Item{}, err
	}
	return Item{ID: id, Build: of, Kind: KindUnstrike, Body: bodyOf(&TargetBody{Target: target, Base: first(heads)})}, nil
}

// CorrectItem records consent to a remedy. Readings should be named by ID
// (IDs, AfterID): places change when entries of other devices come in.
func CorrectItem(id, of, pass string, c build.Correction) (Item, error) {
	if err := given("pass", pass, "kind", c.Kind); err != nil {
		return Item{}, err
	}
	raw, err := build.EncodePart(&c)
	if err != nil {
		return Item{}, err
	}
	return Item{ID: id, Build: of, Kind: KindCorrect, Body: bodyOf(&CorrectBody{Pass: pass, Correction: raw})}, nil
}

// UncorrectItem takes a consent back; target is the ID of the correct entry,
// which is the correction's ID in the build.
func UncorrectItem(id, of, target string) (Item, error) {
	if err := given("target", target); err != nil {
		return Item{}, err
	}
	return Item{ID: id, Build: of, Kind: KindUncorrect, Body: bodyOf(&TargetBody{Target: target})}, nil
}

// BiteItem is a bite, by the IDs of pass and window ("" for none). Bite.Pass,
// Window, Struck and Device are not looked at.
func BiteItem(id, of, pass, window string, b build.Bite) (Item, error) {
	if err := given("move", b.Move.Move); err != nil {
		return Item{}, err
	}
	return biteItem(id, of, pass, window, b, false)
}

func biteItem(id, of, pass, window string, b build.Bite, imported bool) (Item, error) {
	body := BiteBody{Pass: pass, Window: window}
	if device := b.Device; imported {
		body.Device = &device
	}
	b.ID, b.Pass, b.Window, b.Struck, b.Device = "", "", "", "", ""
	raw, err := build.EncodePart(&b)
	if err != nil {
		return Item{}, err
	}
	body.Bite = raw
	return Item{ID: id, Build: of, Kind: KindBite, Body: bodyOf(&body)}, nil
}

func setItem(id, of, path string, value json.RawMessage, heads ...string) Item {
	b := SetBody{Path: path, Value: value, Base: first(heads)}
	if len(heads) > 1 {
		b.Over = heads[1:]
	}
	return Item{ID: id, Build: of, Kind: KindSet, Body: bodyOf(&b)}
}

// readingItem keeps the device and the unknown fields of an imported reading.
func readingItem(id, of, pass, window string, r build.Reading, imported bool) Item {
	b := ReadingBody{Pass: pass, Window: window, Event: r.Event, Value: build.ValueJSON(r.Value), Method: r.Method,
		Side: r.Side, Quarter: r.Quarter, At: r.At, Extra: r.Extra.JSON()}
	if r.FeelerMM != nil {
		b.Feeler = build.LengthJSON(*r.FeelerMM)
	}
	if imported {
		b.Device = &r.Device
	}
	return Item{ID: id, Build: of, Kind: KindReading, Body: bodyOf(&b)}
}

func first(heads []string) string {
	if len(heads) == 0 {
		return ""
	}
	return heads[0]
}

// given says which of the pairs of field and value is empty.
func given(pairs ...string) error {
	for i := 0; i < len(pairs); i += 2 {
		if pairs[i+1] == "" {
			return &unit.InputError{Field: pairs[i], Reason: "must be given"}
		}
	}
	return nil
}

func oneOf(field, value string, words ...string) error {
	for _, w := range words {
		if value == w {
			return nil
		}
	}
	return &unit.InputError{Field: field, Value: strconv.Quote(value), Reason: `must be "` + strings.Join(words, `" or "`) + `"`}
}
