package findings_test

import (
	"math"
	"slices"
	"testing"

	"portwright/engine/build"
	"portwright/engine/findings"
	"portwright/engine/port"
)

// byFeeler marks the readings of some windows' events as taken with a feeler.
func byFeeler(b *build.Build, thickness float64, windows ...string) {
	for i := range b.Passes[0].Readings {
		r := &b.Passes[0].Readings[i]
		r.Method = "light"
		if slices.Contains(windows, r.Window) {
			r.Method = "feeler"
			if thickness > 0 {
				r.FeelerMM = mmOf(thickness)
			}
		}
	}
}

// Transfers taken with a 0.20 mm feeler, the exhaust by light: the feeler reads
// an opening late by 0.2 mm of travel, 4.70143 deg/mm at 122 (independent:
// Python outside the project).
func TestFeelerBesideLight(t *testing.T) {
	g, err := port.Known(34, 60, 0, 0, 0, 0)
	if err != nil {
		t.Fatal(err)
	}
	b := note{engine: engineA(), before: []float64{340, 20}, lines: good}.build()
	byFeeler(b, 0.2, "transfer")
	p := run(t, b)
	if got := codes(p); !slices.Equal(got, []string{findings.CodeMethodsMixed}) {
		t.Fatalf("problems %v", got)
	}
	x := p.Problems[0]
	if got := x.Evidence["expected_shift_deg"]; math.Abs(got-0.2*4.70143) > 0.01 {
		t.Errorf("expected shift %v, want %v", got, 0.2*4.70143)
	}
	after := run(t, b, findings.CodeMethodsMixed)
	if len(after.Problems) > 0 {
		t.Errorf("afterwards %v", codes(after))
	}
	want, err := g.Feeler(122, 0.2, false)
	if err != nil {
		t.Fatal(err)
	}
	near1(t, "transfer opens", after.Windows[1].OpensDeg, want)
	near1(t, "exhaust opens", after.Windows[0].OpensDeg, *p.Windows[0].OpensDeg)
	if *after.BlowdownDeg >= *p.BlowdownDeg-0.8 {
		t.Errorf("blowdown %v, before %v: the feeler's share is still in it", *after.BlowdownDeg, *p.BlowdownDeg)
	}
}

func TestFeelerOfUnknownThickness(t *testing.T) {
	b := note{engine: engineA(), before: []float64{340, 20}, lines: good}.build()
	byFeeler(b, 0, "transfer")
	if x := problem(run(t, b), findings.CodeMethodsMixed); x == nil || x.Remedy != nil {
		t.Errorf("thickness not given: %+v", x)
	}
	b = note{before: []float64{340, 20}, lines: good}.build()
	byFeeler(b, 0.2, "transfer")
	if x := problem(run(t, b), findings.CodeMethodsMixed); x == nil || x.Remedy != nil {
		t.Errorf("stroke not given: %+v", x)
	}
}

// One event seen both ways: how far they differ is said, and neither looks wild.
func TestOneEventSeenBothWays(t *testing.T) {
	b := note{engine: engineA(), before: []float64{340, 20}, lines: []string{
		"exhaust: 100 100 100.5 101 101 / 260 260 260", "transfer: 122 122 122 / 238 238 238"}}.build()
	for i := range b.Passes[0].Readings {
		b.Passes[0].Readings[i].Method = "light"
	}
	for _, i := range []int{3, 4} {
		b.Passes[0].Readings[i].Method, b.Passes[0].Readings[i].FeelerMM = "feeler", mmOf(0.2)
	}
	p := run(t, b)
	if got := codes(p); !slices.Equal(got, []string{findings.CodeMethodsMixed}) {
		t.Fatalf("problems %v", got)
	}
	if got := p.Problems[0].Evidence["measured_shift_deg"]; math.Abs(got-(101-100.1667)) > 0.01 {
		t.Errorf("measured shift %v", got)
	}
	if !slices.Equal(p.Problems[0].Readings, []int{4, 5}) {
		t.Errorf("readings %v", p.Problems[0].Readings)
	}
	// The scatter is that within each way of looking, with the usual half a degree
	// weighing three: sqrt((3 0.5^2 + 0.1667)/(3 + 9)) = 0.28. Both together would
	// make it 0.37.
	if p.Repeatability.SDeg > 0.3 {
		t.Errorf("scatter %v holds the difference of the methods", p.Repeatability.SDeg)
	}
}

// One way of looking throughout is nothing to speak of, whichever it is, and an
// intake by feeler is compared with nothing.
func TestOneMethodIsQuiet(t *testing.T) {
	for _, windows := range [][]string{nil, {"exhaust", "transfer", "intake"}, {"intake"}} {
		b := note{engine: engineA(), before: []float64{340, 20}, lines: good}.build()
		byFeeler(b, 0.2, windows...)
		if got := codes(run(t, b)); len(got) > 0 {
			t.Errorf("feeler at %v: %v", windows, got)
		}
	}
}
