package plan

import (
	"math"

	"portwright/engine/build"
	"portwright/engine/port"
	"portwright/engine/unit"
	"portwright/engine/wheel"
)

// Run returns the cut list for a build's targets, or, when it holds moves or the
// options ask for it, what exactly its moves come to. The document is not changed.
//
// The error joins what can't be as *unit.InputError: see build.Check and
// build.CheckPlan; a word that is no target or move; and what is missing for a
// target or limit.
func Run(b *build.Build, opt Options) (*Result, error) {
	if err := build.CheckPlan(b); err != nil {
		return nil, err
	}
	whatIf := opt.WhatIf || len(b.Moves) > 0
	if !whatIf && len(b.Targets.List) == 0 && len(b.Targets.Extra) == 0 {
		return nil, bad("targets", "", "must hold a target, as in {\"squish_mm\": 0.5}, or the file moves to look at")
	}
	s, err := newBase(b, opt)
	if err != nil {
		return nil, err
	}
	if err := s.held(b); err != nil {
		return nil, err
	}
	p, err := newProblem(s)
	if err != nil {
		return nil, err
	}
	r := &Result{Format: Format, Version: Version, Pass: s.measured.Pass.Name, Cylinder: max(s.measured.Pass.Cylinder, 1),
		Moves: []Step{}, Binding: []string{}, Missed: []string{}, Now: s.numbers(&s.now), Sizes: s.sizes(), Rules: Rules(&b.Rules), Rooms: p.rooms()}
	w := &warner{p: p, rules: r.Rules}
	w.look(&s.now)
	var end state
	if whatIf {
		end, err = p.whatIf(r, w)
	} else {
		end = p.cutList(r, w)
	}
	if err != nil {
		return nil, err
	}
	r.After = s.numbers(&end)
	for i := range s.windows {
		r.Windows = append(r.Windows, Window{Name: s.windows[i].doc.Name, Kind: s.windows[i].doc.Kind, Now: s.edge(&s.now, i), After: s.edge(&end, i), Computed: s.stale[i]})
	}
	p.judge(r, &end)
	r.Warnings = append(append(append([]Warning{}, p.cautions(r)...), p.odd(&end)...), w.done()...)
	return r, nil
}

// whatIf carries out the moves of the file in their order.
func (p *problem) whatIf(r *Result, w *warner) (state, error) {
	r.Status = WhatIf
	s := p.now.clone()
	for i := range p.build.Moves {
		m := &p.build.Moves[i]
		window, amount, err := p.moveOf("moves["+unit.Plain(float64(i), 0)+"]", m)
		if err != nil {
			return s, err
		}
		was := s.clone()
		p.apply(&s, m.Move, window, amount)
		step := Step{Move: m.Move, Window: m.Window}
		switch m.Move {
		case build.MoveBaseGasket:
			step.ToMM, step.ByMM = tidied(amount), tidied(amount-was.gasket)
		case build.MoveMufflerOutlet:
			step.ToMM2 = tidied(amount)
		default:
			step.ByMM = tidied(amount)
		}
		p.after(r, w, step, &was, &s)
	}
	return s, nil
}

// after puts a step down with what it leads to.
func (p *problem) after(r *Result, w *warner, step Step, was, s *state) {
	n := p.numbers(s)
	step.SquishAfter, step.RatioAfter = tidied(n[Squish]), tidied(n[GeometricRatio])
	step.WheelAfter = p.readsOf(was, s)
	r.Moves = append(r.Moves, step)
	w.step++
	w.look(s)
}

// readsOf returns what the wheel shows of the windows that moved.
func (s *base) readsOf(was, now *state) (out []Reading) {
	for i := range s.windows {
		if now.x[i] != was.x[i] {
			out = append(out, s.reads(now, i)...)
		}
	}
	return out
}

// reads returns what the user's wheel or depth gauge shows of a window.
func (s *base) reads(at *state, i int) []Reading {
	name := s.windows[i].doc.Name
	o, c, ok := s.angles(at, i)
	if !ok {
		return nil
	}
	m := s.measured
	switch m.Habit {
	case build.HabitDepth:
		depth := at.x[i] + at.deck
		if s.windows[i].skirt {
			depth += at.skirtIntake
		}
		if math.IsNaN(depth) { // the deck is not known, nor what a base cut left of it
			return nil
		}
		return []Reading{{Window: name, Event: build.Opens, ReadsMM: tidied(depth)}}
	case build.HabitOpenZero:
		return []Reading{{Window: name, Event: build.Closes, ReadsDeg: tidied(port.Duration(o, c))}}
	}
	out := []Reading{{Window: name, Event: build.Opens, ReadsDeg: tidied(m.Wheel.Shows(o, m.TDC))},
		{Window: name, Event: build.Closes, ReadsDeg: tidied(m.Wheel.Shows(c, m.TDC))}}
	if m.Wheel.Numbering == wheel.To90 { // the same number stands in each quarter
		out[0].Quarter, out[1].Quarter = int(math.Mod(o, 360)/90)+1, int(math.Mod(c, 360)/90)+1
	}
	return out
}

// judge says by how much targets are missed and limits crossed at the end.
func (p *problem) judge(r *Result, end *state) {
	if r.Status == WhatIf {
		goals := p.goals(end)
		for i := range goals {
			for _, f := range goals[i].parts {
				if math.Abs(f(end)) > missed && !p.wanted[i].others && (len(r.Missed) == 0 || r.Missed[len(r.Missed)-1] != goals[i].key) {
					r.Missed = append(r.Missed, goals[i].key)
					r.Misses = append(r.Misses, Miss{Target: goals[i].key, Wanted: p.wanted[i].value})
				}
			}
		}
		for _, l := range p.limits(end) {
			if l.name != sideToSide && l.f(end) > missed {
				r.Binding = append(r.Binding, l.name)
			}
		}
		r.Text = "The moves as given."
	}
	for i := range r.Misses {
		r.Misses[i].Reached = tidied(r.After.Value(r.Misses[i].Target))
	}
}
