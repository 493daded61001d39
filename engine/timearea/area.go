package timearea

import (
	"errors"
	"math"

	"portwright/engine/crank"
	"portwright/engine/port"
	"portwright/engine/unit"
)

// Window is an opening with its place in the cylinder.
type Window struct {
	port.Shape
	Travel float64 // of the piston when the edge is met, mm
	Skirt  bool    // the edge is the floor, met by the skirt's lower edge
}

// ErrNeverOpen says that a window's edge lies where the piston never comes.
var ErrNeverOpen = errors.New("timearea: the piston never reaches the window's edge")

// Span returns the angles after TDC, in degrees, between which a window is
// open; from lies below to, and below 0 for one that is open around TDC.
func (w Window) Span(m crank.Mechanism) (from, to float64, err error) {
	down, up, err := m.Angles(w.Travel)
	if err != nil {
		return 0, 0, ErrNeverOpen
	}
	if w.Skirt {
		return unit.Deg(up) - 360, unit.Deg(down), nil
	}
	return unit.Deg(down), unit.Deg(up), nil
}

// AngleArea returns the angle-area in mm2 deg of the whole time that a window
// is open.
//
//	Theta = integral of A over the crank's angle
func (w Window) AngleArea(m crank.Mechanism) (float64, error) {
	from, to, err := w.Span(m)
	if err != nil {
		return 0, err
	}
	return w.Between(m, from, to), nil
}

// BlowdownArea returns the exhaust's angle-area in mm2 deg from its opening
// until the transfer opens, at an angle after TDC in degrees; 0 when that opens
// first. The like part on the closing side is not counted.
func (w Window) BlowdownArea(m crank.Mechanism, transferOpens float64) (float64, error) {
	from, to, err := w.Span(m)
	if err != nil || transferOpens <= from {
		return 0, err
	}
	return w.Between(m, from, math.Min(transferOpens, to)), nil
}

// Between returns the angle-area between two angles after TDC in degrees, from
// below to. The span is cut where the outline changes and at the dead centres;
// each piece is a Gauss-Legendre sum after a change of variable that takes the
// root at its ends away.
//
// Accuracy: about 1e-9 of the whole.
func (w Window) Between(m crank.Mechanism, from, to float64) float64 {
	if !(from < to) {
		return 0
	}
	cuts := []float64{from, to}
	put := func(deg float64) {
		for _, turn := range [3]float64{-360, 0, 360} {
			if a := deg + turn; a > from && a < to {
				cuts = append(cuts, a)
			}
		}
	}
	put(0)
	put(unit.Deg(m.BDC()))
	for _, u := range w.Breaks() {
		x := w.Travel + u
		if w.Skirt { // the roof stands a height above the floor
			x = w.Travel - w.Height + u
		}
		if down, up, err := m.Angles(x); err == nil {
			put(unit.Deg(down))
			put(unit.Deg(up))
		}
	}
	// Few cuts: put each in its place.
	for i := 1; i < len(cuts); i++ {
		for k := i; k > 0 && cuts[k] < cuts[k-1]; k-- {
			cuts[k], cuts[k-1] = cuts[k-1], cuts[k]
		}
	}
	sum := 0.0
	for i := 1; i < len(cuts); i++ {
		sum += piece(cuts[i-1], cuts[i], func(deg float64) float64 {
			return w.OpenArea(m, w.Travel, unit.Rad(deg), w.Skirt)
		})
	}
	return sum
}

// piece integrates f from a to b. With t = (3s - s^3)/2 the slope dt/ds
// vanishes at both ends, where f may begin like a root.
func piece(a, b float64, f func(float64) float64) float64 {
	nodes, weights := gauss()
	mid, half := (a+b)/2, (b-a)/2
	sum := 0.0
	for i, s := range nodes {
		for _, s := range [2]float64{-s, s} {
			t := s * (3 - s*s) / 2
			sum += weights[i] * 1.5 * (1 - s*s) * f(mid+half*t)
		}
	}
	return sum * half
}

// gauss returns the positive nodes of the 16-point Gauss-Legendre rule and
// their weights.
//
// Source: Abramowitz and Stegun, Handbook of Mathematical Functions, 1964,
// table 25.4; computed again by Newton's method on the Legendre polynomial.
func gauss() (nodes, weights [8]float64) {
	return [8]float64{
			0.0950125098376374, 0.2816035507792589, 0.4580167776572274, 0.6178762444026438,
			0.7554044083550030, 0.8656312023878318, 0.9445750230732326, 0.9894009349916499},
		[8]float64{
			0.1894506104550685, 0.1826034150449236, 0.1691565193950025, 0.1495959888165767,
			0.1246289712555339, 0.0951585116824928, 0.0622535239386479, 0.0271524594117541}
}
