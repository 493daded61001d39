package crank_test

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"

	"portwright/engine/crank"
)

// TestSensitivitiesAgainstDifferences moves each length a little and looks at
// what the travel at a fixed angle, and the angle at a fixed travel, do.
func TestSensitivitiesAgainstDifferences(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := drawEngine(t)
		a := rapid.Float64Range(0.35, math.Pi-0.35).Draw(t, "a")
		upstroke := rapid.Bool().Draw(t, "upstroke")
		if upstroke {
			a = 2*math.Pi - a
		}
		const h = 1e-4 // mm: the central difference is right to about h^2
		x := m.Travel(a)
		lengths := []float64{m.Stroke(), m.Rod(), m.Offset()}
		moved := func(i int, by float64) crank.Mechanism {
			l := append([]float64(nil), lengths...)
			l[i] += by
			n, err := crank.New(l[0], l[1], l[2])
			if err != nil {
				t.Fatal(err)
			}
			return n
		}
		angle := func(n crank.Mechanism, x float64) float64 {
			down, up, err := n.Angles(x)
			if err != nil {
				t.Fatal(err)
			}
			if upstroke {
				return up
			}
			return down
		}
		travel := m.TravelSensitivity(a)
		at, err := m.AngleSensitivity(a)
		if err != nil {
			t.Fatal(err)
		}
		for i, c := range []struct {
			name            string
			dTravel, dAngle float64
		}{{"stroke", travel.Stroke, at.Stroke}, {"rod", travel.Rod, at.Rod}, {"offset", travel.Offset, at.Offset}} {
			more, less := moved(i, h), moved(i, -h)
			if d := c.dTravel - (more.Travel(a)-less.Travel(a))/(2*h); math.Abs(d) > 1e-7 {
				t.Errorf("travel by %s: %v, off by %v", c.name, c.dTravel, d)
			}
			if d := c.dAngle - (angle(more, x)-angle(less, x))/(2*h); math.Abs(d) > 1e-7 {
				t.Errorf("angle by %s: %v, off by %v", c.name, c.dAngle, d)
			}
		}
		if d := at.Travel - (angle(m, x+h)-angle(m, x-h))/(2*h); math.Abs(d) > 1e-7 {
			t.Errorf("angle by travel: %v, off by %v", at.Travel, d)
		}
		if travel.Angle != m.TravelRate(a) {
			t.Errorf("travel by angle %v is not the rate %v", travel.Angle, m.TravelRate(a))
		}
	})
}

func TestDeadCentresHaveNoSensitivity(t *testing.T) {
	m, err := crank.New(34, 60, 1)
	if err != nil {
		t.Fatal(err)
	}
	for _, a := range []float64{0, m.BDC(), 2 * math.Pi} {
		if _, err := m.AngleSensitivity(a); !errors.Is(err, crank.ErrDeadCentre) {
			t.Errorf("at %v: %v, want ErrDeadCentre", a, err)
		}
	}
}
