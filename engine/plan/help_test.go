package plan_test

import (
	"os"
	"slices"
	"testing"

	"portwright/engine/build"
	"portwright/engine/plan"
	"portwright/engine/unit"
)

// An exhaust roof that was cut too far crosses the hard limit of its duration.
// Lowering the cylinder shortens it, but squish stops that; metal off the band or
// the crown gives squish back. A crown cut opens the exhaust earlier by as much as
// it gives, and so can't help; handbook of this trade, the table of moves:
// band cut: squish +c, ports as they are.
func TestWhatWouldUndoAContradiction(t *testing.T) {
	data, err := os.ReadFile("../../testdata/builds/cut.json")
	if err != nil {
		t.Fatal(err)
	}
	b, err := build.Decode(data)
	if err != nil {
		t.Fatal(err)
	}
	b.Bites = []build.Bite{{Move: build.Move{Move: build.MoveExhaustRoof, ByMM: &unit.Length{Value: 1.5}}, Pass: "as received"}}
	r, err := plan.Run(b, plan.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if r.Status != plan.Impossible || !slices.Equal(r.WouldHelp, []string{plan.Name(build.MoveBandCut)}) {
		t.Errorf("%s, would help %v", r.Status, r.WouldHelp)
	}
	b.Allowed.BandCut = &build.Room{}
	if r, err = plan.Run(b, plan.Options{}); err != nil || r.Status == plan.Impossible || r.After[plan.ExhaustDuration] > 160.001 {
		t.Errorf("with the band allowed: %s, %v, exhaust open for %v", r.Status, err, r.After[plan.ExhaustDuration])
	}
}
