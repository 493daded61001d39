package app

import (
	"math"

	"portwright/engine/build"
	"portwright/engine/plan"
	"portwright/engine/unit"
)

// try takes what is typed for a move. Nothing typed is nothing tried.
func (m *Model) try(path, text string) {
	mv, ok := moveAt(m.Open.Build, path)
	if !ok || len(text) > 40 {
		return
	}
	m.Cuts.stale = true
	if text == "" {
		delete(m.Cuts.Tried, path)
		return
	}
	if m.Cuts.Tried == nil {
		m.Cuts.Tried = map[string]Field{}
	}
	m.Cuts.Facts = m.facts()
	m.Cuts.Tried[path] = m.tried(mv, Field{Text: text, Unit: unit.MM})
}

// tried reads what is typed for a move; one that can't be is a fault of its own
// field, and the other moves still count.
func (m *Model) tried(mv MoveAt, f Field) Field {
	f = m.parsed(m.tryAs(mv.Path()), f)
	if f.Err == nil {
		for _, e := range faultsOf(build.CheckPlan(&build.Build{Windows: m.Open.Build.Windows, Moves: []build.Move{mv.of(f)}})) {
			f.Err = &unit.InputError{Value: f.Text, Reason: e.Reason}
		}
	}
	return f
}

// of is the move by what is typed.
func (mv MoveAt) of(f Field) build.Move {
	l, area := unit.Length{Value: f.Value, Unit: f.Unit}, f.Value
	move := build.Move{Move: mv.Move, Window: mv.Window.Name}
	switch mv.Move {
	case build.MoveBaseGasket:
		move.ToMM = &l
	case build.MoveMufflerOutlet:
		move.ToMM2 = &area
	default:
		move.ByMM = &l
	}
	return move
}

// tryAs is how a tried amount is read: a length, of the outlet an area.
func (m *Model) tryAs(path string) FieldSpec {
	if path == build.MoveMufflerOutlet+"/" {
		return FieldSpec{Kind: FieldNumber}
	}
	return FieldSpec{Kind: FieldLength}
}

// Tries is a move's tried amount, in mm or mm2; where nothing is tried it is
// what leaves the engine as it is. ok is false when that is not known.
func (m *Model) Tries(mv MoveAt) (v float64, ok bool) {
	if f, typed := m.Cuts.Tried[mv.Path()]; typed && f.Err == nil {
		return unit.Length{Value: f.Value, Unit: f.Unit}.MM(), true
	}
	r := m.Cuts.Plan.Result
	switch {
	case mv.Move != build.MoveBaseGasket && mv.Move != build.MoveMufflerOutlet:
		return 0, true
	case r == nil:
		return 0, false
	case mv.Move == build.MoveBaseGasket:
		v = r.Now[plan.BaseGasket]
	default:
		v = r.Now[plan.MufflerOutlet]
	}
	return v, !math.IsNaN(v)
}

// TryStep is by how much a tried move is nudged, in mm or mm2.
func TryStep(move string) float64 {
	switch move {
	case build.MoveMufflerOutlet:
		return 10
	case build.MoveExhaustWidth:
		return 0.5
	case build.MoveBandCut, build.MoveBaseCut, build.MoveCrownCut:
		return 0.05
	}
	return 0.1
}

func (m *Model) tryBy(path string, by int) {
	mv, ok := moveAt(m.Open.Build, path)
	if !ok {
		return
	}
	v, _ := m.Tries(mv)
	m.try(path, number(math.Max(0, v+float64(by)*TryStep(mv.Move))))
}

// facts tells one state of what was cut and read in the cylinder from another:
// how many bites and readings of it count.
func (m *Model) facts() int {
	b, c := m.Open.Build, m.CutsCylinder()
	n := c << 40
	for i := range b.Bites {
		if x := &b.Bites[i]; x.Struck == "" && max(x.Cylinder, 1) == c {
			n += 1 << 20
		}
	}
	for i := range b.Passes {
		if p := &b.Passes[i]; max(p.Cylinder, 1) == c {
			for k := range p.Readings {
				if p.Readings[k].Struck == "" {
					n++
				}
			}
		}
	}
	return n
}

// retry takes the moves of a new plan in place of those that were tried before
// metal came off or was read again: what is off is no move any more.
func (m *Model) retry() {
	if len(m.Cuts.Tried) > 0 && m.Cuts.Facts != m.facts() {
		m.planned()
		if m.Cuts.WhatIf {
			m.Notice = "What was cut and read is not what it was: the moves to try begin with the plan made anew."
		}
	}
}

// tryPlan begins with the moves of the build's file as long as there is no bite,
// else with the plan's.
func (m *Model) tryPlan() {
	moves := m.Open.Build.Moves
	if len(m.Open.Build.Bites) > 0 {
		moves = nil
	}
	for i := range moves {
		mv := &moves[i]
		switch {
		case mv.ToMM2 != nil:
			m.tryAt(mv.Move, mv.Window, *mv.ToMM2)
		case mv.ToMM != nil:
			m.tryAt(mv.Move, mv.Window, mv.ToMM.MM())
		case mv.ByMM != nil:
			m.tryAt(mv.Move, mv.Window, mv.ByMM.MM())
		}
	}
	if len(m.Cuts.Tried) == 0 {
		m.planned()
	}
}

// planned takes the moves of the plan for the targets as those to try.
func (m *Model) planned() {
	p := cutsOf(m.cutsBuild(false), false)
	if p.Result == nil {
		return
	}
	m.Cuts.Tried, m.Cuts.stale = nil, true
	for i := range p.Result.Moves {
		switch s := &p.Result.Moves[i]; {
		case s.ToMM != nil:
			m.tryAt(s.Move, s.Window, *s.ToMM)
		case s.ByMM != nil:
			m.tryAt(s.Move, s.Window, *s.ByMM)
		}
	}
}

// tryAt tries a move at a window, or at all that it is about.
func (m *Model) tryAt(move, window string, v float64) {
	for _, mv := range MovesOf(m.Open.Build) {
		if mv.Move == move && (window == "" || mv.Window.Name == window) {
			m.try(mv.Path(), unit.Plain(v, 2))
		}
	}
}

// resumeTried reads again what a kept draft tried.
func (m *Model) resumeTried() {
	for path, f := range m.Cuts.Tried {
		mv, ok := moveAt(m.Open.Build, path)
		if !ok {
			delete(m.Cuts.Tried, path)
			continue
		}
		m.Cuts.Tried[path] = m.tried(mv, f)
	}
	m.Cuts.due = true
}
