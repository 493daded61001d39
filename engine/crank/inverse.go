package crank

import (
	"math"

	"portwright/engine/unit"
)

// Angles returns the two angles after TDC at which the piston stands at a
// travel: going down, 0 <= down <= BDC, and going up, BDC <= up <= 2 pi. At
// travel 0 they are 0 and 2 pi, at the full stroke both are BDC. A travel
// outside 0 to ActualStroke by more than rounding gives ErrTravel.
//
// Exact for any offset: the crank pin is where a circle of radius r about the
// crank centre meets one of radius L about the gudgeon pin at (e, Y),
//
//	Y = y_T - x, d^2 = Y^2 + e^2, phi = atan(e/Y)
//	theta = phi +- D, cos(D) = (d^2 + r^2 - L^2)/(2 r d)
//
// taken as D = 2 atan2(sqrt(1 - cos D), sqrt(1 + cos D)), each root in a form
// that keeps its digits at the dead centres:
//
//	1 - cos D = (L + d - r)(L + r - d)/(2 r d), L + r - d = x (2 y_T - x)/(L + r + d)
//	1 + cos D = (d + r + L)(d - L + r)/(2 r d), d - L + r = (S - x)(Y + y_B)/(d + L - r)
//
// Source: plane geometry; without offset the form that A. Graham Bell gives,
// as quoted on a workshop forum.
func (m Mechanism) Angles(travel float64) (down, up float64, err error) {
	x, err := m.within(travel)
	if err != nil {
		return 0, 0, err
	}
	left := m.ActualStroke() - x
	y := m.yB + left
	d := math.Hypot(y, m.e)
	near := x * (m.yT + y) / (m.rod + m.r + d)   // L + r - d
	far := left * (y + m.yB) / (d + m.rod - m.r) // d - L + r
	half := math.Sqrt((m.rod + d - m.r) * near)
	other := math.Sqrt((d + m.r + m.rod) * far)
	delta := 2 * math.Atan2(half, other)
	mid := m.midpoint(x)
	down = math.Min(math.Max(mid+delta, 0), m.aB)
	up = math.Min(math.Max(2*math.Pi+mid-delta, m.aB), 2*math.Pi)
	return down, up, nil
}

// within refuses a travel that the piston never has; rounding of a few parts
// in 1e12 is taken as the dead centre meant.
func (m Mechanism) within(travel float64) (float64, error) {
	stroke := m.ActualStroke()
	slack := 1e-12 * stroke
	if !(travel >= -slack && travel <= stroke+slack) {
		return 0, unit.Errorf("%v: %v mm, stroke %v mm", ErrTravel, travel, stroke)
	}
	return math.Min(math.Max(travel, 0), stroke), nil
}

// midpoint returns phi(x) - theta0 without the loss of a difference.
func (m Mechanism) midpoint(x float64) float64 {
	y := m.yT - x
	return math.Atan2(m.e*x, y*m.yT+m.e*m.e)
}

// StopMidpointError returns how far the middle of the two angles against a
// stop at the given travel lies after true TDC.
//
//	atan(e/(y_T - x)) - atan(e/y_T), about e x/(y_T (y_T - x))
//
// At the full stroke it is how far BDC lies past half a turn.
func (m Mechanism) StopMidpointError(travel float64) (float64, error) {
	x, err := m.within(travel)
	if err != nil {
		return 0, err
	}
	return m.midpoint(x), nil
}

// TwoTermTravel returns the textbook's two-term series for the travel without
// offset, for comparison; for a rod of 3.5 throws it is short by about 0.15 %
// of the stroke at 90 degrees.
//
//	x = r ((1 - cos a) + (r/(4 L)) (1 - cos 2a))
//
// Source: Khurmi and Gupta, Theory of Machines, chapter 15, from memory.
func (m Mechanism) TwoTermTravel(a float64) float64 {
	m.made()
	return m.r * ((1 - math.Cos(a)) + m.r/(4*m.rod)*(1-math.Cos(2*a)))
}

// TwoTermRate returns the derivative of TwoTermTravel.
//
//	dx/da = r (sin a + (r/(2 L)) sin 2a)
func (m Mechanism) TwoTermRate(a float64) float64 {
	m.made()
	return m.r * (math.Sin(a) + m.r/(2*m.rod)*math.Sin(2*a))
}
