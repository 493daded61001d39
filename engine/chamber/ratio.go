// Package chamber is the chapter on volumes, compression ratios and squish.
//
//	B, S  bore and stroke, mm       A_p  piston area, pi B^2/4
//	V_s   swept volume, cm3         V_c  clearance volume at TDC, cm3
//	x     travel below TDC, mm      z    squish, mm
package chamber

import "math"

// Displacement returns the volume that one piston sweeps in cm3, bore and
// stroke in mm.
//
//	V_s = pi B^2 S / 4000
func Displacement(bore, stroke float64) float64 { return area(bore) * stroke / 1000 }

// GeometricRatio returns the compression ratio over the full stroke, volumes
// in cm3; the clearance volume must be above zero.
//
//	CR_g = (V_s + V_c)/V_c
//
// Source: definition; "uncorrected" in Classic Motorcycle Mechanics, 2019.
func GeometricRatio(displacement, clearance float64) float64 {
	return (displacement + clearance) / clearance
}

// TrappedRatio returns the compression ratio from exhaust closing, where the
// piston stands at a travel in mm: what lies above it then over what lies above
// it at TDC. Bore in mm, clearance volume in cm3 and above zero.
//
//	CR_t = (A_p x_E + V_c)/V_c
//
// Source: definition, the cylinder's volume being V_c + A_p x; "corrected" in
// Classic Motorcycle Mechanics, 2019.
func TrappedRatio(bore, travel, clearance float64) float64 {
	return (area(bore)*travel/1000 + clearance) / clearance
}

func area(bore float64) float64 { return math.Pi * bore * bore / 4 }

// Squish is the gap between crown and head at TDC, from one place or more.
type Squish struct {
	PinAxis     float64 // mean of the two places on the pin axis, where the piston can't rock; of the one when only one was taken
	Least, Most float64
	Places      int
}

// MeasuredSquish describes gaps in mm taken with crushed wire, the two on the
// pin axis first. ok is false for none.
//
// Source of the rule of the pin axis: kart rule books, "left and right in the
// direction of the gudgeon pin, the mean counts" (common practice).
func MeasuredSquish(gaps []float64) (s Squish, ok bool) {
	if len(gaps) == 0 {
		return Squish{}, false
	}
	s = Squish{PinAxis: gaps[0], Least: gaps[0], Most: gaps[0], Places: len(gaps)}
	if len(gaps) > 1 {
		s.PinAxis = (gaps[0] + gaps[1]) / 2
	}
	for _, z := range gaps {
		s.Least, s.Most = math.Min(s.Least, z), math.Max(s.Most, z)
	}
	return s, true
}

// Spread returns the largest gap minus the smallest.
func (s Squish) Spread() float64 { return s.Most - s.Least }
