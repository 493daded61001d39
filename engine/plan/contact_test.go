package plan_test

import (
	"strings"
	"testing"

	"portwright/engine/build"
	"portwright/engine/plan"
)

// A crown cannot come nearer to the head than the squish is known: a target of
// no squish is not reached, whatever is allowed, and it is said (facts of the
// trade: solder is read to some hundredths of a millimetre; the crown that meets
// the head breaks the engine. Common practice, no source).
func TestTheCrownStaysOffTheHead(t *testing.T) {
	b, err := build.Decode([]byte(`{"format":"portwright-build","version":1,
		"engine":{"bore_mm":44,"stroke_mm":32.5,"rod_mm":58,"squish_mm":[0.95,1.0],"chamber_cc":5.8,"squish_band_width_mm":5},
		"windows":[{"name":"exhaust","kind":"exhaust"},{"name":"transfer","kind":"transfer"}],
		"passes":[{"name":"as received","stops":[{"when":"before","near":"tdc","readings":[340,20]}],
			"readings":[{"window":"exhaust","event":"opens","value":104},{"window":"exhaust","event":"closes","value":256},
				{"window":"transfer","event":"opens","value":121},{"window":"transfer","event":"closes","value":239}]}],
		"targets":{"squish_mm":0.02},"moves_allowed":{"base_cut_mm":{}}}`))
	if err != nil {
		t.Fatal(err)
	}
	r, err := plan.Run(b, plan.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if r.Status != plan.Limited {
		t.Errorf("status %s", r.Status)
	}
	cut := 0.0
	for _, m := range r.Moves {
		cut += *m.ByMM
	}
	if least := 0.95 - cut; least < 0.04-1e-6 {
		t.Errorf("%.3f mm of base cut leave %.3f mm at the tightest place", cut, least)
	}
	said := ""
	for _, w := range r.Warnings {
		said += w.Text + "\n"
	}
	if !strings.Contains(said, "Squish comes to") || strings.Contains(said, "put it right") {
		t.Errorf("warnings: %s", said)
	}
}
