package port_test

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"

	"portwright/engine/crank"
	"portwright/engine/port"
	"portwright/engine/stat"
	"portwright/engine/unit"
)

func known(t testing.TB, stroke, rod, offset float64) port.Geometry {
	t.Helper()
	g, err := port.Known(stroke, rod, offset, 0, 0, 0)
	if err != nil {
		t.Fatal(err)
	}
	return g
}

// Engine of stroke 34 and rod 60, invented. Independent: slider-crank computed
// in Python outside the project.
func TestTravelAndSlope(t *testing.T) {
	g := known(t, 34, 60, 0)
	for _, c := range []struct{ angle, travel, degPerMM float64 }{
		{100, 22.335056, 3.60715}, {122, 27.766415, 4.70143}, {75, 14.890811, 3.242},
	} {
		got := g.TravelAt(stat.Exact(c.angle))
		if math.Abs(got.Value-c.travel) > 1e-6 {
			t.Errorf("travel at %v = %v, want %v", c.angle, got.Value, c.travel)
		}
		if s := g.DegPerMM(c.angle); math.Abs(s-c.degPerMM) > 5e-4 {
			t.Errorf("slope at %v = %v deg/mm, want %v", c.angle, s, c.degPerMM)
		}
	}
}

// 0.05 mm of edge at 100 and 122 degrees; 1 mm of rod and 0.1 mm of stroke at
// fixed travel. Independent: partial derivatives computed in Python outside the
// project.
func TestDoubtOfAnAngle(t *testing.T) {
	for _, c := range []struct {
		angle, byEdge, byRod, byStroke float64
	}{{100, 0.180357, 0.149192, 0.263286}, {122, 0.235072, 0.141892, 0.408986}} {
		for _, q := range []struct {
			what              string
			edge, rod, stroke float64
			want              float64
		}{{"edge", 0.05, 1e-12, 1e-12, c.byEdge}, {"rod", 0, 1, 1e-12, c.byRod}, {"stroke", 0, 1e-12, 0.1, c.byStroke}} {
			g, err := port.Known(34, 60, 0, q.stroke, q.rod, 0)
			if err != nil {
				t.Fatal(err)
			}
			x := stat.Estimate{Value: g.Travel(unit.Rad(c.angle)), Parts: []stat.Component{{Name: "edge", U: q.edge, C: 1}}}
			a, err := g.AngleAt(x, false)
			if err != nil {
				t.Fatal(err)
			}
			u, _, err := a.U()
			if err != nil || math.Abs(u-q.want) > 2e-4*q.want || math.Abs(a.Value-c.angle) > 1e-9 {
				t.Errorf("%s at %v: %v +- %v (%v), want +- %v", q.what, c.angle, a.Value, u, err, q.want)
			}
		}
	}
}

// Raising a roof by half a mm at 100 and 122, a mm at 100. Independent: as above.
func TestMMForDegrees(t *testing.T) {
	g := known(t, 34, 60, 0)
	for _, c := range []struct{ opens, earlier, want float64 }{
		{100, 100 - 98.20966, 0.5}, {100, 100 - 96.44408, 1}, {122, 122 - 119.69137, 0.5}, {122, 122 - 117.46019, 1},
	} {
		if got := g.MMForDegrees(c.opens, c.earlier); math.Abs(got-c.want) > 1e-5 {
			t.Errorf("%v earlier at %v: %v mm, want %v", c.earlier, c.opens, got, c.want)
		}
	}
}

// How many mm two degrees of opening are in a saw of some 50 cc, at exhaust,
// transfer and intake: 0.53, 0.41 and 0.59 in a table computed outside the
// project for an engine of stroke near 33.
func TestMMForTwoDegreesIsOfTheTradesSize(t *testing.T) {
	g, err := port.RodUnknown(33, 0, 0, 0)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ opens, want float64 }{{100, 0.53}, {122, 0.41}, {285, 0.59}} {
		if got := g.MMForDegrees(c.opens, 2); math.Abs(got-c.want) > 0.03 {
			t.Errorf("2 deg at %v: %v mm, want about %v", c.opens, got, c.want)
		}
	}
}

// A 0.20 mm feeler moves an exhaust opening at 100 by 0.44 deg in an engine of
// stroke 54.5 and 0.77 deg in one of 32.5 (public workshop text).
func TestFeeler(t *testing.T) {
	for _, c := range []struct{ stroke, rod, want float64 }{{54.5, 105, 0.44}, {32.5, 58, 0.77}} {
		g := known(t, c.stroke, c.rod, 0)
		open, err := g.Feeler(100, 0.2, false)
		if err != nil || math.Abs(100-open-c.want) > 0.02 {
			t.Errorf("stroke %v: opening read at 100 was at %v (%v), want %v before", c.stroke, open, err, c.want)
		}
		closed, err := g.Feeler(260, 0.2, false)
		if err != nil || math.Abs(closed+open-360) > 1e-9 {
			t.Errorf("stroke %v: closing %v does not mirror opening %v (%v)", c.stroke, closed, open, err)
		}
		intake, err := g.Feeler(285, 0.2, true)
		if err != nil || !(intake < 285) {
			t.Errorf("stroke %v: intake opening read at 285 was at %v (%v), want before", c.stroke, intake, err)
		}
	}
}

// Offset of 1 mm: opening after TDC and closing before TDC as crank angle of the
// exhaust and transfer roofs. Independent: Python as above.
func TestOffsetMovesTheMiddle(t *testing.T) {
	g := known(t, 34, 60, 1)
	for _, c := range []struct{ travel, opens, duration float64 }{
		{22.335056, 100.29444, 160.01914},
		{27.766415, 122.40241, 116.03443},
	} {
		o, err := g.AngleAt(stat.Exact(c.travel), false)
		if err != nil || math.Abs(o.Value-c.opens) > 2e-5 {
			t.Errorf("travel %v opens at %v (%v), want %v", c.travel, o.Value, err, c.opens)
		}
		if d := port.Duration(o.Value, g.Partner(o.Value)); math.Abs(d-c.duration) > 2e-5 {
			t.Errorf("travel %v is open for %v, want %v", c.travel, d, c.duration)
		}
	}
}

func TestPartnerIsTheOtherEvent(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		stroke := rapid.Float64Range(20, 80).Draw(t, "stroke")
		g, err := port.Known(stroke, stroke*rapid.Float64Range(1.5, 2.3).Draw(t, "rod"), stroke*rapid.Float64Range(-0.06, 0.06).Draw(t, "offset"), 0, 0, 0)
		if err != nil {
			t.Fatal(err)
		}
		x := g.ActualStroke() * rapid.Float64Range(0.05, 0.95).Draw(t, "travel")
		down, up, err := g.Angles(x)
		if err != nil {
			t.Fatal(err)
		}
		if got := g.Partner(unit.Deg(down)); math.Abs(unit.Signed(got-unit.Deg(up))) > 1e-6 {
			t.Fatalf("partner of %v is %v, want %v", unit.Deg(down), got, unit.Deg(up))
		}
		if got := g.Partner(unit.Deg(up)); math.Abs(unit.Signed(got-unit.Deg(down))) > 1e-6 {
			t.Fatalf("partner of %v is %v, want %v", unit.Deg(up), got, unit.Deg(down))
		}
		// Opening and closing add to 360 + 2M.
		if sum := port.PairSum(unit.Deg(down), unit.Deg(up)); math.Abs(sum-360-2*g.Midpoint(x)) > 1e-6 {
			t.Fatalf("pair adds to %v, want %v", sum, 360+2*g.Midpoint(x))
		}
	})
}

// Depth to angle and back.
func TestAngleOfATravelLeadsBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g, err := port.RodUnknown(rapid.Float64Range(20, 80).Draw(t, "stroke"), 0, 0, 0)
		if err != nil {
			t.Fatal(err)
		}
		x := g.Stroke() * rapid.Float64Range(0.02, 0.98).Draw(t, "travel")
		up := rapid.Bool().Draw(t, "up")
		a, err := g.AngleAt(stat.Exact(x), up)
		if err != nil || (a.Value > 180) != up {
			t.Fatalf("travel %v is at %v (%v)", x, a.Value, err)
		}
		if back := g.TravelAt(a); math.Abs(back.Value-x) > 1e-9*g.Stroke() {
			t.Fatalf("travel %v is at %v, where it is %v", x, a.Value, back.Value)
		}
	})
}

func TestMidpointGrowsAsItsSlope(t *testing.T) {
	g, small := known(t, 34, 60, 0), known(t, 34, 60, 1e-3)
	for _, x := range []float64{5, 15, 22, 28, 33} {
		if got, want := g.MidpointPerMM(x), small.Midpoint(x)/1e-3; math.Abs(got-want) > 1e-4 {
			t.Errorf("travel %v: %v deg per mm of offset, want %v", x, got, want)
		}
	}
}

// A rod that is not known spans the durations that rods of 1.6 to 2.2 strokes
// give: the edge lies within two standard uncertainties of the middle.
func TestRodUnknownSpansTheRods(t *testing.T) {
	g, err := port.RodUnknown(32.5, 0, 0, 0)
	if err != nil || g.RodKnown {
		t.Fatal(g, err)
	}
	a, err := g.AngleAt(stat.Exact(22), false)
	if err != nil {
		t.Fatal(err)
	}
	u, _, err := a.U()
	if err != nil {
		t.Fatal(err)
	}
	for _, strokes := range []float64{1.6, 2.2} {
		at := known(t, 32.5, strokes*32.5, 0)
		b, err := at.AngleAt(stat.Exact(22), false)
		if err != nil {
			t.Fatal(err)
		}
		if off := math.Abs(b.Value - a.Value); off > 2*u+0.15 || off < u {
			t.Errorf("rod of %v strokes: %v off the middle, standard uncertainty %v", strokes, off, u)
		}
	}
}

func TestWhatCantBe(t *testing.T) {
	g := known(t, 34, 60, 0)
	if _, err := g.AngleAt(stat.Exact(35), false); !errors.Is(err, crank.ErrTravel) {
		t.Errorf("travel beyond the stroke: %v", err)
	}
	if _, err := g.AngleAt(stat.Exact(34), false); !errors.Is(err, port.ErrNoSlope) {
		t.Errorf("travel at BDC: %v", err)
	}
	if _, err := port.Known(34, 16, 0, 0, 0, 0); err == nil {
		t.Error("a rod shorter than the throw is taken")
	}
	if _, err := port.RodUnknown(math.NaN(), 0, 0, 0); err == nil {
		t.Error("a stroke that is no number is taken")
	}
	if !math.IsInf(g.DegPerMM(180), 1) && g.DegPerMM(180) < 1e6 {
		t.Errorf("slope at BDC %v", g.DegPerMM(180))
	}
}
