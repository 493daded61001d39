package app

import "encoding/json"

// draftBody is what is kept of a build beside its entries: the hand at the
// bench and what is typed at the engine and not kept yet.
type draftBody struct {
	Hand
	Typed map[string]Field `json:"typed,omitempty"`
	Learn *LearnState      `json:"learn,omitempty"`
}

// draft is what is half-done, as it is kept on every change.
func (m *Model) draft() json.RawMessage {
	d := draftBody{Hand: m.Bench.Hand, Typed: m.Engine.Typed}
	if len(m.Engine.Learn.Rows) > 0 {
		d.Learn = &m.Engine.Learn
	}
	data, err := json.Marshal(d)
	if err != nil {
		return json.RawMessage("{}")
	}
	return data
}

// takeDraft takes up what was half-done; what can't be read is forgotten.
func (m *Model) takeDraft(draft json.RawMessage) {
	var d draftBody
	if len(draft) > 0 && json.Unmarshal(draft, &d) != nil {
		d = draftBody{}
	}
	m.Bench.Hand = d.Hand
	m.Engine = EngineState{Unit: m.Engine.Unit, Typed: d.Typed}
	if d.Learn != nil {
		m.Engine.Learn = *d.Learn
	}
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
}
