package crank_test

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"

	"portwright/engine/crank"
)

func TestAnglesComeBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := drawMechanism(t)
		a := m.BDC() * rapid.Float64Range(0, 1).Draw(t, "share of the downstroke")
		b := m.BDC() + (2*math.Pi-m.BDC())*rapid.Float64Range(0, 1).Draw(t, "share of the upstroke")
		check := func(angle float64, down bool) {
			gotDown, gotUp, err := m.Angles(m.Travel(angle))
			if err != nil {
				t.Fatal(err)
			}
			got := gotUp
			if down {
				got = gotDown
			}
			// Near a dead centre a travel rounded by e spans sqrt(e) of angle.
			tolerance := 1e-10 * m.Rod() / math.Max(math.Abs(m.TravelRate(angle)), 1e-5*m.Rod())
			if math.Abs(got-angle) > tolerance {
				t.Errorf("angle %v came back as %v", angle, got)
			}
		}
		check(a, true)
		check(b, false)
	})
}

func TestTravelComesBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := drawMechanism(t)
		x := m.ActualStroke() * rapid.Float64Range(0, 1).Draw(t, "share of the stroke")
		down, up, err := m.Angles(x)
		if err != nil {
			t.Fatal(err)
		}
		for _, a := range []float64{down, up} {
			if d := m.Travel(a) - x; math.Abs(d) > 1e-11*m.Rod() {
				t.Errorf("travel %v came back %v off from angle %v", x, d, a)
			}
		}
		if !(0 <= down && down <= m.BDC() && m.BDC() <= up && up <= 2*math.Pi) {
			t.Errorf("angles %v and %v not on their strokes", down, up)
		}
		middle, err := m.StopMidpointError(x)
		if err != nil {
			t.Fatal(err)
		}
		if d := (down+up)/2 - math.Pi - middle; math.Abs(d) > 1e-12 {
			t.Errorf("middle of the two angles is %v from the midpoint error", d)
		}
	})
}

func TestNoOffsetIsSymmetric(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		stroke := rapid.Float64Range(5, 200).Draw(t, "stroke")
		m, err := crank.New(stroke, stroke*rapid.Float64Range(0.52, 6).Draw(t, "rod in strokes"), 0)
		if err != nil {
			t.Fatal(err)
		}
		if m.BDC() != math.Pi || m.TDCSkew() != 0 {
			t.Errorf("BDC at %v, TDC at %v", m.BDC(), m.TDCSkew())
		}
		down, up, err := m.Angles(m.ActualStroke() * rapid.Float64Range(0, 1).Draw(t, "share"))
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(down+up-2*math.Pi) > 1e-14 {
			t.Errorf("%v and %v are not symmetric", down, up)
		}
	})
}

// TestSmallTravels: the inverse keeps its digits where acos would lose half of
// them. Near a dead centre x = a^2 x”(0)/2 to first order.
func TestSmallTravels(t *testing.T) {
	m, err := crank.New(34, 60, 1)
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range []float64{1e-6, 1e-9, 1e-12} {
		down, up, err := m.Angles(x)
		if err != nil {
			t.Fatal(err)
		}
		want := math.Sqrt(2 * x / m.TravelAccel(0))
		if math.Abs(down/want-1) > 1e-3 || math.Abs((2*math.Pi-up)/want-1) > 1e-3 {
			t.Errorf("travel %v: %v and %v before TDC, want both near %v", x, down, 2*math.Pi-up, want)
		}
	}
	down, up, err := m.Angles(0)
	if err != nil || down != 0 || up != 2*math.Pi {
		t.Errorf("travel 0: %v, %v, %v", down, up, err)
	}
	down, up, err = m.Angles(m.ActualStroke())
	if err != nil || math.Abs(down-m.BDC()) > 1e-15 || math.Abs(up-m.BDC()) > 1e-15 {
		t.Errorf("full stroke: %v, %v, want both %v; %v", down, up, m.BDC(), err)
	}
}

func TestTravelOutside(t *testing.T) {
	m, err := crank.New(34, 60, 0)
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range []float64{-0.001, 34.001, math.NaN(), math.Inf(1), math.Inf(-1)} {
		if _, _, err := m.Angles(x); !errors.Is(err, crank.ErrTravel) {
			t.Errorf("Angles(%v): %v, want ErrTravel", x, err)
		}
		if _, err := m.StopMidpointError(x); !errors.Is(err, crank.ErrTravel) {
			t.Errorf("StopMidpointError(%v): %v, want ErrTravel", x, err)
		}
		if _, err := m.TravelAtDepth(x+0.5, 0.5); !errors.Is(err, crank.ErrTravel) {
			t.Errorf("TravelAtDepth(%v): %v, want ErrTravel", x+0.5, err)
		}
	}
}

func TestDepths(t *testing.T) {
	m, err := crank.New(34, 60, 0)
	if err != nil {
		t.Fatal(err)
	}
	for _, crown := range []float64{-0.4, 0, 0.8} {
		x, err := m.TravelAtDepth(20+crown, crown)
		if err != nil || math.Abs(x-20) > 1e-12 {
			t.Errorf("depth %v with the crown at %v: travel %v, %v", 20+crown, crown, x, err)
		}
		if d := crank.DepthAtTravel(x, crown); math.Abs(d-20-crown) > 1e-12 {
			t.Errorf("depth came back as %v", d)
		}
	}
}

// FuzzAngles: whatever the numbers, New and Angles either refuse or give
// angles that lead back to the travel.
func FuzzAngles(f *testing.F) {
	f.Add(34.0, 60.0, 0.0, 22.335056)
	f.Add(34.0, 60.0, 1.0, 0.0)
	f.Add(60.0, 120.0, 0.0, 2.0)
	f.Add(34.0, 17.000001, 0.0, 33.9)
	f.Add(34.0, 20.0, 2.9999999, 34.0)
	f.Add(1e-300, 1e300, 0.0, 1e-300)
	f.Fuzz(func(t *testing.T, stroke, rod, offset, travel float64) {
		m, err := crank.New(stroke, rod, offset)
		if err != nil {
			return
		}
		down, up, err := m.Angles(travel)
		if err != nil {
			if !errors.Is(err, crank.ErrTravel) {
				t.Fatal(err)
			}
			if travel >= 0 && travel <= m.ActualStroke() {
				t.Fatalf("travel %v of %v refused: %v", travel, m.ActualStroke(), err)
			}
			return
		}
		if !(0 <= down && down <= m.BDC() && m.BDC() <= up && up <= 2*math.Pi) {
			t.Fatalf("angles %v and %v, BDC %v", down, up, m.BDC())
		}
		for _, a := range []float64{down, up} {
			x := m.Travel(a)
			if d := math.Abs(x - travel); !(d <= 1e-9*(m.Rod()+m.Stroke())) {
				t.Fatalf("travel %v came back as %v from angle %v", travel, x, a)
			}
			if r := m.TravelRate(a); math.IsNaN(r) || math.IsInf(r, 0) {
				t.Fatalf("rate %v at %v", r, a)
			}
		}
	})
}
