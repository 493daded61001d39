package build

// BitesAfter returns the places of a cylinder's bites that were made after a
// pass, by its place, and before the next: those that name it, without what was
// struck out, in the order made. -1 stands for before all passes.
func (b *Build) BitesAfter(cylinder, pass int) (out []int) {
	cylinder = max(cylinder, 1)
	name := ""
	if pass >= 0 {
		p := &b.Passes[pass]
		if name = p.Name; name == "" || max(p.Cylinder, 1) != cylinder {
			return nil
		}
	}
	for i := range b.Bites {
		if x := &b.Bites[i]; x.Struck == "" && max(x.Cylinder, 1) == cylinder && x.Pass == name {
			out = append(out, i)
		}
	}
	return out
}

// BitesBefore returns the places of a cylinder's bites that were made before a
// pass, by its place, from the pass from on: -1 for all of them.
func (b *Build) BitesBefore(cylinder, from, pass int) (out []int) {
	for i := from; i < pass; i++ {
		out = append(out, b.BitesAfter(cylinder, i)...)
	}
	return out
}

// Shift returns by how many mm the travel at a window's edge grows for each mm
// of a move: of the cylinder coming lower, for a gasket. The crown or the skirt
// works the window, or a valve does. A boost window's roof is cut by name alone.
//
// Source: plane geometry; see package plan.
func (m *Move) Shift(w *Window, crown, skirt bool) float64 {
	here := m.Window == w.Name || m.Window == "" && w.Kind != KindBoost
	switch m.Move {
	case MoveBaseGasket, MoveBaseCut:
		return 1
	case MoveCrownCut:
		here, skirt = crown, false
	case MoveIntakeSkirt:
		here = skirt
	case MoveExhaustRoof:
		here = here && w.Kind == KindExhaust
	case MoveTransferRoof:
		here = here && (w.Kind == KindTransfer || w.Kind == KindBoost)
	case MoveIntakeFloor:
		here = here && w.Kind == KindIntake && skirt
	default:
		here = false
	}
	switch {
	case !here:
		return 0
	case skirt:
		return 1
	}
	return -1
}

// Squish returns by how many mm squish grows for each mm of a move.
func (m *Move) Squish() float64 {
	switch m.Move {
	case MoveBaseGasket, MoveBaseCut:
		return -1
	case MoveBandCut, MoveCrownCut:
		return 1
	}
	return 0
}
