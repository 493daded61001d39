package findings

import "portwright/engine/build"

// moved is how far bites before the pass moved the crown against what depths
// are measured from, in mm: the engine's own lengths are those before all bites.
type moved struct {
	deck  float64 // the crown's edge lies so much further below the deck at TDC
	skirt float64 // from the crown's edge to the skirt's end it is so much more
}

// setBites adds up the bites that were made before the pass was read.
func (s *state) setBites() {
	cylinder := max(s.p.Cylinder, 1)
	before := map[string]bool{"": true}
	for i := range s.b.Passes[:s.index] {
		if p := &s.b.Passes[i]; max(p.Cylinder, 1) == cylinder {
			before[p.Name] = true
		}
	}
	gasket := s.engine.BaseGasket
	for i := range s.b.Bites {
		b := &s.b.Bites[i]
		if b.Struck != "" || max(b.Cylinder, 1) != cylinder || !before[b.Pass] {
			continue
		}
		by := mm(b.ByMM)
		switch b.Move.Move {
		case build.MoveCrownCut:
			s.moved.deck += by
			s.moved.skirt -= by
		case build.MoveBaseCut:
			s.moved.deck -= by
		case build.MoveIntakeSkirt:
			s.moved.skirt -= by
		case build.MoveBaseGasket:
			if b.ToMM != nil && gasket != nil {
				s.moved.deck -= gasket.MM() - b.ToMM.MM()
			}
			gasket = b.ToMM
		}
	}
}

// deckMM is how far the crown's edge lies below the deck at TDC in the pass,
// and skirtMM how far from it the skirt ends; 0 and what bites moved where they
// are not known.
func (s *state) deckMM() float64  { return mm(s.engine.CrownBelowDeck) + s.moved.deck }
func (s *state) skirtMM() float64 { return mm(s.engine.SkirtIntake) + s.moved.skirt }
