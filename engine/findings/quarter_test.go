package findings_test

import (
	"math"
	"testing"

	"portwright/engine/build"
	"portwright/engine/findings"
)

// A wheel of quarters that shows 2 at TDC: an exhaust that opens 98 and closes
// 262 after TDC reads 80 and 84 there, the second within six degrees of a
// quarter's end. Opening and closing add to 360 with 262 and to 372 with 274,
// which leaves nothing to ask.
func TestThePairSettlesTheQuarter(t *testing.T) {
	half := 0.5
	n := note{wheel: build.Wheel{StepDeg: &half, Numbering: build.Numbering90}, before: []float64{18, 22}, lines: []string{"exhaust: 80 80 80 / 84 84 84"}}
	p := run(t, n.build())
	if q := problem(p, findings.CodeWrongSide); q != nil {
		t.Errorf("asked: %s", q.Text)
	}
	if w := p.Windows[0]; math.Abs(*w.OpensDeg-98) > 0.01 || math.Abs(*w.ClosesDeg-262) > 0.01 {
		t.Errorf("opens %v, closes %v; want 98, 262", *w.OpensDeg, *w.ClosesDeg)
	}
	// The closing alone can't be told.
	n.lines = []string{"exhaust: / 84 84 84"}
	if problem(run(t, n.build()), findings.CodeWrongSide) == nil {
		t.Error("a closing alone near a quarter's end was not asked about")
	}
}
