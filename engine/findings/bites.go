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
	gasket := s.engine.BaseGasket
	for _, b := range BitesBefore(s.b, s.index) {
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

// BitesBefore lists the bites that were made in the cylinder of pass i before
// it was read.
func BitesBefore(b *build.Build, i int) (out []build.Bite) {
	cylinder := max(b.Passes[i].Cylinder, 1)
	before := map[string]bool{"": true}
	for k := range i {
		if max(b.Passes[k].Cylinder, 1) == cylinder {
			before[b.Passes[k].Name] = true
		}
	}
	for _, bite := range b.Bites {
		if bite.Struck == "" && max(bite.Cylinder, 1) == cylinder && before[bite.Pass] {
			out = append(out, bite)
		}
	}
	return
}

// Stale says whether a cut changed squish and volume between the pass at which
// they were last measured, or the engine's own numbers, and pass i.
func Stale(b *build.Build, i int, measuredIn func(p *build.Pass) bool) bool {
	at := map[string]bool{"": true}
	cylinder := max(b.Passes[i].Cylinder, 1)
	for k := 0; k <= i; k++ {
		p := &b.Passes[k]
		if max(p.Cylinder, 1) != cylinder {
			continue
		}
		if measuredIn(p) {
			at = map[string]bool{}
		}
		if k < i {
			at[p.Name] = true
		}
	}
	for k := range b.Bites {
		bite := &b.Bites[k]
		if bite.Struck == "" && max(bite.Cylinder, 1) == cylinder && at[bite.Pass] && movesChamber(bite.Move.Move) {
			return true
		}
	}
	return false
}

// movesChamber says whether a move changes squish or volume.
func movesChamber(move string) bool {
	switch move {
	case build.MoveBaseGasket, build.MoveBaseCut, build.MoveBandCut, build.MoveCrownCut:
		return true
	}
	return false
}
