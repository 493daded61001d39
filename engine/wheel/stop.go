package wheel

import (
	"math"

	"portwright/engine/crank"
	"portwright/engine/unit"
)

// ShortArc is the least angle, in degrees, between the two readings against a
// stop. A nearer stop leaves the piston so little way that its own give turns
// the wheel. Common practice: screw the stop further in below about 30.
const ShortArc = 30.0

// Pair is two labels read against a positive stop: the first reached turning
// the running way, the second turning back onto it from the other side.
type Pair struct {
	First, Second float64
	BDC           bool // the stop was used near bottom dead centre
}

// Contact is what a pair says.
type Contact struct {
	TDC   float64 // place under the pointer at TDC
	Half  float64 // half the angle between the two readings, 0 to 90
	Error float64 // how far the middle lies after the dead centre as half a turn counts it: 0 unless the offset is known

	// Swapped says that on a 0-360 wheel the readings stand in the wrong order:
	// the pair was noted the other way round, or the numbers run the other way.
	Swapped bool
	// Unsure says that on a repeating wheel no 0 or 180 mark stands near the
	// dead centre, so that it can't be told at which place each number stood.
	Unsure bool
}

// farFromMark is how far from a dead centre, in degrees, the marks of a
// repeating wheel may stand before its numbers can't be placed for certain.
const farFromMark = 30.0

// Contact returns where TDC is from one pair: the middle of the shorter arc
// between the readings, on the side of the dead centre where the stop was.
//
//	tdc = (p1 + p2)/2 - s M           stop near TDC
//	tdc = (p1 + p2)/2 - s (180 + M)   stop near BDC
//	M = atan(e/(y_T - x)) - atan(e/y_T)
//
// M is 0 when m is nil; with a known offset e the piston stands at travel x
// against the stop, which follows from the half angle (package crank). On a
// repeating wheel the two numbers are placed so that the running way leads
// from the first to the second and the 0 or 180 mark stands nearest to TDC.
//
// Right while the stop is less than a quarter turn from the dead centre.
// The error is an *unit.InputError without a field.
//
// Source: plane geometry.
func (w Wheel) Contact(p Pair, m *crank.Mechanism) (Contact, error) {
	for _, label := range [2]float64{p.First, p.Second} {
		if err := w.CheckLabel(label); err != nil {
			return Contact{}, err
		}
	}
	first, n := w.Places(p.First)
	second, _ := w.Places(p.Second)
	var best Contact
	bestFar := math.Inf(1)
	for _, p1 := range first[:n] {
		for _, p2 := range second[:n] {
			c, far := w.contact(p1, p2, p.BDC, m)
			if w.Repeats() && c.Swapped {
				continue
			}
			if far < bestFar {
				best, bestFar = c, far
			}
		}
	}
	best.Unsure = w.Repeats() && bestFar > farFromMark
	return best, nil
}

// contact returns what two places say, and how far TDC is from a 0 or 180 mark.
func (w Wheel) contact(p1, p2 float64, bdc bool, m *crank.Mechanism) (Contact, float64) {
	arc := unit.Turn(w.Sense() * (p2 - p1))
	from := p1
	c := Contact{Half: arc / 2}
	if arc > 180 {
		c = Contact{Half: (360 - arc) / 2, Swapped: true}
		from = p2
	}
	middle := from + w.Sense()*c.Half
	c.Error = midpointError(c.Half, bdc, m)
	after := c.Error
	if bdc {
		after += 180
	}
	c.TDC = unit.Turn(middle - w.Sense()*after)
	far := math.Min(math.Abs(unit.Signed(c.TDC)), math.Abs(unit.Signed(c.TDC-180)))
	if w.Numbering == To90 && c.TDC > 90 && c.TDC < 270 {
		c.TDC = unit.Turn(c.TDC - 180) // the same numbers stand there
	}
	return c, far
}

// midpointError returns M in degrees for the half angle between the readings.
//
//	D = half near TDC, 180 - half near BDC
//	d = r cos D + sqrt(L^2 - r^2 sin^2 D), x = y_T - sqrt(d^2 - e^2)
//
// d is the distance from the crank centre to the gudgeon pin in the triangle
// that throw and rod make with it.
func midpointError(half float64, bdc bool, m *crank.Mechanism) float64 {
	if m == nil || m.Offset() == 0 {
		return 0
	}
	D := unit.Rad(half)
	if bdc {
		D = math.Pi - D
	}
	r, L, e := m.Stroke()/2, m.Rod(), m.Offset()
	d := r*math.Cos(D) + math.Sqrt(L*L-r*r*math.Sin(D)*math.Sin(D))
	travel := math.Sqrt((L+r)*(L+r)-e*e) - math.Sqrt(math.Max(0, d*d-e*e))
	travel = math.Min(math.Max(travel, 0), m.ActualStroke())
	M, err := m.StopMidpointError(travel)
	if err != nil {
		return 0
	}
	return unit.Deg(M)
}
