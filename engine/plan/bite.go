package plan

import (
	"math"
	"slices"
	"strings"

	"portwright/engine/findings"
	"portwright/engine/port"
	"portwright/engine/stat"
	"portwright/engine/wheel"
)

// reach is how many standard uncertainties a source is moved by when it is
// asked what that does to a cut: about those of the 95 % that the first bite
// stands on, so that a limit met on the way counts as it would.
const reach = 2.0

// A source is one cause of doubt and the shares with which it moves what is
// known.
type source struct {
	parts []stat.Component // with the sensitivities of what it moves alone
	u     float64          // standard uncertainty of what it moves
	moves []moved
	geo   string // stroke, rod or offset: the mechanism itself changes
}

type moved struct {
	window int
	c      float64
}

// depths returns each variable's amount with its doubt, at the gasket chosen.
// Every source is moved both ways by reach times its uncertainty and the plan
// made again; the way that asks for less metal counts.
//
//	by(source) = (by - by at the source moved)/(reach u)
//
// What is taken off is itself measured: a depth is never known better than the
// bite that makes it, also where a bound and no target stops it.
//
// Source: the law of propagation, JCGM 100:2008, eq. (10), with slopes taken as
// secants, 5.1.3 note 2.
func (p *problem) depths(o *outcome) []stat.Estimate {
	out := make([]stat.Estimate, len(p.vars))
	for j := range out {
		if out[j].Value = o.m[j]; o.m[j] > 0 {
			out[j].Parts = []stat.Component{{U: BiteU, C: 1}}
		}
	}
	if slices.Max(append([]float64{0}, o.m...)) == 0 {
		return out
	}
	for _, s := range p.sources(o) {
		if s.u == 0 {
			continue
		}
		var less [2][]float64
		for k, by := range [2]float64{reach * s.u, -reach * s.u} {
			moved := p.moved(&s, by, o)
			less[k] = moved.solve(o.gasket).m
		}
		for j := range out {
			drop := 0.0
			for k, sign := range [2]float64{-1, 1} {
				if less[k] == nil {
					continue
				}
				d := o.m[j] - less[k][j]
				if other := less[1-k]; less[k][j] < atRest && other != nil { // no less than nothing comes off: the other way shows the slope
					d = math.Max(d, other[j]-o.m[j])
				}
				if d > math.Abs(drop) {
					drop = sign * d
				}
			}
			if c := drop / (reach * s.u); math.Abs(c) > 1e-9 {
				for _, part := range s.parts {
					part.C *= c
					out[j].Parts = append(out[j].Parts, part)
				}
			}
		}
	}
	return out
}

// sources sorts the parts of all doubts by what they move: parts that move one
// quantity alone are one source of it, each shared part is one by itself.
func (p *problem) sources(o *outcome) []source {
	var out []source
	for i, d := range p.doubts {
		own := source{moves: []moved{{d.window, 1}}}
		for _, part := range d.est.Parts {
			switch {
			case port.IsGeometry(part.Name):
			case p.shared(part.Name, i):
				if at := slices.IndexFunc(out, func(s source) bool { return len(s.parts) == 1 && s.geo == "" && s.parts[0].Name == part.Name }); at >= 0 {
					out[at].moves = append(out[at].moves, moved{d.window, part.C})
					continue
				}
				out = append(out, source{parts: []stat.Component{{Name: part.Name, U: part.U, DF: part.DF, C: 1}}, u: part.U, moves: []moved{{d.window, part.C}}})
			default:
				own.parts = append(own.parts, part)
				own.u = math.Hypot(own.u, part.U*part.C)
			}
		}
		out = append(out, own)
	}
	for _, g := range [3]stat.Component{{Name: "stroke", U: p.geo.StrokeU, C: 1}, {Name: "rod", U: p.geo.RodU, C: 1}, {Name: "offset", U: p.geo.OffsetU, C: 1}} {
		out = append(out, source{parts: []stat.Component{g}, u: g.U, geo: g.Name})
	}
	if o.gasket != p.now.gasket {
		s := source{parts: []stat.Component{{Name: gasketSource, U: gasketU, C: 1}}, u: gasketU}
		for _, d := range p.doubts {
			switch {
			case d.window >= 0:
				s.moves = append(s.moves, moved{d.window, 1})
			case d.window == squishDoubt:
				s.moves = append(s.moves, moved{d.window, -1})
			}
		}
		out = append(out, s)
	}
	return out
}

// shared says whether another doubt than the nth has a part of the name.
func (p *problem) shared(name string, n int) bool {
	for i, d := range p.doubts {
		if i != n && name != "" && slices.ContainsFunc(d.est.Parts, func(c stat.Component) bool { return c.Name == name }) {
			return true
		}
	}
	return false
}

// moved returns the problem with a source moved.
func (p *problem) moved(s *source, by float64, o *outcome) *problem {
	b := *p.base
	q := *p
	q.base = &b
	b.now = p.now.clone()
	q.blowdownTo, q.soft = o.to, true
	for _, m := range s.moves {
		b.now.shift(m.window, m.c*by)
	}
	if s.geo == "" {
		return &q
	}
	if g, ok := geometryWith(p.geo, s.geo, by); ok {
		for _, d := range p.doubts {
			// An edge read off the wheel stays at its angle, one read as a depth at
			// its depth.
			if d.window >= 0 && slices.ContainsFunc(d.est.Parts, func(c stat.Component) bool { return c.Name == s.geo && c.C != 0 }) {
				if down, _, err := p.geo.Angles(p.now.x[d.window]); err == nil {
					b.now.x[d.window] += g.Travel(down) - p.geo.Travel(down)
				}
			}
		}
		b.geo = g
	}
	return &q
}

// geometryWith returns the mechanism with one length changed.
func geometryWith(g port.Geometry, name string, by float64) (port.Geometry, bool) {
	stroke, rod, offset := g.Stroke(), g.Rod(), g.Offset()
	switch name {
	case "stroke":
		stroke += by
	case "rod":
		rod += by
	default:
		offset += by
	}
	out, err := port.Known(stroke, rod, offset, g.StrokeU, g.RodU, g.OffsetU)
	return out, err == nil
}

// firstBite returns what can be taken off a depth at once without going past
// the target, in steps of the tool, never below 0.
//
//	depth - U95, rounded down
func firstBite(depth, u95, step float64) float64 {
	n := math.Floor((depth-u95)/step + 1e-9)
	if !(n > 0) {
		return 0
	}
	return n * step
}

// Names of what would help most to a longer first bite.
const (
	HelpRepeats  = "more_repeats"
	HelpStep     = "finer_wheel"
	HelpZero     = "stop_check"
	HelpClosings = "read_closings"
	HelpRod      = "measure_rod"
	HelpStroke   = "measure_stroke"
	HelpOffset   = "measure_offset"
	HelpSquish   = "measure_squish"
	HelpGasket   = "read_after_gasket"
	HelpBites    = "read_after_bite"
	HelpVolume   = "measure_volume"
	HelpCrown    = "measure_deck"
)

// help returns which cause of doubt is the largest share of a depth's.
func (p *problem) help(e *stat.Estimate) string {
	best, most := "", 0.0
	for _, part := range e.Parts {
		if part.Name == "" { // the cut's own
			continue
		}
		cause, share := p.cause(part.Name), 0.0
		for _, q := range e.Parts {
			if q.Name != "" && p.cause(q.Name) == cause {
				share += q.C * q.U * q.C * q.U
			}
		}
		if share > most {
			best, most = cause, share
		}
	}
	return best
}

func (p *problem) cause(name string) string {
	switch name {
	case "stroke":
		return HelpStroke
	case "rod":
		return HelpRod
	case "offset":
		return HelpOffset
	}
	switch has := func(s string) bool { return strings.Contains(name, s) }; {
	case has("the zero"), strings.HasPrefix(name, "zero "):
		for i := range p.windows {
			if !p.windows[i].readClosing && !math.IsNaN(p.now.x[i]) {
				return HelpClosings
			}
		}
		return HelpZero
	case has(squishSource):
		return HelpSquish
	case has(gasketSource):
		return HelpGasket
	case has(buretteSource):
		return HelpVolume
	case strings.HasPrefix(name, findings.BiteSource):
		return HelpBites
	case has("crown"), has("skirt"):
		return HelpCrown
	case has(wheel.ScatterName):
		return HelpRepeats
	}
	return HelpStep
}
