package view

import (
	"math"

	"portwright/engine/build"
	"portwright/engine/draw"
	"portwright/engine/findings"
	"portwright/engine/plan"
)

// CutsPicture is a drawing, which carries its own words, and rows that explain
// what stands in it.
type CutsPicture struct {
	ID, Title, SVG string
	Rows           []string
}

// cutsPictures are the port map with what is to come off, and the turn of the
// crank now and then.
func cutsPictures(r *plan.Result) (out []CutsPicture) {
	if m, ok := draw.PortMapNear(cylinderOf(r)); ok {
		out = append(out, CutsPicture{ID: "map", Title: "Port map", SVG: m.Bare, Rows: m.Key})
	}
	now, then := ringPass(r, false), ringPass(r, true)
	svg, ok := draw.Ring(&now)
	row := "Solid: exhaust. Double: transfer, boost. Dashed: intake. Hatched: blowdown."
	if len(r.Moves) > 0 {
		svg, ok = draw.RingChange(&now, &then)
		row += " Thin lines and “was”: now."
	}
	if ok {
		out = append(out, CutsPicture{ID: "ring", Title: "Turn of the crank", SVG: svg, Rows: []string{row}})
	}
	return out
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
