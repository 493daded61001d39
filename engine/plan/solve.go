package plan

import (
	"math"
	"slices"

	"portwright/engine/build"
)

// outcome is the best cut list with one gasket.
type outcome struct {
	ok     bool
	gasket float64
	to     int       // the problem's blowdownTo
	start  state     // with the gasket in place
	m      []float64 // amounts of the variables
	end    state
	miss   []float64 // of each goal, mm of depth
	over   float64   // by how much limits are crossed in all, mm of depth
	metal  float64
}

// missed is the depth in mm below which a goal counts as reached: a hundredth of
// what can be cut.
const missed = 1e-4

// atRest is how far a step along the slope may still move anything when it
// counts as standing still, and rounds how often it is tried.
const (
	atRest = 1e-9
	rounds = 60
)

// program is the linear programme about a state: columns are the variables,
// then above and below for each part of each goal.
type program struct {
	rows  []row
	cols  int
	parts [][2]int // first and past the last column of each goal
}

// with returns the state after amounts of the variables.
func (p *problem) with(start *state, m []float64) state {
	s := start.clone()
	for j := range p.vars {
		if v := &p.vars[j]; m[j] != 0 {
			p.apply(&s, v.move, v.window, v.sign*m[j])
		}
	}
	return s
}

// caps returns by how much each limit may be crossed from a start on: not at all,
// or where what is crossed may stay so no further than now and than at the start.
func (p *problem) caps(start *state) []float64 {
	then, now := p.limits(start), []limit(nil)
	if p.soft {
		now = p.limits(&p.now)
	}
	out := make([]float64, len(then))
	for i, l := range then {
		over := math.Max(0, l.f(start))
		switch {
		case l.name == sideToSide:
		case p.soft && !slices.Contains(p.hard, l.name):
			out[i] = math.Min(over, math.Max(0, now[i].f(&p.now)))
		case over < missed: // cut to its limit as measured, nothing is crossed
			out[i] = over
		}
	}
	return out
}

// program makes the rows about a state, with what caps gives each limit.
func (p *problem) program(start, at *state, caps []float64) *program {
	n := len(p.vars)
	goals, limits := p.goals(at), p.limits(at)
	steps := make([]state, n)
	for j := range p.vars {
		steps[j] = start.clone()
		p.apply(&steps[j], p.vars[j].move, p.vars[j].window, p.vars[j].sign)
	}
	pr := &program{cols: n}
	for _, g := range goals {
		first := pr.cols
		pr.cols += 2 * len(g.parts)
		pr.parts = append(pr.parts, [2]int{first, pr.cols})
	}
	line := func(f form) ([]float64, float64) {
		k := make([]float64, pr.cols)
		zero := f(start)
		for j := range steps {
			k[j] = f(&steps[j]) - zero
			if math.IsNaN(k[j]) { // a move whose effect is not known is not used for it
				k[j] = 0
			}
		}
		return k, zero
	}
	for i, g := range goals {
		for q, f := range g.parts {
			k, zero := line(f)
			above := pr.parts[i][0] + 2*q
			k[above], k[above+1] = -1, 1
			pr.rows = append(pr.rows, row{k: k, equal: true, b: -zero})
		}
		for _, f := range g.floors { // f >= -(what the first part is short by)
			k, zero := line(f)
			for j := range k {
				k[j] = -k[j]
			}
			k[pr.parts[i][0]+1] = -1
			pr.rows = append(pr.rows, row{k: k, b: zero})
		}
	}
	for i, l := range limits {
		if slices.Contains(p.dropped, l.name) {
			continue
		}
		k, zero := line(l.f)
		pr.rows = append(pr.rows, row{k: k, b: caps[i] - zero})
	}
	for j := range p.vars {
		if v := &p.vars[j]; v.allowed && !math.IsInf(v.most, 1) && !slices.Contains(p.dropped, v.key()) {
			k := make([]float64, pr.cols)
			k[j] = 1
			pr.rows = append(pr.rows, row{k: k, b: v.most})
		}
	}
	return pr
}

// unused returns the columns of moves that may not be used.
func (p *problem) unused() (out []int) {
	for j := range p.vars {
		if !p.vars[j].allowed {
			out = append(out, j)
		}
	}
	return out
}

// solve finds the best cut list with one gasket: along the slopes at a state,
// then at the state that this gives, until it stands still. Where the slopes lead
// past the best, as blowdown's do that has a least, it goes on from the best list
// met on the way by ever shorter steps, as long as they make it better.
func (p *problem) solve(gasket float64) outcome {
	start := p.now.clone()
	if gasket != start.gasket && !math.IsNaN(gasket) {
		p.apply(&start, build.MoveBaseGasket, -1, gasket)
	}
	caps := p.caps(&start)
	out := outcome{gasket: gasket, to: p.blowdownTo, start: start, m: make([]float64, len(p.vars)), end: start.clone()}
	var best outcome
	keep := func(o *outcome) bool {
		o.end = p.with(&start, o.m)
		if o.ok = o.ok && p.holds(&o.end, caps); !o.ok {
			return false
		}
		p.measure(o)
		if best.m != nil && !better(o, &best, atRest) {
			return false
		}
		best = *o
		return true
	}
	if p.bends {
		keep(&outcome{ok: true, gasket: gasket, to: out.to, start: start, m: out.m})
	}
	rest := false
	for round := 0; round < rounds && !rest; round++ {
		// Where the slopes allow nothing, it goes on from where the limits are
		// crossed least: there they may bend enough.
		next := p.once(&out, caps)
		still := 0.0
		for j := range next.m {
			if round >= rounds/2 { // two places in turn: meet between them
				next.m[j] = (next.m[j] + out.m[j]) / 2
			}
			still = math.Max(still, math.Abs(next.m[j]-out.m[j]))
		}
		next.end = p.with(&start, next.m)
		if !p.bends && next.ok && p.sameFirst(&out.end, &next.end) { // all is straight
			p.measure(&next)
			return next
		}
		keep(&next)
		rest = still < atRest
		out = next
	}
	if best.m == nil || rest && out.ok && !better(&best, &out, atRest) {
		return out
	}
	for round, shorter := 0, true; shorter && round < rounds; round++ {
		shorter = false
		next := p.once(&best, caps)
		for part := 1.0; next.ok && part > atRest && !shorter; part /= 2 {
			some := outcome{ok: true, gasket: gasket, to: out.to, start: start, m: make([]float64, len(p.vars))}
			for j := range some.m {
				some.m[j] = best.m[j] + part*(next.m[j]-best.m[j])
			}
			shorter = keep(&some)
		}
	}
	return best
}

// holds says whether a state crosses no limit by more than its cap.
func (p *problem) holds(s *state, caps []float64) bool {
	for i, l := range p.limits(s) {
		if l.f(s) > caps[i]+leftOver && !slices.Contains(p.dropped, l.name) {
			return false
		}
	}
	return true
}

// sameFirst says whether the same windows open first in two states.
func (p *problem) sameFirst(a, b *state) bool {
	for _, kind := range [3]string{build.KindExhaust, build.KindTransfer, build.KindIntake} {
		if p.engine.first(a, kind) != p.engine.first(b, kind) {
			return false
		}
	}
	return true
}

// once solves along the slopes at the end of the last round.
func (p *problem) once(last *outcome, caps []float64) outcome {
	out := outcome{gasket: last.gasket, to: last.to, start: last.start}
	pr := p.program(&out.start, &last.end, caps)
	t, ok := newTableau(pr.cols, pr.rows, p.unused()...)
	out.m = t.value()[:len(p.vars)]
	if !ok {
		return out
	}
	cost := make([]float64, len(t.banned))
	for i, cols := range pr.parts {
		if slices.Contains(p.dropped, p.wanted[i].key) {
			continue
		}
		clear(cost)
		for j := cols[0]; j < cols[1]; j++ {
			cost[j] = 1
		}
		t.minimise(cost)
		t.keep()
	}
	clear(cost)
	for j := range p.vars {
		cost[j] = 1
	}
	t.minimise(cost)
	out.ok, out.m = true, t.value()[:len(p.vars)]
	for j, v := range out.m {
		if v < atRest {
			out.m[j] = 0
		}
	}
	return out
}

// measure fills in what a cut list comes to.
func (p *problem) measure(o *outcome) {
	o.miss = p.misses(&o.end)
	o.over, o.metal = 0, 0
	for _, l := range p.limits(&o.end) {
		if l.name != sideToSide && !slices.Contains(p.dropped, l.name) {
			o.over += math.Max(0, l.f(&o.end))
		}
	}
	for _, v := range o.m {
		o.metal += v
	}
}

// misses returns by how much a state misses each goal that counts, mm of depth.
func (p *problem) misses(s *state) []float64 {
	out := make([]float64, len(p.wanted))
	q := *p
	q.blowdownTo = -1
	for i, g := range q.goals(s) {
		if slices.Contains(p.dropped, g.key) {
			continue
		}
		for _, f := range g.parts {
			out[i] += math.Abs(f(s))
		}
	}
	return out
}

// better compares two cut lists: by the goals in order, then by what is crossed,
// then by metal. What is the same by less than same does not part them.
func better(a, b *outcome, same float64) bool {
	switch {
	case a.ok != b.ok:
		return a.ok
	case !a.ok:
		return false
	}
	for i := range a.miss {
		if d := a.miss[i] - b.miss[i]; math.Abs(d) > same {
			return d < 0
		}
	}
	if d := a.over - b.over; math.Abs(d) > math.Max(same, leftOver) {
		return d < 0
	}
	return a.metal < b.metal-1e-7
}

// each solves for every gasket and, where a blowdown is wanted, for every window
// that it may count to.
func (p *problem) each(do func(o *outcome)) {
	to := []int{-1}
	for _, w := range p.wanted {
		if w.key == build.TargetBlowdown {
			to = append(to, p.fromCrankcase(&p.now)...)
		}
	}
	for _, g := range p.gaskets {
		for _, t := range to {
			q := *p
			q.blowdownTo = t
			o := q.solve(g)
			do(&o)
		}
	}
}

// best is the best of each: of equals the gasket that is in now, then the one
// that stands first. Nearly the same is the same: nobody changes a gasket for less
// than can be measured.
func (p *problem) best() (best outcome) {
	p.each(func(o *outcome) {
		if best.m == nil || better(o, &best, missed) {
			best = *o
		}
	})
	return best
}
