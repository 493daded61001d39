package chamber_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"portwright/engine/chamber"
	"portwright/engine/crank"
)

// The peak is a peak, grows in proportion to the speed and with a smaller gap.
func TestSquishVelocityOfAnyHead(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		stroke := rapid.Float64Range(20, 70).Draw(t, "stroke")
		m, err := crank.New(stroke, 1.9*stroke, 0)
		if err != nil {
			t.Fatal(err)
		}
		h := chamber.Head{Bore: rapid.Float64Range(30, 80).Draw(t, "bore"), Squish: rapid.Float64Range(0.3, 1.5).Draw(t, "squish")}
		h.Band = h.Bore * rapid.Float64Range(0.05, 0.4).Draw(t, "band")
		h.Clearance = chamber.VolumeOf(h.Bore, h.Squish) * rapid.Float64Range(1.5, 10).Draw(t, "clearance")
		v, at, ok := h.Velocity(m, 9000)
		if !ok || !(v > 0) || !(at > 0 && at < 60) {
			t.Fatalf("%v m/s at %v", v, at)
		}
		for b := 0.5; b < 60; b += 0.5 {
			if w := h.VelocityAt(m, -b*math.Pi/180, 9000); w > v*(1+1e-9) {
				t.Fatalf("%v m/s at %v, peak %v at %v", w, b, v, at)
			}
		}
		if double, _, _ := h.Velocity(m, 18000); math.Abs(double-2*v) > 1e-9*v {
			t.Fatalf("twice the speed gives %v of %v", double, v)
		}
		tight := h
		tight.Clearance -= chamber.VolumeOf(h.Bore, h.Squish/2)
		tight.Squish /= 2
		if w, _, ok := tight.Velocity(m, 9000); !ok || w <= v {
			t.Fatalf("half the gap gives %v after %v", w, v)
		}
	})
	m, err := crank.New(34, 60, 0)
	if err != nil {
		t.Fatal(err)
	}
	for _, h := range []chamber.Head{{}, {Bore: 48, Band: 24, Squish: 1, Clearance: 6}, {Bore: 48, Band: 9, Squish: 1, Clearance: 1.8}, {Bore: 48, Band: 9, Clearance: 6}} {
		if _, _, ok := h.Velocity(m, 9000); ok {
			t.Errorf("%+v has no bowl", h)
		}
	}
}

// What a band cut adds and a drop takes, and volume against ratio both ways.
func TestVolumes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		bore := rapid.Float64Range(20, 100).Draw(t, "bore")
		w := rapid.Float64Range(0, 60).Draw(t, "band")
		if share := chamber.BandShare(bore, w); share < 0 || share > 1 || w*2 >= bore && share != 1 {
			t.Fatalf("share %v", share)
		}
		vs, ratio := chamber.Displacement(bore, 40), rapid.Float64Range(1.1, 20).Draw(t, "ratio")
		if got := chamber.GeometricRatio(vs, chamber.ClearanceFor(ratio, vs)); math.Abs(got-ratio) > 1e-9 {
			t.Fatalf("ratio %v comes back as %v", ratio, got)
		}
	})
}
