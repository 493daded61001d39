package crank

import "math"

// TravelSensitivity says how much the travel at a fixed angle after TDC
// changes per unit of each quantity.
type TravelSensitivity struct {
	Angle  float64 // mm per radian
	Rod    float64 // mm per mm
	Stroke float64 // mm per mm of stroke (twice the throw)
	Offset float64 // mm per mm
}

// AngleSensitivity says how much the angle after TDC at a fixed travel changes
// per unit of each quantity.
type AngleSensitivity struct {
	Travel float64 // radians per mm
	Rod    float64 // radians per mm
	Stroke float64 // radians per mm of stroke (twice the throw)
	Offset float64 // radians per mm
}

// TravelSensitivity returns the partial derivatives of the travel at angle a
// after TDC. TDC itself moves with the lengths, and that is counted:
//
//	x = y_T - y(a + theta0), dx/dp = dy_T/dp - dy/dp + (dx/da) dtheta0/dp
func (m Mechanism) TravelSensitivity(a float64) TravelSensitivity {
	s, c := m.sincos(a)
	u := m.r*s - m.e
	q := math.Sqrt((m.rod - u) * (m.rod + u))
	rate := m.r*s + u*m.r*c/q
	sum := m.rod + m.r
	skew := -m.e / (sum * m.yT) // dtheta0/dL = dtheta0/dr
	return TravelSensitivity{
		Angle:  rate,
		Rod:    sum/m.yT - m.rod/q + rate*skew,
		Stroke: (sum/m.yT - c + u*s/q + rate*skew) / 2,
		Offset: -m.e/m.yT - u/q + rate/m.yT,
	}
}

// AngleSensitivity returns the partial derivatives of the angle at the travel
// that the piston has at angle a, from the implicit function:
//
//	da/dp = -(dx/dp)/(dx/da)
//
// At a dead centre, where dx/da is below a millionth of the throw, it gives
// ErrDeadCentre.
func (m Mechanism) AngleSensitivity(a float64) (AngleSensitivity, error) {
	t := m.TravelSensitivity(a)
	if math.Abs(t.Angle) < 1e-6*m.r {
		return AngleSensitivity{}, ErrDeadCentre
	}
	return AngleSensitivity{
		Travel: 1 / t.Angle,
		Rod:    -t.Rod / t.Angle,
		Stroke: -t.Stroke / t.Angle,
		Offset: -t.Offset / t.Angle,
	}, nil
}

// TravelAtDepth returns the travel at which the crown's edge stands at a depth
// below the deck, when at TDC it stands crown below it (negative when proud):
//
//	x = depth - crown
//
// A depth that the crown's edge never reaches gives ErrTravel.
func (m Mechanism) TravelAtDepth(depth, crown float64) (float64, error) {
	return m.within(depth - crown)
}

// DepthAtTravel returns the depth of the crown's edge below the deck.
func DepthAtTravel(travel, crown float64) float64 { return travel + crown }
