package crank_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"portwright/engine/crank"
	"portwright/engine/unit"
)

// drawMechanism draws what can turn, from needle-thin margins to sensible
// engines.
func drawMechanism(t *rapid.T) crank.Mechanism {
	stroke := rapid.Float64Range(5, 200).Draw(t, "stroke")
	rod := stroke * rapid.Float64Range(0.52, 6).Draw(t, "rod in strokes")
	offset := (rod - stroke/2) * rapid.Float64Range(-0.95, 0.95).Draw(t, "offset of what is possible")
	m, err := crank.New(stroke, rod, offset)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func drawEngine(t *rapid.T) crank.Mechanism {
	stroke := rapid.Float64Range(25, 60).Draw(t, "stroke")
	rod := stroke * rapid.Float64Range(1.6, 2.2).Draw(t, "rod in strokes")
	m, err := crank.New(stroke, rod, rapid.Float64Range(-2, 2).Draw(t, "offset"))
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func TestNewRefuses(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for _, c := range []struct {
		name                string
		stroke, rod, offset float64
		fields              []string
	}{
		{"rod shorter than the throw", 34, 16, 0, []string{"engine.rod_mm"}},
		{"rod as long as the throw", 34, 17, 0, []string{"engine.rod_mm"}},
		{"offset takes what the rod has left", 34, 20, 3, []string{"engine.pin_offset_mm"}},
		{"offset to the other side", 34, 20, -3.5, []string{"engine.pin_offset_mm"}},
		{"nothing given", 0, 0, 0, []string{"engine.stroke_mm", "engine.rod_mm"}},
		{"negative lengths", -34, -60, 0, []string{"engine.stroke_mm", "engine.rod_mm"}},
		{"not numbers", nan, inf, nan, []string{"engine.stroke_mm", "engine.rod_mm", "engine.pin_offset_mm"}},
		{"beyond any engine", 34, 2e6, 0, []string{"engine.rod_mm"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := crank.New(c.stroke, c.rod, c.offset)
			var in *unit.InputError
			if !errors.As(err, &in) {
				t.Fatalf("error %v, want an input error", err)
			}
			if got := strings.Count(err.Error(), "\n") + 1; got != len(c.fields) {
				t.Errorf("%d errors, want %d: %v", got, len(c.fields), err)
			}
			for _, f := range c.fields {
				if !strings.Contains(err.Error(), f) {
					t.Errorf("%q does not name %s", err, f)
				}
			}
		})
	}
}

func TestZeroMechanismPanics(t *testing.T) {
	defer func() {
		if recover() == nil {
			t.Error("a Mechanism not made by New answered")
		}
	}()
	crank.Mechanism{}.Travel(1)
}

func TestTravelAtDeadCentres(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := drawMechanism(t)
		if x := m.Travel(0); x != 0 && x > 1e-12*m.Rod() {
			t.Errorf("travel at TDC %v", x)
		}
		if short := m.ActualStroke() - m.Travel(m.BDC()); short > 1e-10*m.Rod() {
			t.Errorf("travel at BDC short of the stroke by %v", short)
		}
		if m.ActualStroke() < m.Stroke()*(1-1e-12) {
			t.Errorf("actual stroke %v below twice the throw %v", m.ActualStroke(), m.Stroke())
		}
	})
}

// TestDistancesHold is the mechanism's own definition, in coordinates: the rod
// keeps its length and the piston its axis.
func TestDistancesHold(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := drawMechanism(t)
		a := rapid.Float64Range(0, 2*math.Pi).Draw(t, "a")
		s, c := math.Sincos(a + m.TDCSkew())
		pinX, pinY := m.Stroke()/2*s, m.Stroke()/2*c
		top := math.Sqrt(math.Pow(m.Rod()+m.Stroke()/2, 2) - m.Offset()*m.Offset())
		got := math.Hypot(pinX-m.Offset(), pinY-(top-m.Travel(a)))
		if math.Abs(got-m.Rod()) > 1e-9*m.Rod() {
			t.Errorf("crank pin to gudgeon pin %v, rod %v", got, m.Rod())
		}
	})
}

func TestTravelRisesThenFalls(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := drawMechanism(t)
		p := rapid.Float64Range(0, 1).Draw(t, "p")
		q := rapid.Float64Range(0, 1).Draw(t, "q")
		low, high := math.Min(p, q), math.Max(p, q)
		slack := 1e-11 * m.Rod()
		if m.Travel(low*m.BDC()) > m.Travel(high*m.BDC())+slack {
			t.Errorf("travel falls on the downstroke between %v and %v of it", low, high)
		}
		up := func(f float64) float64 { return m.BDC() + f*(2*math.Pi-m.BDC()) }
		if m.Travel(up(high)) > m.Travel(up(low))+slack {
			t.Errorf("travel rises on the upstroke between %v and %v of it", low, high)
		}
	})
}

// TestReversedEngine: running the other way, or offset to the other side,
// is one and the same.
func TestReversedEngine(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := drawMechanism(t)
		mirror, err := crank.New(m.Stroke(), m.Rod(), -m.Offset())
		if err != nil {
			t.Fatal(err)
		}
		a := rapid.Float64Range(0, 2*math.Pi).Draw(t, "a")
		if d := m.Travel(a) - mirror.Travel(-a); math.Abs(d) > 1e-10*m.Rod() {
			t.Errorf("travel differs by %v", d)
		}
		if d := m.BDC() + mirror.BDC() - 2*math.Pi; math.Abs(d) > 1e-12 {
			t.Errorf("downstrokes of the two do not make a turn: %v", d)
		}
	})
}

func TestRatesAgainstDifferences(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := drawEngine(t)
		a := rapid.Float64Range(0.01, 2*math.Pi-0.01).Draw(t, "a")
		// Central differences: the error is h^2/6 of the third derivative, about
		// a throw, and rounding over h.
		const h = 1e-4
		rate := (m.Travel(a+h) - m.Travel(a-h)) / (2 * h)
		if d := m.TravelRate(a) - rate; math.Abs(d) > 1e-6 {
			t.Errorf("rate %v, difference quotient %v", m.TravelRate(a), rate)
		}
		accel := (m.TravelRate(a+h) - m.TravelRate(a-h)) / (2 * h)
		if d := m.TravelAccel(a) - accel; math.Abs(d) > 1e-6 {
			t.Errorf("acceleration %v, difference quotient %v", m.TravelAccel(a), accel)
		}
	})
}

func TestTwoTermSeries(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		stroke := rapid.Float64Range(25, 60).Draw(t, "stroke")
		rod := stroke * rapid.Float64Range(1.6, 50).Draw(t, "rod in strokes")
		m, err := crank.New(stroke, rod, 0)
		if err != nil {
			t.Fatal(err)
		}
		a := rapid.Float64Range(0, 2*math.Pi).Draw(t, "a")
		// The first term left out of the rod's series is r (r/L)^3 sin^4(a)/8;
		// all that follow are smaller and of one sign.
		k := stroke / 2 / rod
		short := m.Travel(a) - m.TwoTermTravel(a)
		first := stroke / 2 * k * k * k * math.Pow(math.Sin(a), 4) / 8
		if short < first-1e-12 || short > first*1.1+1e-12 {
			t.Errorf("two-term travel is short by %v, the next term is %v", short, first)
		}
		const h = 1e-4
		if d := m.TwoTermRate(a) - (m.TwoTermTravel(a+h)-m.TwoTermTravel(a-h))/(2*h); math.Abs(d) > 1e-6 {
			t.Errorf("two-term rate differs from the difference quotient by %v", d)
		}
	})
}
