package wheel

import (
	"math"

	"portwright/engine/unit"
)

// Hint is what is known about where the crank stood when a number was read.
type Hint struct {
	Up      bool // the piston was rising
	NearTop bool // on a 0-90-0-90 wheel: in the quarters next to TDC, not those next to BDC
	Quarter int  // 1 to 4 after TDC the running way; 0: by NearTop
}

// Spot is a number's angle and, on a repeating wheel, the angle that the same
// number would have had on the other side of the quarter.
type Spot struct {
	Place float64 // on the wheel
	Angle float64 // after TDC, 0 <= a < 360

	// Other is the same number's angle on the same stroke in the next quarter
	// of a 0-90-0-90 wheel; NaN on the other wheels.
	Other float64
	// Unsure says that Angle and Other lie within AskWithin of the end they
	// share and nobody said which quarter it was.
	Unsure bool
}

// AskWithin is how near to the end of a quarter, in degrees, a number of a
// 0-90-0-90 wheel may stand before it has to be asked which side of the end
// was meant: an exhaust that opens near 90 lies on either side of it.
// Convention: ports near 90 vary by about as much from engine to engine
// (common practice, no source).
const AskWithin = 6.0

// Resolve returns the angle that a label means. On a 0-360 wheel the hint is
// not needed; on a 0-180-0 wheel the piston's direction decides; on a
// 0-90-0-90 wheel direction and quarter do. Where two places fit equally, next
// to a dead centre, the nearer to the middle of what the hint names is taken.
//
// The error is an *unit.InputError without a field for a label that is not on
// the wheel.
func (w Wheel) Resolve(label, tdc float64, h Hint) (Spot, error) {
	if err := w.CheckLabel(label); err != nil {
		return Spot{}, err
	}
	places, n := w.Places(label)
	if n == 1 {
		return Spot{Place: places[0], Angle: w.Angle(places[0], tdc), Other: math.NaN()}, nil
	}
	best := w.nearest(places[:n], tdc, h.middle(w.Numbering))
	s := Spot{Place: best, Angle: w.Angle(best, tdc), Other: math.NaN()}
	if w.Numbering != To90 {
		return s, nil
	}
	other := h.next()
	place := w.nearest(places[:n], tdc, other.middle(w.Numbering))
	s.Other = w.Angle(place, tdc)
	fromEnd := math.Min(label, 90-label)
	apart := math.Abs(unit.Signed(s.Angle - s.Other))
	s.Unsure = h.Quarter == 0 && fromEnd <= AskWithin && apart >= 1
	return s, nil
}

// nearest returns the place whose angle is nearest to the middle of what a
// hint names.
func (w Wheel) nearest(places []float64, tdc, middle float64) float64 {
	best := places[0]
	for _, p := range places[1:] {
		if off(w.Angle(p, tdc), middle) < off(w.Angle(best, tdc), middle) {
			best = p
		}
	}
	return best
}

func off(a, b float64) float64 { return math.Abs(unit.Signed(a - b)) }

// middle returns the angle in the middle of the half turn or quarter that a
// hint names.
func (h Hint) middle(n Numbering) float64 {
	if n != To90 {
		if h.Up {
			return 270
		}
		return 90
	}
	return float64(h.quarter()-1)*90 + 45
}

func (h Hint) quarter() int {
	switch {
	case h.Quarter >= 1 && h.Quarter <= 4:
		return h.Quarter
	case !h.Up && h.NearTop:
		return 1
	case !h.Up:
		return 2
	case !h.NearTop:
		return 3
	}
	return 4
}

// next returns the hint for the other quarter of the same stroke.
func (h Hint) next() Hint {
	return Hint{Quarter: [5]int{0, 2, 1, 4, 3}[h.quarter()]}
}
