package wheel

import (
	"math"

	"portwright/engine/unit"
)

// RimMM returns the length along the rim that an angle spans, in the unit of
// the diameter: what a degree looks like on a wheel, or a few degrees on a
// flywheel.
//
//	s = pi D a/360
//
// Source: plane geometry.
func RimMM(diameter, deg float64) float64 { return math.Pi * diameter * deg / 360 }

// RimDeg returns the angle that a length along the rim spans. The diameter
// must be above 0.
//
//	a = 360 s/(pi D)
//
// Source: plane geometry.
func RimDeg(diameter, along float64) float64 { return 360 * along / (math.Pi * diameter) }

// ChordDeg returns the angle that a straight length between two points of a
// circle spans, as a key's offset on a shaft does; ok is false where the
// length is more than the diameter.
//
//	a = 2 asin(s/D)
//
// Source: plane geometry.
func ChordDeg(diameter, straight float64) (deg float64, ok bool) {
	if !(math.Abs(straight) <= diameter) {
		return 0, false
	}
	return unit.Deg(2 * math.Asin(straight/diameter)), true
}

// ParallaxDeg returns how far a reading is off when a pointer that stands a gap
// away from the wheel is looked at so many degrees off square, at radius R.
//
//	d = g tan(v)/R radians
//
// Source: plane geometry; the gap is small against R.
func ParallaxDeg(gap, offSquareDeg, radius float64) float64 {
	return unit.Deg(gap * math.Tan(unit.Rad(offSquareDeg)) / radius)
}

// OffCentreDeg returns the most that a reading is off when the wheel's middle
// runs so far off the crank's: a sine once a turn with this amplitude.
//
//	d = c/R radians
//
// Source: plane geometry; c is small against R.
func OffCentreDeg(offCentre, radius float64) float64 { return unit.Deg(offCentre / radius) }
