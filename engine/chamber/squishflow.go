package chamber

import (
	"math"

	"portwright/engine/crank"
)

// Head is a flat squish band round a bowl.
type Head struct {
	Bore      float64 // mm
	Band      float64 // width of the band, mm; above 0 and below half the bore
	Squish    float64 // gap at TDC, mm; above 0
	Clearance float64 // volume at TDC with the gap, cm3
}

// Holds says whether there is a bowl beside the gap: all numbers above 0, a
// band narrower than half the bore, and more clearance than the gap alone over
// the whole bore takes.
func (h Head) Holds() bool {
	return h.Band > 0 && 2*h.Band < h.Bore && h.Squish > 0 && h.Clearance > VolumeOf(h.Bore, h.Squish)
}

// VelocityAt returns the speed in m/s with which charge leaves the band over
// the bowl's rim, at an angle after TDC and a speed in rpm; positive inwards
// while the piston rises. The density is taken as the same throughout, the
// band as flat, the bowl's volume V_B as its own:
//
//	z = z0 + x, V_B = V_c - A_p z0
//	v = (B^2 - d^2)/(4 d z) V_B/(A_p z + V_B) |dz/dt|
//
// Source: Heywood, Internal Combustion Engine Fundamentals, 1988, eq. 8.36,
// from memory, and derived again from continuity over the rim pi d z. Blair's
// stepwise model gives the same order; results of the two don't compare.
func (h Head) VelocityAt(m crank.Mechanism, a, rpm float64) float64 {
	d := h.Bore - 2*h.Band
	z := h.Squish + m.Travel(a)
	bowl := h.Clearance*1000 - area(h.Bore)*h.Squish
	closing := -m.TravelRate(a) * crank.Omega(rpm) / 1000
	return (h.Bore*h.Bore - d*d) / (4 * d * z) * bowl / (area(h.Bore)*z + bowl) * closing
}

// Velocity returns the largest squish velocity before TDC in m/s and the angle
// before TDC, in degrees, at which it is reached. ok is false where the head
// has no bowl (Holds). It grows in proportion to the speed.
func (h Head) Velocity(m crank.Mechanism, rpm float64) (speed, beforeTDC float64, ok bool) {
	if !h.Holds() || !(rpm > 0) || math.IsInf(rpm, 1) {
		return 0, 0, false
	}
	// One peak: the gap closes ever faster against a rate that falls to 0 at
	// TDC. Golden section over the last 90 degrees, to 1e-9 of a radian.
	at := func(b float64) float64 { return h.VelocityAt(m, -b, rpm) }
	const golden = 0.6180339887498949
	low, high := 0.0, math.Pi/2
	for high-low > 1e-9 {
		p, q := high-golden*(high-low), low+golden*(high-low)
		if at(p) > at(q) {
			high = q
		} else {
			low = p
		}
	}
	b := (low + high) / 2
	return at(b), b * 180 / math.Pi, true
}
