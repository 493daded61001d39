package view

import (
	"portwright/engine/plan"
	"portwright/wasm/app"
)

// disputeRows say, before anything else, where bites and the readings since
// contradict each other, and what can be done about it.
func disputeRows(m *app.Model, r *plan.Result) (out []CutsSay) {
	if r == nil {
		return nil
	}
	for i := range r.Warnings {
		if w := &r.Warnings[i]; w.Code == plan.WarnBite {
			out = append(out, CutsSay{Kind: "mark", Title: "Bites and readings contradict each other", Text: w.Text, Buttons: disputeButtons(m)})
		}
	}
	return out
}

// disputeButtons are what can be done where readings contradict bites.
func disputeButtons(m *app.Model) (out []Button) {
	for _, x := range m.DisputedBites() {
		name := moveName(x.Move.Move, x.Window)
		if mm, _ := lengthPair(x.ReadMM); x.ReadMM > 0 {
			out = append(out, Button{Words: "Trust the readings: " + name + " " + mm, Msg: app.CutsTrust{ID: x.ID}})
		}
		if x.ByMM != nil {
			mm, _ := lengthPair(x.ByMM.MM())
			name += " " + mm
		}
		out = append(out, Button{Words: "Strike out: " + name, Msg: app.CutsStrike{ID: x.ID}})
	}
	return append(out, Button{Words: "Read again at the bench", Msg: app.CutsReadAgain{}})
}
