package app

import (
	"math"

	"portwright/engine/build"
	"portwright/engine/draw"
	"portwright/engine/findings"
	"portwright/engine/plan"
)

// draw makes the pictures of the plan: the port map with what is to come off,
// and the timing ring now and after the moves. "" where there is nothing to draw.
func (c *CutsPlan) draw() {
	if m, ok := draw.PortMapNear(cylinderOf(c.Result)); ok {
		c.Map = m
	}
	now, then := ringPass(c.Result, false), ringPass(c.Result, true)
	if c.Ring, _ = draw.Ring(&now); len(c.Result.Moves) > 0 {
		c.Ring, _ = draw.RingChange(&now, &then)
	}
}

// cylinderOf is the cylinder as it is, with what is to come off marked.
func cylinderOf(r *plan.Result) *draw.Cylinder {
	s := &r.Sizes
	c := &draw.Cylinder{Name: r.Pass, Bore: s.Bore, SkirtIntake: s.SkirtIntake}
	for i := range r.Windows {
		w, size := &r.Windows[i], &s.Windows[i]
		p := draw.Port{Name: w.Name, Kind: w.Kind, Crown: size.Crown, Skirt: size.Skirt, Travel: w.Now.TravelMM, TravelU95: size.TravelU95, Shape: size.Shape}
		for k := range r.Moves {
			m := &r.Moves[k]
			switch {
			case m.ByMM == nil || m.Window != w.Name:
			case m.Move == build.MoveExhaustWidth:
				p.WidthCut += *m.ByMM
			case m.Move == build.MoveIntakeFloor:
				p.FloorCut += *m.ByMM
			default:
				p.RoofCut += *m.ByMM
			}
		}
		c.Ports = append(c.Ports, p)
	}
	return c
}

// ringPass is what the timing ring shows of the engine now, or after the moves.
func ringPass(r *plan.Result, after bool) findings.PassResult {
	p, n := findings.PassResult{Name: "now"}, &r.Now
	if after {
		p.Name, n = "planned", &r.After
	}
	if b := n[plan.Blowdown]; !math.IsNaN(b) {
		p.BlowdownDeg = &b
	}
	for i := range r.Windows {
		w := &r.Windows[i]
		e := &w.Now
		if after {
			e = &w.After
		}
		p.Windows = append(p.Windows, findings.WindowResult{Name: w.Name, Kind: w.Kind, OpensDeg: e.OpensDeg, ClosesDeg: e.ClosesDeg, DurationDeg: e.DurationDeg})
	}
	return p
}
