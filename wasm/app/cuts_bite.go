package app

import (
	"slices"
	"strconv"
	"strings"
	"time"

	"portwright/engine/book"
	"portwright/engine/build"
	"portwright/engine/plan"
	"portwright/engine/unit"
)

// Planned is the step of the plan that a bite belongs to, nil when it belongs
// to none.
func (m *Model) Planned(mv MoveAt) *plan.Step {
	r := m.Cuts.Plan.Result
	if r == nil || m.Cuts.WhatIf {
		return nil
	}
	for i := range r.Moves {
		if s := &r.Moves[i]; s.Move == mv.Move && s.Window == mv.Window.Name {
			return s
		}
	}
	return nil
}

// BiteAt is the move that the path of a bite is about.
func (m *Model) BiteAt(path string) (MoveAt, bool) {
	rest, ok := strings.CutPrefix(path, biteStart)
	if !ok {
		return MoveAt{}, false
	}
	return moveAt(m.Open.Build, rest)
}

// mostBite is what hardly ever comes off at once, in mm, and no base gasket is
// thicker than: more is another unit. Common practice, no source.
const mostBite = 3

// biteDoubt asks about a bite of an unlikely size, and says when the target is
// passed with it.
func (m *Model) biteDoubt(mv MoveAt, l unit.Length) *build.Doubt {
	d := &build.Doubt{Given: l}
	mm := unit.Length{Value: l.MM()}
	if mm.Value > mostBite {
		for _, meant := range [...]unit.Length{{Value: l.Value, Unit: unit.Thou}, {Value: l.Value / 10, Unit: l.Unit}, {Value: l.Value / 100, Unit: l.Unit}} {
			if meant.MM() <= mostBite {
				d.Suggest = &meant
				d.Text = unit.Sprintf("%s is more than comes off at once. Did you mean %s?", l.String(), meant.String())
				return d
			}
		}
	}
	s := m.Planned(mv)
	if s == nil || s.ByMM == nil || mv.Move == build.MoveBaseGasket || mm.Value <= *s.ByMM {
		return nil
	}
	d.Text = unit.Sprintf("That is %s mm more than the plan takes off in all: the target is passed. The plan is made anew from it.", unit.Fixed(mm.Value-*s.ByMM, 2))
	return d
}

// keepBite writes a bite as it was measured.
func (m *Model) keepBite(spec FieldSpec, f Field, mv MoveAt, in Input) []Effect {
	l, area := unit.Length{Value: f.Value, Unit: f.Unit}, f.Value
	bite := build.Bite{Move: build.Move{Move: mv.Move}, At: time.UnixMilli(in.NowMS).UTC().Format(time.RFC3339)}
	wrong := ""
	switch {
	case mv.Move == build.MoveBaseGasket:
		bite.ToMM = &l
		if f.Value < 0 {
			wrong = "must be 0 or more: 0 when none is in"
		}
	case f.Value <= 0:
		wrong = "must be more than 0: metal that is off can't be put back"
	case mv.Move == build.MoveMufflerOutlet:
		bite.ToMM2 = &area
	default:
		bite.ByMM = &l
	}
	if wrong == "" {
		wrong = m.cannotBe(bite, mv)
	}
	if wrong != "" {
		return m.refuse(spec, f, []*unit.InputError{{Value: f.Text, Reason: wrong}})
	}
	item, err := book.BiteItem(in.ID(1), m.Open.ID, m.cutsPass(), mv.Window.ID, bite)
	if err != nil {
		return m.refuse(spec, f, faultsOf(err))
	}
	m.hold(spec, f)
	f = m.Engine.Typed[spec.Path]
	f.Sending = item.ID
	m.Engine.Typed[spec.Path] = f
	return append(m.write(in, item), m.engineGo("")...)
}

// cannotBe says why a bite can't have been made on the open build, or "".
func (m *Model) cannotBe(bite build.Bite, mv MoveAt) string {
	b := m.cutsBuild(true)
	b.Moves, bite.Window, bite.Cylinder = nil, mv.Window.Name, m.CutsCylinder()
	at := "bites[" + strconv.Itoa(len(b.Bites)) + "]"
	if n := len(b.Passes); n > 0 {
		bite.Pass = b.Passes[n-1].Name
	}
	b.Bites = append(slices.Clone(b.Bites), bite)
	_, err := plan.Run(b, plan.Options{WhatIf: true})
	for _, f := range faultsOf(err) {
		if strings.HasPrefix(f.Field, at+".by_mm") || strings.HasPrefix(f.Field, at+".to_mm") {
			return f.Reason
		}
	}
	return ""
}

// cutsPass is the ID of the pass that was read last before a bite that is made
// now, "" when nothing was read.
func (m *Model) cutsPass() string {
	last := ""
	for i := range m.Open.Build.Passes {
		if p := &m.Open.Build.Passes[i]; max(p.Cylinder, 1) == m.CutsCylinder() && isRead(p) {
			last = p.ID
		}
	}
	return last
}

// cutsWritten follows a bite that was kept.
func (m *Model) cutsWritten(w Write) []Effect {
	if m.Station != AtCuts || !slices.ContainsFunc(w.Items, func(it book.Item) bool { return it.Kind == book.KindBite }) {
		return nil
	}
	m.Notice = "The bite is kept. Read again, and the plan goes on from there."
	if w.Items[0].Kind == book.KindStrike {
		m.Notice = "The bite is what the readings make it. What was entered is struck out."
	}
	return []Effect{FocusOn{ID: "read-again"}}
}

func (m *Model) strikeBite(id string, out bool, in Input) []Effect {
	at := slices.IndexFunc(m.Open.Build.Bites, func(b build.Bite) bool { return b.ID == id })
	if id == "" || at < 0 || (m.Open.Build.Bites[at].Struck != "") == out || len(m.Save.Waiting) > 0 {
		return nil
	}
	if out {
		return m.write(in, m.item(book.KindStrike, in.ID(1), &book.StrikeBody{Target: id, Reason: "entered wrongly", Base: m.strikeHead(id)}))
	}
	return m.write(in, m.item(book.KindUnstrike, in.ID(1), &book.TargetBody{Target: id, Base: m.strikeHead(id)}))
}

// readAgain takes a pass after the cut in hand, the one that was begun already
// or a new one, and goes to the bench.
func (m *Model) readAgain(in Input) []Effect {
	if m.writing() {
		return nil
	}
	bench := GoTo{Hash: Route{Station: AtBench, Build: m.Open.ID}.Hash()}
	cylinder, last := m.CutsCylinder(), (*build.Pass)(nil)
	for i := range m.Open.Build.Passes {
		if p := &m.Open.Build.Passes[i]; max(p.Cylinder, 1) == cylinder {
			last = p
		}
	}
	if last == nil || !isRead(last) {
		if last != nil {
			m.takePass(last.ID)
		}
		return []Effect{bench}
	}
	name := m.NextPassName()
	for _, b := range m.Open.Build.Bites {
		if after := "after " + plan.Name(b.Move.Move); b.Struck == "" && max(b.Cylinder, 1) == cylinder && !m.passNamed(after) {
			name = after
		}
	}
	return append(m.newPass(BenchNewPass{Name: name, Cylinder: cylinder}, in), bench)
}
