package plan

import (
	"math"

	"portwright/engine/build"
)

// portCloses is the limit that the piston goes on to open and close each window,
// and that no roof comes up to the ring at TDC. metalThere is the bound of cuts
// that a file gives none.
const (
	portCloses = "port_closes"
	metalThere = "metal_there_is"
)

// edgeRoom is how near to a dead centre a window's edge may come, in mm.
const edgeRoom = 0.1

// inStroke adds portCloses for each window; what is beyond it already may stay so.
func (p *problem) inStroke(add func(name string, f form)) {
	for i := range p.windows {
		if math.IsNaN(p.now.x[i]) || !p.windows[i].crown && !p.windows[i].skirt {
			continue
		}
		put := func(f form) {
			already := math.Max(0, f(&p.now))
			add(portCloses, func(s *state) float64 { return f(s) - already })
		}
		most := p.geo.ActualStroke() - edgeRoom
		put(func(s *state) float64 { return s.x[i] - most })
		if p.windows[i].crown && p.now.ring > edgeRoom {
			put(func(s *state) float64 { return s.ring - s.x[i] })
		} else {
			put(func(s *state) float64 { return edgeRoom - s.x[i] })
		}
	}
}

// opening is where a window opens; one that is beyond the stroke counts as at its
// end.
func (p *problem) opening(s *state, i int) float64 {
	down, up, _ := p.geo.Angles(math.Min(math.Max(s.x[i], 0), p.geo.ActualStroke()))
	if p.windows[i].skirt {
		return deg(up)
	}
	return deg(down)
}

// metal is the most that a lathe can take off a crown in mm, and off band or base
// where a file gives no bound: a fifteenth of the bore, about what a crown is thick.
// Common practice, no source.
func (p *problem) metal() float64 {
	bore := p.bore
	if math.IsNaN(bore) {
		bore = p.geo.ActualStroke()
	}
	return bore / 15
}

// lifting returns the names of limits that are crossed and that a lower cylinder
// crosses further: crown on head, squish, ratios, the intake's duration.
func (p *problem) lifting() (out []string) {
	lower := p.now.clone()
	p.apply(&lower, build.MoveBaseCut, -1, latheStep)
	for _, l := range p.limits(&p.now) {
		if now := l.f(&p.now); now > missed && l.f(&lower) > now+atRest {
			out = append(out, l.name)
		}
	}
	return out
}

// partial returns the problem of what can be done all the same where limits are
// crossed that nothing puts right. What is crossed gets no worse. Where the
// cylinder has to come up again (lifts) no target counts: a roof cut now would then
// be too high for good. Of gaskets it has what crosses least, of metal what clears a
// limit altogether.
func (p *problem) partial() (q *problem, lifts []string) {
	c := *p
	c.soft = true
	lifts = p.lifting()
	if len(lifts) == 0 {
		return &c, nil
	}
	c.wanted, c.vars = nil, append([]variable(nil), p.vars...)
	for j := range c.vars {
		v := &c.vars[j]
		v.allowed = v.allowed && (v.move == build.MoveBandCut || v.move == build.MoveCrownCut)
	}
	for _, name := range lifts {
		was := c.hard
		c.hard = append(append([]string(nil), was...), name)
		if o := c.best(); !o.ok {
			c.hard = was
		}
	}
	return &c, lifts
}
