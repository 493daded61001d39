package wheel_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"portwright/engine/unit"
	"portwright/engine/wheel"
)

func TestRim(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := rapid.Float64Range(20, 400).Draw(t, "diameter")
		deg := rapid.Float64Range(-180, 180).Draw(t, "deg")
		along := wheel.RimMM(d, deg)
		if back := wheel.RimDeg(d, along); math.Abs(back-deg) > 1e-10 {
			t.Fatalf("%v degrees came back as %v", deg, back)
		}
		// The chord between two points of the circle, in coordinates.
		s, c := math.Sincos(unit.Rad(deg))
		chord := math.Copysign(math.Hypot(d/2*s, d/2*(1-c)), deg)
		back, ok := wheel.ChordDeg(d, chord*(1-1e-15))
		if !ok || math.Abs(back-deg) > 1e-4 || math.Abs(chord) > math.Abs(along)*(1+1e-12) {
			t.Fatalf("%v degrees have the chord %v and came back as %v, %v", deg, chord, back, ok)
		}
	})
	for _, straight := range []float64{12.1, -12.1, math.NaN()} {
		if _, ok := wheel.ChordDeg(12, straight); ok {
			t.Errorf("a chord of %v on a diameter of 12 was taken", straight)
		}
	}
}

// TestReadingErrorsInCoordinates sets pointer, eye and wheel up as points.
func TestReadingErrorsInCoordinates(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		radius := rapid.Float64Range(40, 150).Draw(t, "radius")
		gap := rapid.Float64Range(0, 3).Draw(t, "gap")
		view := rapid.Float64Range(-20, 20).Draw(t, "degrees off square")
		// The line of sight past the pointer at (0, R) meets the wheel a gap
		// behind it, to the side.
		sideways := gap * math.Tan(unit.Rad(view))
		if got, want := wheel.ParallaxDeg(gap, view, radius), unit.Deg(math.Atan2(sideways, radius)); math.Abs(got-want) > 1e-3 {
			t.Fatalf("parallax %v, want %v", got, want)
		}
		off := rapid.Float64Range(0, 1).Draw(t, "off centre")
		most := 0.0
		for deg := range 360 { // a mark at this angle of a wheel whose middle is moved sideways
			s, c := math.Sincos(unit.Rad(float64(deg)))
			seen := unit.Deg(math.Atan2(radius*s+off, radius*c))
			most = math.Max(most, math.Abs(unit.Signed(seen-float64(deg))))
		}
		if got := wheel.OffCentreDeg(off, radius); math.Abs(got-most) > 1e-3 {
			t.Fatalf("off centre %v, want %v", got, most)
		}
	})
}
