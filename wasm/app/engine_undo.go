package app

import (
	"encoding/json"
	"slices"
	"strings"

	"portwright/engine/book"
	"portwright/engine/build"
)

// EngineUndo sets the engine's field that was set last back to what it was.
type EngineUndo struct{}

func (EngineUndo) msg() {}

// FieldDeed is one value that was given to a field, and what it was before.
type FieldDeed struct {
	Path string
	Was  json.RawMessage // "null" when it was not known

	entry string
}

// FieldDeeds are the values that this device gave the engine's fields and that
// can be taken back, latest last. They follow from the entries, so that they are
// the same after a kill; a value that was set back takes its deed with it.
func (m *Model) FieldDeeds() []FieldDeed {
	var own []book.Entry
	values := map[string]json.RawMessage{"": json.RawMessage("null")}
	bodies := map[string]book.SetBody{}
	for _, e := range m.Open.Entries {
		var b book.SetBody
		if e.Kind != book.KindSet || build.ReadRecord(e.Body, &b) != nil {
			continue
		}
		if b.Value == nil {
			b.Value = values[""]
		}
		values[e.ID], bodies[e.ID] = b.Value, b
		if m.Mine(e.Device) && StationOf(b.Path) == AtEngine && !makes(b) {
			own = append(own, e)
		}
	}
	slices.SortStableFunc(own, func(a, b book.Entry) int { return int(a.Seq) - int(b.Seq) })
	var done []FieldDeed
	for _, e := range own {
		b := bodies[e.ID]
		if n := len(done); n > 0 && done[n-1].entry == b.Base && string(done[n-1].Was) == string(b.Value) {
			done = done[:n-1]
			for i := n - 2; i >= 0; i-- { // the one before is in force by this entry now
				if done[i].Path == b.Path {
					done[i].entry = e.ID
					break
				}
			}
			continue
		}
		if was := values[b.Base]; was != nil {
			done = append(done, FieldDeed{Path: b.Path, Was: was, entry: e.ID})
		}
	}
	return done
}

// makes says that a value is part of making a window, a pass or the build, or
// of their order, which have buttons of their own to go back.
func makes(b book.SetBody) bool {
	key := b.Path[strings.LastIndexByte(b.Path, '.')+1:]
	return b.Base == "" && (key == "name" || key == "kind" || key == "number" || strings.HasPrefix(b.Path, "passes/")) || key == "place" || key == "removed"
}

func (m *Model) engineUndo(in Input) []Effect {
	done := m.FieldDeeds()
	if len(done) == 0 || m.doubleUndo(in) {
		return nil
	}
	last := done[len(done)-1]
	delete(m.Engine.Typed, last.Path)
	return m.write(in, m.setItem(in.ID(1), last.Path, last.Was))
}
