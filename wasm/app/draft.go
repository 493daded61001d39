package app

import (
	"encoding/json"

	"portwright/engine/build"
)

// draftBody is what is kept of a build beside its entries: the hand at the
// bench and what is typed at the engine and not kept yet.
type draftBody struct {
	Hand
	Typed map[string]Field
	Learn LearnState
	Tried map[string]Field
	Facts int
}

func (d *draftBody) Fields(f *build.Form) {
	d.Hand.Fields(f)
	build.Named(f, "typed", &d.Typed)
	if f.Reading() || len(d.Learn.Rows) > 0 {
		f.Record("learn", &d.Learn)
	}
	build.Named(f, "tried", &d.Tried)
	f.SomeWhole("facts", &d.Facts)
}

func (h *Hand) Fields(f *build.Form) {
	f.SomeText("pass", &h.Pass)
	f.SomeText("at", &h.At)
	f.SomeText("text", &h.Text)
	f.SomeText("id", &h.ID)
	f.SomeText("next", &h.Next)
	f.SomeText("mode", (*string)(&h.Mode))
	f.Texts("skipped", &h.Skipped)
	f.SomeText("method", &h.Method)
	f.SomeLength("feeler", &h.Feeler)
	f.SomeText("unit", &h.Unit)
	f.SomeText("near", &h.Near)
	f.SomeText("side", &h.Side)
	f.SomeWhole("quarter", &h.Quarter)
	f.SomeText("sending", &h.Sending)
	f.SomeText("habit", &h.Habit)
}

func (d *Field) Fields(f *build.Form) {
	f.Text("text", &d.Text)
	f.SomeText("unit", (*string)(&d.Unit))
	f.SomeText("sending", &d.Sending)
	f.SomeFlag("nudged", &d.Nudged)
}

func (l *LearnState) Fields(f *build.Form) {
	f.SomeText("unit", (*string)(&l.Unit))
	build.Rows(f, "rows", &l.Rows)
}

func (r *LearnRow) Fields(f *build.Form) {
	f.Text("depth", &r.Depth)
	f.Text("angle", &r.Angle)
}

// Fields of the settings, as they are kept.
func (s *Settings) Fields(f *build.Form) {
	f.SomeText("theme", &s.Theme)
	f.SomeFlag("left_hand", &s.LeftHand)
	f.SomeWhole("repeats", &s.Repeats)
	f.SomeFlag("read_back", &s.ReadBack)
	f.SomeFlag("still", &s.Still)
	f.SomeFlag("tone", &s.Tone)
	f.SomeLong("last_backup_ms", &s.LastBackupMS)
	f.SomeText("last_build", &s.LastBuild)
	f.SomeText("token", &s.Token)
	f.SomeText("places", &s.Places)
	f.SomeText("names", &s.Names)
}

// draft is what is half-done, as it is kept on every change.
func (m *Model) draft() json.RawMessage {
	return build.WriteRecord(&draftBody{Hand: m.Bench.Hand, Typed: m.Engine.Typed, Learn: m.Engine.Learn, Tried: m.Cuts.Tried, Facts: m.Cuts.Facts})
}

// nameHand gives the value in hand an ID as soon as it is typed, and another
// with every change. Two tabs that hold the same draft so keep the same
// reading, which storage has once; what was typed in one alone is its own.
func (m *Model) nameHand(was Hand, in Input) {
	switch h := &m.Bench.Hand; {
	case h.Text == "":
		h.ID = ""
	case h.ID == "", h.Text != was.Text && h.ID == was.ID:
		h.ID = in.Fresh
	}
}

// readingID is the ID that the nth item of the value in hand gets.
func (h *Hand) readingID(n int) string { return Input{Fresh: h.ID}.ID(n) }

// retire empties the hand when another tab has kept the value in it.
func (m *Model) retire() {
	b := &m.Bench
	if b.ID == "" || b.Sending != "" || !m.holds(b.readingID(1)) {
		return
	}
	refuse := b.Text + " was kept in another window."
	b.Text, b.ID = "", ""
	m.benchSettle()
	b.Panel, b.Refuse = PanelNone, refuse
	b.saved = string(m.draft()) // the draft is the other tab's now
}

// takeDraft takes up what was half-done; what can't be read is forgotten.
func (m *Model) takeDraft(draft json.RawMessage) {
	var d draftBody
	if len(draft) > 0 && build.ReadRecord(draft, &d) != nil {
		d = draftBody{}
	}
	m.Bench.Hand = d.Hand
	m.Engine = EngineState{Unit: m.Engine.Unit, Typed: d.Typed, Learn: d.Learn}
	m.Cuts = CutsState{Tried: d.Tried, Facts: d.Facts, stale: true}
	m.Bench.saved = string(m.draft())
}

// resumeTyped drops what reached the book after all and fields that are gone.
func (m *Model) resumeTyped() {
	for path, f := range m.Engine.Typed {
		spec, _, _, ok := FieldAt(m.Open.Build, path)
		if !ok || (f.Sending != "" && m.holds(f.Sending)) {
			delete(m.Engine.Typed, path)
			continue
		}
		m.hold(spec, f)
	}
	m.resumeTried()
}
