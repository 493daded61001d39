package sheet

import (
	"portwright/engine/build"
	"portwright/engine/draw"
	"portwright/engine/port"
	"portwright/engine/unit"
)

// drawn is the cylinder of a pass as a picture needs it: the sizes are those
// before all work with the bites made until then.
func (w *work) drawn(i int) *draw.Cylinder {
	m := &w.measured[i]
	e := &m.Engine
	out := &draw.Cylinder{Name: w.results[i].Name, Bore: mm(e.Bore), Deck: mm(e.CrownBelowDeck), SkirtIntake: mm(e.SkirtIntake), SkirtExhaust: mm(e.SkirtExhaust),
		RingBelow: mm(e.RingBelowCrown), RingHeight: mm(e.RingHeight)}
	if m.Crank != nil {
		out.Crank = &m.Crank.Mechanism
	}
	for k := range m.Windows {
		d := &m.Windows[k].Doc
		out.Ports = append(out.Ports, draw.Port{Name: d.Name, Kind: d.Kind, Crown: m.Windows[k].Crown, Skirt: m.Windows[k].Skirt,
			Travel: w.results[i].Windows[k].TravelMM, TravelU95: w.results[i].Windows[k].TravelU95MM, Shape: shapeOf(d)})
	}
	gasket := mm(e.BaseGasket)
	for _, b := range w.bitesBefore(i) {
		amount := 0.0
		switch {
		case b.Move.Move == build.MoveBaseGasket && b.ToMM != nil:
			if gasket == nil {
				out.Deck = nil
				continue
			}
			amount = *gasket - b.ToMM.MM()
			gasket = ptr(b.ToMM.MM())
		case b.ByMM != nil:
			amount = b.ByMM.MM()
		}
		cutDrawn(out, b.Move.Move, b.Window, amount)
	}
	return out
}

func mm(l *unit.Length) *float64 {
	if l == nil {
		return nil
	}
	return ptr(l.MM())
}

func shapeOf(w *build.Window) port.Shape {
	of := func(l *unit.Length) float64 {
		if l == nil {
			return 0
		}
		return l.MM()
	}
	return port.Shape{Chord: of(w.Chord), Height: of(w.Height), CornerTop: of(w.CornerTop), CornerBottom: of(w.CornerBottom), Arch: of(w.Arch),
		Bridges: w.Bridges, BridgeWidth: of(w.Bridge), Count: w.Count}
}

// bitesBefore lists the bites of a cylinder that were made before a pass.
func (w *work) bitesBefore(i int) (out []build.Bite) {
	cylinder := max(w.b.Passes[i].Cylinder, 1)
	before := map[string]bool{"": true}
	for k := range i {
		if max(w.b.Passes[k].Cylinder, 1) == cylinder {
			before[w.b.Passes[k].Name] = true
		}
	}
	for _, b := range w.b.Bites {
		if b.Struck == "" && max(b.Cylinder, 1) == cylinder && before[b.Pass] {
			out = append(out, b)
		}
	}
	return
}

// cutDrawn changes sizes by a move; travels are the readings' own.
func cutDrawn(c *draw.Cylinder, move, window string, by float64) {
	less := func(p **float64, by float64) {
		if *p != nil {
			*p = ptr(**p - by)
		}
	}
	switch move {
	case build.MoveBaseGasket, build.MoveBaseCut:
		less(&c.Deck, by)
	case build.MoveCrownCut:
		less(&c.Deck, -by)
		less(&c.SkirtIntake, by)
		less(&c.SkirtExhaust, by)
		less(&c.RingBelow, by)
	case build.MoveIntakeSkirt:
		less(&c.SkirtIntake, by)
	}
	for k := range c.Ports {
		p := &c.Ports[k]
		if !cutsPort(move, window, p) || p.Shape.Height == 0 {
			continue
		}
		if move == build.MoveExhaustWidth {
			p.Shape.Chord += by
		} else {
			p.Shape.Height += by
		}
	}
}

// cutsPort says whether a move cuts a window. Without a name it is all of the
// kind, boost apart.
func cutsPort(move, window string, p *draw.Port) bool {
	if window != "" && window != p.Name {
		return false
	}
	switch move {
	case build.MoveExhaustRoof, build.MoveExhaustWidth:
		return p.Kind == build.KindExhaust
	case build.MoveTransferRoof:
		return p.Kind == build.KindTransfer || p.Kind == build.KindBoost && window != ""
	case build.MoveIntakeFloor:
		return p.Kind == build.KindIntake && p.Skirt
	}
	return false
}

// withCuts marks the plan's cuts in a cylinder.
func (w *work) withCuts(c *draw.Cylinder) {
	for i := range w.plan.Moves {
		s := &w.plan.Moves[i]
		for k := range c.Ports {
			p := &c.Ports[k]
			if s.ByMM == nil || !cutsPort(s.Move, s.Window, p) {
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
		cutDrawn(c, s.Move, s.Window, by)
	}
	for k := range c.Ports {
		if e := w.edgeOf(c.Ports[k].Name); e != nil && e.TravelMM != nil {
			c.Ports[k].Travel = e.TravelMM
		}
	}
	return c
}
