package crank

import "math"

// Omega returns the crank's angular velocity in radians per second at a speed
// in revolutions per minute.
//
//	omega = 2 pi N/60
func Omega(rpm float64) float64 { return 2 * math.Pi * rpm / 60 }

// MeanSpeed returns the mean piston speed in m/s for a stroke in mm.
//
//	S_p = 2 S N/60
//
// Source: definition; Heywood, Internal Combustion Engine Fundamentals, 1988,
// eq. 2.9, from memory.
func MeanSpeed(stroke, rpm float64) float64 { return 2 * stroke / 1000 * rpm / 60 }

// TopSpeed returns the highest piston speed on the downstroke in m/s, and the
// angle after TDC where it is reached: where the acceleration changes sign.
//
//	v = omega dx/da
func (m Mechanism) TopSpeed(rpm float64) (speed, a float64) {
	low, high := 0.0, m.BDC()
	for range 60 { // halves of half a turn: the last is below 1e-17 rad
		mid := (low + high) / 2
		if m.TravelAccel(mid) > 0 {
			low = mid
		} else {
			high = mid
		}
	}
	return m.TravelRate(low) * Omega(rpm) / 1000, low
}

// TopAccel returns the piston's acceleration towards the crank at TDC in m/s2,
// the largest of the turn.
//
//	a = omega^2 r (1 + r/L) without offset
//
// Source: Jennings, Two-Stroke Tuner's Handbook, 1973, in the form
// N^2 S/2189 (1 + 1/(2 A)) ft/s2 with S in inches and A rod over stroke (form
// from memory); TravelAccel is exact with offset too.
func (m Mechanism) TopAccel(rpm float64) float64 {
	w := Omega(rpm)
	return m.TravelAccel(0) * w * w / 1000
}

// mmPerFoot is exact by definition of the inch.
const mmPerFoot = 304.8

// ringLimits are axial ring height in inches and the acceleration in ft/s2 at
// which a plain ring begins to flutter.
//
// Source: Jennings, Two-Stroke Tuner's Handbook, 1973, piston chapter, as
// quoted; he allows values between to be interpolated.
func ringLimits() [5][2]float64 {
	return [5][2]float64{{0.039, 138000}, {0.047, 106000}, {0.063, 80000}, {0.094, 53000}, {0.125, 40000}}
}

// RingLimit returns the acceleration in m/s2 at which a plain ring of an axial
// height in mm begins to flutter; ok is false for a height that is not above 0.
// Between the rows of the table the product of height and limit is
// interpolated; beyond its ends that of the end is kept. It counts the ring's
// inertia alone, neither gas nor friction: a warning, no verdict.
func RingLimit(height float64) (limit float64, ok bool) {
	h := height / 25.4
	if !(h > 0) || math.IsInf(h, 1) {
		return 0, false
	}
	rows := ringLimits()
	product := func(i int) float64 { return rows[i][0] * rows[i][1] }
	p := product(0)
	for i := 1; i < len(rows); i++ {
		if lo, hi := rows[i-1][0], rows[i][0]; h > lo {
			share := math.Min((h-lo)/(hi-lo), 1)
			p = product(i-1) + share*(product(i)-product(i-1))
		}
	}
	return p / h * mmPerFoot / 1000, true
}
