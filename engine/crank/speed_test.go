package crank_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"portwright/engine/crank"
	"portwright/engine/unit"
)

// Independent: maximum by scipy in an earlier computation, 18.5070 m/s at
// 75.2382 degrees for stroke 34, rod 60 at 10000 rpm.
func TestTopSpeed(t *testing.T) {
	m, err := crank.New(34, 60, 0)
	if err != nil {
		t.Fatal(err)
	}
	if v, a := m.TopSpeed(10000); math.Abs(v-18.5070) > 5e-5 || math.Abs(unit.Deg(a)-75.2382) > 5e-5 {
		t.Errorf("%v m/s at %v", v, unit.Deg(a))
	}
}

// The mean of the piston's speed over the downstroke is the mean speed.
func TestMeanSpeedIsTheMean(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		stroke := rapid.Float64Range(10, 80).Draw(t, "stroke")
		m, err := crank.New(stroke, stroke*rapid.Float64Range(1, 3).Draw(t, "rod"), 0)
		if err != nil {
			t.Fatal(err)
		}
		const n = 2000
		sum := 0.0
		for i := range n {
			sum += m.TravelRate(math.Pi*(float64(i)+0.5)/n) * crank.Omega(9000) / 1000 / n
		}
		if want := crank.MeanSpeed(stroke, 9000); math.Abs(sum-want) > 1e-5*want {
			t.Fatalf("mean %v, want %v", sum, want)
		}
	})
}

// Between the rows of the table limits fall with height; nothing is asked of a
// ring without one.
func TestRingLimitFalls(t *testing.T) {
	last := math.Inf(1)
	for h := 0.3; h < 5; h += 0.01 {
		l, ok := crank.RingLimit(h)
		if !ok || l >= last {
			t.Fatalf("%v mm: %v after %v", h, l, last)
		}
		last = l
	}
	for _, h := range []float64{0, -1, math.NaN(), math.Inf(1)} {
		if _, ok := crank.RingLimit(h); ok {
			t.Errorf("a limit for %v mm", h)
		}
	}
}
