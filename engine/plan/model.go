package plan

import (
	"math"

	"portwright/engine/build"
	"portwright/engine/chamber"
	"portwright/engine/port"
)

// engine is what no move changes.
type engine struct {
	geo        port.Geometry
	bore, band float64 // NaN: not known
	ringHeight float64
	crankcase  float64
	speed      float64
	piston     bool // piston-port intake
	windows    []edge
}

// edge is one window and the edge that the piston meets.
type edge struct {
	doc         build.Window
	crown       bool // met by the crown's edge
	skirt       bool // met by the skirt; neither: a valve's, which no cut moves
	readClosing bool // both events were read, so that the zero cancels
}

// state is what moves change, in mm and cm3; NaN is not known.
type state struct {
	x             []float64 // travel at each window's edge
	height, chord []float64
	squish, least float64 // mean on the pin axis, and the smallest gap
	clearance     float64
	gasket        float64
	deck          float64 // the crown's edge below the deck at TDC
	skirtExhaust  float64 // crown's edge to the skirt's end
	skirtIntake   float64
	ring          float64 // crown's edge to the ring
	outlet        float64 // mm2
}

func (s *state) clone() state {
	c := *s
	c.x = append([]float64(nil), s.x...)
	c.height = append([]float64(nil), s.height...)
	c.chord = append([]float64(nil), s.chord...)
	return c
}

// apply carries out one move: amount is what comes off, or the thickness or
// area afterwards. window is its place, or -1 for all that the move is about.
func (e *engine) apply(s *state, move string, window int, amount float64) {
	m := build.Move{Move: move}
	if window >= 0 {
		m.Window = e.windows[window].doc.Name
	}
	if move == build.MoveBaseGasket {
		amount, s.gasket = s.gasket-amount, amount
	}
	for i := range e.windows {
		w := &e.windows[i]
		by := m.Shift(&w.doc, w.crown, w.skirt)
		if by != 0 {
			s.x[i] += by * amount
		}
		switch here := window == i || window < 0; {
		case by != 0 && e.cuts(move, i):
			s.height[i] += amount
		case here && move == build.MoveExhaustWidth && w.doc.Kind == build.KindExhaust:
			s.chord[i] += amount
		}
	}
	s.squish += m.Squish() * amount
	s.least += m.Squish() * amount
	switch move {
	case build.MoveBaseGasket, build.MoveBaseCut:
		s.clearance -= chamber.VolumeOf(e.bore, amount)
		s.deck -= amount
	case build.MoveBandCut:
		if amount != 0 { // a width that is not known makes the volume so
			s.clearance += chamber.BandArea(e.bore, e.band) * amount / 1000
		}
	case build.MoveCrownCut:
		s.clearance += chamber.VolumeOf(e.bore, amount)
		s.deck += amount
		s.skirtExhaust -= amount
		s.skirtIntake -= amount
		s.ring -= amount
	case build.MoveIntakeSkirt:
		s.skirtIntake -= amount
	case build.MoveMufflerOutlet:
		s.outlet = amount
	}
}

// cuts says whether a move is made at a window.
func (e *engine) cuts(move string, i int) bool {
	kind := e.windows[i].doc.Kind
	switch move {
	case build.MoveExhaustRoof, build.MoveExhaustWidth:
		return kind == build.KindExhaust
	case build.MoveTransferRoof:
		return kind == build.KindTransfer || kind == build.KindBoost
	case build.MoveIntakeFloor:
		return kind == build.KindIntake && e.windows[i].skirt
	}
	return false
}

// angles returns where a window opens and closes, in degrees after TDC; ok is
// false when that is not known or the piston never gets there.
func (e *engine) angles(s *state, i int) (opens, closes float64, ok bool) {
	if math.IsNaN(s.x[i]) || !e.windows[i].crown && !e.windows[i].skirt {
		return 0, 0, false
	}
	down, up, err := e.geo.Angles(s.x[i])
	if err != nil {
		return 0, 0, false
	}
	down, up = deg(down), deg(up)
	if e.windows[i].skirt {
		return up, down, true
	}
	return down, up, true
}

func deg(rad float64) float64 { return rad * 180 / math.Pi }

// first returns the window of the kinds given that opens first, or -1: of those
// met by the crown the one with the least travel, of those met by the skirt the
// one with the most.
func (e *engine) first(s *state, kinds ...string) int {
	best := -1
	for i := range e.windows {
		w := &e.windows[i]
		if math.IsNaN(s.x[i]) || !w.crown && !w.skirt {
			continue
		}
		for _, k := range kinds {
			if k == w.doc.Kind && (best < 0 || w.crown && s.x[i] < s.x[best] || w.skirt && s.x[i] > s.x[best]) {
				best = i
			}
		}
	}
	return best
}

// blowdown returns the degrees from the first exhaust window's opening to the
// first that opens from the crankcase.
func (e *engine) blowdown(s *state) (b float64, ok bool) {
	ex, tr := e.first(s, build.KindExhaust), e.first(s, build.KindTransfer, build.KindBoost)
	if ex < 0 || tr < 0 {
		return 0, false
	}
	eo, _, ok1 := e.angles(s, ex)
	to, _, ok2 := e.angles(s, tr)
	return port.Blowdown(eo, to), ok1 && ok2
}
