package app

import (
	"encoding/json"
	"strings"
	"time"

	"portwright/engine/book"
	"portwright/engine/build"
	"portwright/engine/unit"
)

// benchKeep keeps the typed value as a reading of the question in hand. It
// refuses what can't be, asks about what is odd, and leaves the value on the
// screen until the disk has it.
func (m *Model) benchKeep(sure bool, in Input) []Effect {
	b := &m.Bench
	q, ok := m.Question()
	switch {
	case !ok, in.NowMS-b.keepMS < doubleMS, b.Panel != PanelNone && in.NowMS-b.panelMS < doubleMS,
		sure && b.Panel == PanelOdd && in.NowMS-b.panelMS < doubtMS:
		return nil
	case m.writing():
		return nil
	}
	if b.Refuse = m.Refusal(); b.Refuse != "" {
		return nil
	}
	v, ok := m.typed()
	if !ok {
		b.Refuse = "Type what the pointer shows, then Keep."
		if m.Habit() == build.HabitDepth {
			b.Refuse = "Type the depth from the cylinder top, then Keep."
		}
		if strings.Contains(b.Text, "/") {
			b.Refuse = b.Text + " is no fraction of a rule: halves to sixty-fourths, as in 11/16."
		}
		return nil
	}
	b.panelMS = in.NowMS
	if m.needsQuarter(q, v) {
		b.Panel = PanelQuarter
		return nil
	}
	b.Likely = nil
	if b.Doubt = m.doubt(q, v); b.Doubt != "" && !sure {
		b.Panel = PanelOdd
		if m.Settings.ReadBack {
			return []Effect{Say{b.Doubt}}
		}
		return nil
	}
	b.Panel, b.Doubt, b.keepMS, b.keptMS = PanelNone, "", in.NowMS, in.NowMS
	items := m.readingItems(q, v, in.NowMS)
	b.Sending = items[len(items)-1].ID
	return m.write(in, items...)
}

// writing says, here and on the screen, that what was done last is not on the
// disk yet: a reading never goes to a pass that may not come to be.
func (m *Model) writing() bool {
	if len(m.Save.Waiting) == 0 && m.Bench.Sending == "" {
		return false
	}
	m.Bench.Refuse = "The last one is still being written."
	return true
}

// readingItems makes the items of one kept value; the reading is the last,
// after the pass when this is its first reading.
func (m *Model) readingItems(q Question, v float64, nowMS int64) []book.Item {
	b := &m.Bench
	var items []book.Item
	pass := m.Open.Pass
	if pass == "" {
		pass = m.firstPass()
		items = m.passItems(pass, b.readingID(2), "as received", 0, b.Habit)
		b.Pass = pass
	}
	at := time.UnixMilli(nowMS).UTC().Format(time.RFC3339)
	if q.Stop() {
		check := q.Check
		if check == "" {
			check = b.readingID(3)
		}
		return append(items, m.item(book.KindStop, b.readingID(1), &book.StopBody{
			Pass: pass, Check: check, When: q.When, Near: q.Near, Way: q.Way, Value: v, At: at,
		}))
	}
	body := book.ReadingBody{
		Pass: pass, Window: q.Window, Event: q.Event, Value: build.ValueJSON(unit.Length{Value: v, Unit: m.lengthUnit()}),
		Method: m.Method(), Side: b.Side, Quarter: b.Quarter, At: at,
	}
	if b.Feeler != nil && body.Method == MethodFeeler {
		body.Feeler = build.ValueJSON(*b.Feeler)
	}
	return append(items, m.item(book.KindReading, b.readingID(1), &body))
}

// lengthUnit is the unit that a value typed now carries: none on the wheel,
// and none for mm, which is what a bare number means.
func (m *Model) lengthUnit() unit.LengthUnit {
	if m.Habit() != build.HabitDepth {
		return ""
	}
	return unit.LengthUnit(m.Bench.Unit)
}

func (m *Model) item(kind, id string, body build.Record) book.Item {
	return book.Item{ID: id, Build: m.Open.ID, Kind: kind, Body: build.WriteRecord(body)}
}

// set makes the item that sets one field that had no value before.
func (m *Model) set(id, path string, value json.RawMessage) book.Item {
	return m.item(book.KindSet, id, &book.SetBody{Path: path, Value: value})
}

// benchWritten follows the write of the reading in hand: it shows as kept, the
// field is cleared and the next question asked.
func (m *Model) benchWritten() {
	b := &m.Bench
	m.Notice, b.Said, b.Again = "", b.Sending, false
	b.Sending, b.Text, b.Next, b.ID = "", b.Next, "", ""
	b.past = ""
	b.Refuse, b.Quarter, b.Side = "", 0, ""
	m.benchSettle()
}

// benchSettle keeps the question valid: a step that is not in the order any
// more, or whose set is good, gives way to the next open one. A full step that
// was gone back to is left alone until its reading is kept.
func (m *Model) benchSettle() {
	b := &m.Bench
	steps := m.Steps()
	at := Place(steps, b.At)
	if b.Sending != "" || at >= 0 && (!steps[at].Full() || steps[at].Half) {
		return
	}
	if at < 0 && b.At == "" && NextOpen(steps, "") == "" {
		return
	}
	next := NextOpen(steps, b.At)
	if next != b.At {
		b.Quarter, b.Side = 0, ""
	}
	b.At = next
}
