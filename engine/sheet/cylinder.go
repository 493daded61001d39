package sheet

import (
	"portwright/engine/build"
	"portwright/engine/draw"
)

// drawn is the cylinder of a pass as a picture needs it.
func (w *work) drawn(i int) *draw.Cylinder {
	return draw.CylinderOf(w.b, &w.measured[i], &w.results[i], i)
}

// withCuts marks the plan's cuts in a cylinder.
func (w *work) withCuts(c *draw.Cylinder) {
	for i := range w.plan.Moves {
		s := &w.plan.Moves[i]
		for k := range c.Ports {
			p := &c.Ports[k]
			if s.ByMM == nil || !p.CutBy(s.Move, s.Window) {
				continue
			}
			switch s.Move {
			case build.MoveExhaustWidth:
				p.WidthCut += *s.ByMM
			case build.MoveIntakeFloor:
				p.FloorCut += *s.ByMM
			default:
				p.RoofCut += *s.ByMM
			}
		}
	}
}

// drawnAim is the cylinder after the plan's moves.
func (w *work) drawnAim(i int) *draw.Cylinder {
	c := w.drawn(i)
	c.Name = "aim"
	for k := range w.plan.Moves {
		s := &w.plan.Moves[k]
		if s.ByMM == nil {
			continue
		}
		by := *s.ByMM
		if s.Move == build.MoveBaseGasket {
			by = -by
		}
		c.Cut(s.Move, s.Window, by)
	}
	for k := range c.Ports {
		if e := w.edgeOf(c.Ports[k].Name); e != nil && e.TravelMM != nil {
			c.Ports[k].Travel = e.TravelMM
		}
	}
	return c
}
