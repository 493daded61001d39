package findings_test

import (
	"strings"
	"testing"

	"portwright/engine/findings"
	"portwright/engine/unit"
)

// Readings of an engine without an offset, every pair adding to 360 degrees,
// and an offset of 3 mm given: it is the offset that is wrong, and the numbers
// told are those with it counted in.
func TestAGivenOffsetThatIsNone(t *testing.T) {
	b := note{engine: engineA(), before: []float64{340, 20},
		lines: []string{"exhaust: 100 100 100.5 / 260 259.5 260", "transfer: 122 122.5 122 / 238 238 237.5", "boost: 124 124 124 / 236 236 236"}}.build()
	b.Engine.PinOffset = &unit.Length{Value: 3, Unit: unit.MM}
	p := run(t, b)
	for _, x := range p.Problems {
		if x.Code != findings.CodeOffset {
			continue
		}
		if x.Evidence["offset_given_mm"] != 3 || x.Remedy == nil || x.Remedy.ByMM > 1 || x.Remedy.ByMM < -1 {
			t.Errorf("%+v, remedy %+v", x.Evidence, x.Remedy)
		}
		if !strings.Contains(x.Title, "given offset") || !strings.Contains(x.Text, "3 mm is given") || strings.Contains(x.Text, "going down") {
			t.Errorf("%s: %s", x.Title, x.Text)
		}
		return
	}
	t.Errorf("nothing is said of the offset: %v", codes(p))
}
