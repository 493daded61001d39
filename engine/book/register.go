package book

import (
	"bytes"
	"encoding/json"
	"math"

	"portwright/engine/build"
)

// Value is what one entry says of a field.
type Value struct {
	Entry  string // ID
	Device string
	Clock  Clock
	Value  json.RawMessage
}

// Conflict is a field that devices set differently without knowing of each
// other. Used, the latest, is what the build shows until a person chooses.
type Conflict struct {
	Path   string
	Used   Value
	Others []Value // latest first, all different from Used
}

// register holds every value that one field was given, in Order, and what each
// of them replaced.
type register struct {
	path     string
	values   []Value
	replaced []string // IDs of entries that a value names
}

func (r *register) add(e Entry, value json.RawMessage, replaces ...string) {
	r.values = append(r.values, Value{Entry: e.ID, Device: e.Device, Clock: e.Clock, Value: value})
	for _, id := range replaces {
		if id != "" && id != e.ID {
			r.replaced = append(r.replaced, id)
		}
	}
}

// heads returns the values that no other one replaces, latest first. There is
// always one, even among entries that claim to replace each other.
func (r *register) heads() []Value {
	if len(r.replaced) == 0 && len(r.values) == 1 {
		return r.values
	}
	gone := make(map[string]bool, len(r.replaced))
	for _, id := range r.replaced {
		gone[id] = true
	}
	var heads []Value
	for i := len(r.values) - 1; i >= 0; i-- {
		if !gone[r.values[i].Entry] {
			heads = append(heads, r.values[i])
		}
	}
	if len(heads) == 0 {
		heads = append(heads, r.values[len(r.values)-1])
	}
	return heads
}

// conflict returns what stands against the first head.
func conflict(path string, heads []Value) (Conflict, bool) {
	c := Conflict{Path: path, Used: heads[0]}
	for _, h := range heads[1:] {
		if !sameValue(h.Value, c.Used.Value) {
			c.Others = append(c.Others, h)
		}
	}
	return c, len(c.Others) > 0
}

// sameValue compares two JSON values: as text without white space, or as
// lengths, so that 25.4 and {"in":1} agree.
func sameValue(a, b json.RawMessage) bool {
	var x, y bytes.Buffer
	if json.Compact(&x, a) == nil && json.Compact(&y, b) == nil && bytes.Equal(x.Bytes(), y.Bytes()) {
		return true
	}
	la, oka := lengthOf(a)
	lb, okb := lengthOf(b)
	return oka && okb && math.Abs(la-lb) < 1e-9 // mm: what a conversion leaves in the last bits
}

func lengthOf(raw json.RawMessage) (mm float64, ok bool) {
	var w build.Window // any part with a length
	if build.SetField(&w, "chord_mm", raw) != nil || w.Chord == nil {
		return 0, false
	}
	return w.Chord.MM(), true
}
