package findings_test

import (
	"testing"

	"portwright/engine/build"
	"portwright/engine/findings"
	"portwright/engine/unit"
)

// A length that is taken in another unit is named as the trade names it, with
// what was given and what it is taken as.
func TestACorrectedLengthIsSaidInTradeWords(t *testing.T) {
	half := 0.5
	squish := engineA()
	squish.Squish = []unit.Length{number("1"), number("1in")}
	front := engineA()
	front.Squish = []unit.Length{number("1"), number("1"), number("0.20in")}
	bore := engineA()
	inch := number("41in")
	bore.Bore = &inch
	for want, engine := range map[string]build.Engine{
		"Squish, pin axis, right: 1 in taken as 1 mm.": squish,
		"Squish, front: 0.2 in taken as 0.02 in.":      front,
		"The bore: 41 in taken as 41 mm.":              bore,
	} {
		n := note{engine: engine, wheel: build.Wheel{StepDeg: &half}, before: []float64{340, 20}, lines: good}
		p := problem(run(t, n.build()), findings.CodeUnitSlip)
		if p == nil {
			t.Errorf("%s: no slip of unit is found", want)
			continue
		}
		applied, err := findings.Apply(n.build(), 0, *p)
		if err != nil {
			t.Fatal(err)
		}
		if got := run(t, applied).Applied; len(got) != 1 || got[0].Text != want {
			t.Errorf("says %+v, want %q", got, want)
		}
	}
}
