package findings_test

import (
	"testing"

	"portwright/engine/build"
	"portwright/engine/findings"
)

// A dropped digit: 104 read as 14, 10 or 4 would be 332, 340 or 352 degrees of
// duration, 60 degrees is none either; 152 and the extremes of the trade, from
// utility engines at 120 to race engines at 204, pass (common practice, no source).
func TestADroppedDigitIsSaid(t *testing.T) {
	for opens, said := range map[string]bool{"14": true, "10": true, "4": true, "20": true, "40": true, "104": false, "120": false, "78": false} {
		p := run(t, note{lines: []string{"exhaust: " + opens + " /"}}.build())
		found := false
		for _, x := range p.Problems {
			found = found || x.Code == findings.CodeImpossibleOrder && x.Windows[0] == "exhaust"
		}
		if found != said || (len(p.Windows[0].DoubtedBy) > 0) != said {
			t.Errorf("exhaust opens at %s: said %v, doubted by %v", opens, found, p.Windows[0].DoubtedBy)
		}
	}
}

// Opening 77 to 125 after TDC is 206 to 110 of duration: 2 (180 - O).
func TestUsualAngles(t *testing.T) {
	for _, c := range []struct {
		kind, event string
		skirt       bool
		least, most float64
		ok          bool
	}{
		{build.KindExhaust, build.Opens, true, 77, 125, true},
		{build.KindExhaust, build.Closes, false, 235, 283, true},
		{build.KindTransfer, build.Opens, false, 105, 140, true},
		{build.KindIntake, build.Opens, true, 260, 315, true},
		{build.KindIntake, build.Closes, true, 45, 100, true},
		{build.KindIntake, build.Opens, false, 0, 0, false},
	} {
		if least, most, ok := findings.Usual(c.kind, c.event, c.skirt); least != c.least || most != c.most || ok != c.ok {
			t.Errorf("%s %s: %v to %v, %v; want %v to %v, %v", c.kind, c.event, least, most, ok, c.least, c.most, c.ok)
		}
	}
}
