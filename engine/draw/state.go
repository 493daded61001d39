package draw

import (
	"portwright/engine/build"
	"portwright/engine/findings"
	"portwright/engine/port"
	"portwright/engine/unit"
)

// CylinderOf is the cylinder of pass i as a picture needs it: the sizes are
// those before all work with the bites made until then; squish and chamber
// that were measured before a cut that changes them are not this state's. b, m
// and r are what findings.Measure and findings.Run give for one build.
func CylinderOf(b *build.Build, m *findings.Measured, r *findings.PassResult, i int) *Cylinder {
	e := &m.Engine
	out := &Cylinder{Name: r.Name, Bore: mm(e.Bore), Deck: mm(e.CrownBelowDeck), SkirtIntake: mm(e.SkirtIntake), SkirtExhaust: mm(e.SkirtExhaust),
		RingBelow: mm(e.RingBelowCrown), RingHeight: mm(e.RingHeight), Band: mm(e.SquishBandWidth), CaseCC: e.CrankcaseCC, Intake: e.Intake}
	if m.Crank != nil {
		out.Crank, out.RodKnown = &m.Crank.Mechanism, m.Crank.RodKnown
	}
	if !findings.Stale(b, i, func(p *build.Pass) bool { return len(p.Squish) > 0 }) {
		out.Squish = r.SquishMM
	}
	if !findings.Stale(b, i, func(p *build.Pass) bool { return p.ChamberCC != nil }) {
		out.ChamberCC = e.ChamberCC
	}
	for k := range m.Windows {
		d := &m.Windows[k].Doc
		out.Ports = append(out.Ports, Port{Name: d.Name, Kind: d.Kind, Crown: m.Windows[k].Crown, Skirt: m.Windows[k].Skirt,
			Travel: r.Windows[k].TravelMM, TravelU95: r.Windows[k].TravelU95MM, Shape: shapeOf(d)})
	}
	gasket := mm(e.BaseGasket)
	for _, k := range b.BitesBefore(b.Passes[i].Cylinder, -1, i) {
		b, amount := &b.Bites[k], 0.0
		switch {
		case b.Move.Move == build.MoveBaseGasket && b.ToMM != nil:
			if gasket == nil {
				out.Deck = nil
				continue
			}
			to := b.ToMM.MM()
			amount, gasket = *gasket-to, &to
		case b.ByMM != nil:
			amount = b.ByMM.MM()
		}
		out.Cut(b.Move.Move, b.Window, amount)
	}
	return out
}

// SectionOf is the section of pass i; arguments and ok as for CylinderOf and
// NewSection.
func SectionOf(b *build.Build, m *findings.Measured, r *findings.PassResult, i int) (s *Section, ok bool) {
	return NewSection(CylinderOf(b, m, r, i), r, Dial{Wheel: m.Wheel, TDC: m.TDC, Zeroed: m.Habit == build.HabitTDCZero})
}

//go:noinline
func mm(l *unit.Length) *float64 {
	if l == nil {
		return nil
	}
	v := l.MM()
	return &v
}

func shapeOf(w *build.Window) port.Shape {
	of := func(l *unit.Length) float64 {
		if v := mm(l); v != nil {
			return *v
		}
		return 0
	}
	return port.Shape{Chord: of(w.Chord), Height: of(w.Height), CornerTop: of(w.CornerTop), CornerBottom: of(w.CornerBottom), Arch: of(w.Arch),
		Bridges: w.Bridges, BridgeWidth: of(w.Bridge), Count: w.Count}
}

// Cut changes sizes by a move; travels are the readings' own.
func (c *Cylinder) Cut(move, window string, by float64) {
	less := func(p **float64, by float64) {
		if *p != nil {
			v := **p - by
			*p = &v
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
		if !p.CutBy(move, window) || p.Shape.Height == 0 {
			continue
		}
		if move == build.MoveExhaustWidth {
			p.Shape.Chord += by
		} else {
			p.Shape.Height += by
		}
	}
}

// CutBy says whether a move cuts a window. Without a name it is all of the
// kind, boost apart.
func (p *Port) CutBy(move, window string) bool {
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
