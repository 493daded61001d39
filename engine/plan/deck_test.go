package plan_test

import (
	"testing"

	"portwright/engine/build"
	"portwright/engine/plan"
)

// Without the deck nothing is said of what the gauge will read, and nothing
// breaks: a reading has a number or is not there.
func TestDepthsWithoutADeck(t *testing.T) {
	b, err := build.Decode([]byte(`{"format":"portwright-build","version":1,"engine":{"stroke_mm":38,"rod_mm":85},
		"windows":[{"name":"exhaust","kind":"exhaust"}],
		"passes":[{"name":"as received","habit":"depth","readings":[{"window":"exhaust","event":"opens","value":28}]}],
		"targets":{"exhaust_opens_deg":98},"moves_allowed":{"exhaust_roof_mm":{}}}`))
	if err != nil {
		t.Fatal(err)
	}
	r, err := plan.Run(b, plan.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if len(r.Moves) != 1 {
		t.Fatalf("%d moves", len(r.Moves))
	}
	for _, rd := range append(r.Moves[0].WheelBite, r.Moves[0].WheelAfter...) {
		if rd.ReadsMM == nil && rd.ReadsDeg == nil {
			t.Errorf("a reading of %s without a number", rd.Window)
		}
	}
}
