package findings_test

import (
	"math"
	"testing"

	"portwright/engine/build"
	"portwright/engine/findings"
)

// Stroke 38, rod 85, crown 0.8 below the deck. After 0.5 mm off the crown its
// edge lies 1.3 below the deck, and a depth of 28.00 is a travel of 26.70; with
// r = 19 and l = 85 the slider-crank x = r + l - r cos a - sqrt(l^2 - r^2 sin^2 a)
// reaches that at 107.6 degrees. Cutting the base moves the crown up, a thinner
// gasket too. What comes off after a pass, what was struck out and another
// cylinder's bites are no matter to it.
func TestDepthsAfterBites(t *testing.T) {
	for _, c := range []struct {
		bites  string
		travel float64
	}{
		{``, 27.2},
		{`{"move":"crown_cut","by_mm":0.5,"pass":"one"}`, 26.7},
		{`{"move":"crown_cut","by_mm":0.5}`, 26.7},
		{`{"move":"crown_cut","by_mm":0.5,"pass":"two"}`, 27.2},
		{`{"move":"crown_cut","by_mm":0.5,"pass":"one","struck":"another engine"}`, 27.2},
		{`{"move":"crown_cut","by_mm":0.5,"pass":"one","cylinder":2}`, 27.2},
		{`{"move":"base_cut","by_mm":0.5,"pass":"one"}`, 27.7},
		{`{"move":"base_gasket","to_mm":0.3,"pass":"one"}`, 27.7},
		{`{"move":"base_gasket","to_mm":0.3,"pass":"one"},{"move":"base_gasket","to_mm":1,"pass":"one"}`, 27.0},
	} {
		b, err := build.Decode([]byte(`{"format":"portwright-build","version":1,
			"engine":{"cylinders":2,"stroke_mm":38,"rod_mm":85,"crown_below_deck_mm":0.8,"base_gasket_mm":0.8},
			"windows":[{"name":"exhaust","kind":"exhaust"}],"bites":[` + c.bites + `],
			"passes":[{"name":"one","habit":"depth","readings":[{"window":"exhaust","event":"opens","value":28}]},
				{"name":"two","habit":"depth","readings":[{"window":"exhaust","event":"opens","value":28}]}]}`))
		if err != nil {
			t.Fatalf("%s: %v", c.bites, err)
		}
		r, err := findings.Run(b, findings.Options{})
		if err != nil {
			t.Fatal(err)
		}
		w := r.Passes[1].Windows[0]
		if w.TravelMM == nil || math.Abs(*w.TravelMM-c.travel) > 1e-6 {
			t.Errorf("%s: travel %v, want %v", c.bites, *w.TravelMM, c.travel)
		}
		if c.travel == 26.7 && math.Abs(*w.OpensDeg-107.6) > 0.05 {
			t.Errorf("opens at %v", *w.OpensDeg)
		}
	}
}
