package app

import "portwright/engine/book"

// Reasons why a reading is struck out, as the record shows them.
const (
	ReasonMisread   = "misread"
	ReasonBumped    = "wheel bumped"
	ReasonWindow    = "wrong window"
	ReasonOther     = "another reason"
	ReasonTakenBack = "taken back"
)

// benchStrike strikes a reading out; a second tap of a double tap that opened
// the panel is not a choice.
func (m *Model) benchStrike(msg BenchStrike, in Input) []Effect {
	b := &m.Bench
	if b.Panel == PanelStrike && in.NowMS-b.panelMS < doubleMS {
		return nil
	}
	b.Panel = PanelNone
	return m.strike(msg.ID, msg.Reason, in)
}

func (m *Model) strike(id, reason string, in Input) []Effect {
	if id == "" || m.writing() || !m.Counts(id) {
		return nil
	}
	return m.write(in, m.item(book.KindStrike, in.ID(1), &book.StrikeBody{
		Target: id, Reason: reason, Base: m.strikeHead(id),
	}))
}

func (m *Model) unstrike(id string, in Input) []Effect {
	if m.writing() || !m.struckOut(id) {
		return nil
	}
	return m.write(in, m.item(book.KindUnstrike, in.ID(1), &book.TargetBody{Target: id, Base: m.strikeHead(id)}))
}

// strikeWritten follows a strike or unstrike that was kept: it is what is read
// out now.
func (m *Model) strikeWritten(w Write) {
	for _, it := range w.Items {
		d, ok := deedOf(book.Entry{ID: it.ID, Kind: it.Kind, Body: it.Body})
		if ok && d.Target != it.ID {
			m.Bench.Said, m.Bench.Again = d.Target, d.Kind == book.KindUnstrike
		}
	}
}

// strikeHead is the strike or unstrike of a reading that is in force.
func (m *Model) strikeHead(id string) string {
	base, _ := m.headsOf("strikes/" + id)
	return base
}

// Counts says that a reading of the pass in hand counts, struckOut that it
// does not.
func (m *Model) Counts(id string) bool {
	reason, ok := m.Open.Tally.why(id)
	return ok && reason == ""
}

func (m *Model) struckOut(id string) bool {
	reason, ok := m.Open.Tally.why(id)
	return ok && reason != ""
}

// stepOf is the step that a kept reading of the pass in hand belongs to.
func (m *Model) stepOf(id string) string {
	for _, r := range m.Open.Tally.Readings {
		if r.ID == id {
			return "read/" + r.Window + "/" + r.Event
		}
	}
	for _, s := range m.Open.Tally.Stops {
		if s.ID == id {
			return "stop/" + s.When
		}
	}
	return ""
}
