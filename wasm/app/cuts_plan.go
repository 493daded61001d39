package app

import (
	"encoding/json"
	"slices"
	"strings"

	"portwright/engine/build"
	"portwright/engine/draw"
	"portwright/engine/plan"
	"portwright/engine/unit"
)

// CutsPlan is a plan as far as one can be made.
type CutsPlan struct {
	Result *plan.Result // nil: there is none; Lacks or Err say why
	Lacks  []Lack
	Err    string

	Map  draw.Map // of Result, and Ring: cuts_draw.go
	Ring string
}

// Lack is a target, limit or move that had to be left out.
type Lack struct {
	Field string   // "targets.squish_mm"; a field of the engine when nothing can be planned without
	Needs []string // fields, and "readings of the ..."
	Text  string   // where Needs is empty: what is wrong with it
}

// PlanFailed begins the reason when making the plan broke off.
const PlanFailed = "The plan could not be made; every entry is kept. The fault:"

// planCuts makes the plan anew when the station is shown and a number of it
// changed.
func (m *Model) planCuts() {
	if c := &m.Cuts; m.Station == AtCuts && m.Open != nil && m.Open.Build != nil && c.stale {
		m.retry()
		c.stale = false
		c.Plan = cutsOf(m.cutsBuild(c.WhatIf), c.WhatIf)
	}
}

// CutsFresh is the plan made anew, whether or not it has to be.
func (m *Model) CutsFresh() CutsPlan { return cutsOf(m.cutsBuild(m.Cuts.WhatIf), m.Cuts.WhatIf) }

// cutsBuild is a copy of the open build as the plan takes it: one cylinder,
// with the targets as they are on the screen, or with the moves that are tried.
func (m *Model) cutsBuild(whatIf bool) *build.Build {
	b := *m.Open.Build
	b.Targets.List = slices.Clone(b.Targets.List)
	oneCylinder(&b, m.CutsCylinder())
	for _, key := range build.TargetKeys() {
		path := "targets." + key
		if f := m.Engine.Typed[path]; f.Nudged || f.Sending != "" {
			spec, _, _, _ := FieldAt(&b, path)
			if value, err := fieldJSON(spec, m.parsed(spec, f)); err == nil && len(wrongWith(&b, path, value)) == 0 {
				_ = build.SetField(&b.Targets, key, value) // it can be: wrongWith has tried
			}
		}
	}
	b.Moves = nil
	if !whatIf {
		return &b
	}
	for _, mv := range MovesOf(&b) {
		f, typed := m.Cuts.Tried[mv.Path()]
		if !typed || f.Err != nil {
			continue
		}
		b.Moves = append(b.Moves, mv.of(f))
	}
	return &b
}

// CutsCylinder is the cylinder that is planned: that of the pass in hand.
func (m *Model) CutsCylinder() int {
	if p := m.PassInHand(); p != nil {
		return max(p.Cylinder, 1)
	}
	return 1
}

// oneCylinder leaves the passes and bites of one cylinder, without passes that
// were begun after the last reading and say nothing yet.
func oneCylinder(b *build.Build, cylinder int) {
	last := ""
	var passes []build.Pass
	for _, p := range b.Passes {
		if max(p.Cylinder, 1) == cylinder {
			passes = append(passes, p)
		}
	}
	for len(passes) > 1 && !isRead(&passes[len(passes)-1]) {
		passes = passes[:len(passes)-1]
	}
	names := map[string]bool{"": true}
	for _, p := range passes {
		last = p.Name
		names[last] = true
	}
	var bites []build.Bite
	for _, x := range b.Bites {
		if max(x.Cylinder, 1) != cylinder {
			continue
		}
		if !names[x.Pass] {
			x.Pass = last
		}
		bites = append(bites, x)
	}
	b.Passes, b.Bites = passes, bites
}

func isRead(p *build.Pass) bool {
	return slices.ContainsFunc(p.Readings, func(r build.Reading) bool { return r.Struck == "" })
}

// cutsOf makes the plan. What stands against a target, limit or move takes that
// one out, and the rest is planned. A fault in the planning must not keep the
// build from opening.
func cutsOf(b *build.Build, whatIf bool) (out CutsPlan) {
	defer func() {
		if fault := recover(); fault != nil {
			out = CutsPlan{Err: unit.Sprintf("%s %v", PlanFailed, fault)}
		}
	}()
	for range 40 { // more than there are targets, limits, rules and rooms
		r, err := plan.Run(b, plan.Options{WhatIf: whatIf || len(b.Targets.List) == 0})
		if err == nil {
			out.Result = r
			out.draw()
			return out
		}
		left := false
		for _, f := range faultsOf(err) {
			l := Lack{Field: f.Field, Text: f.Reason}
			if f.Field == "engine.stroke_mm" || f.Field == "engine.base_gasket_mm" || f.Field == "passes" {
				l.Needs = []string{f.Field}
			} else if needs, ok := strings.CutPrefix(f.Reason, "needs "); ok {
				l.Needs = strings.Split(needs, " and ")
			}
			out.Lacks = append(out.Lacks, l)
			left = leaveOut(b, f.Field) || left
		}
		if !left {
			return out
		}
	}
	return out
}

// leaveOut takes a field that can't be planned with out of the copy; false when
// there is no going on without it.
func leaveOut(b *build.Build, field string) bool {
	where, key, _ := strings.Cut(field, ".")
	part := planPart(b, where)
	switch {
	case field == "engine.base_gasket_mm":
		had := len(b.Allowed.BaseGaskets) > 0 || len(b.Moves) > 0
		b.Allowed.BaseGaskets = nil
		b.Moves = slices.DeleteFunc(b.Moves, func(m build.Move) bool { return m.Move == build.MoveBaseGasket })
		return had
	case strings.HasPrefix(field, "moves["):
		b.Moves = nil
		return true
	case part == nil:
		return false
	}
	for _, extra := range [...]*build.Extra{&b.Targets.Extra, &b.Limits.Extra, &b.Allowed.Extra, &b.Rules.Extra} {
		if _, unknown := (*extra)[key]; unknown {
			*extra = nil
			return true
		}
	}
	if end := strings.IndexAny(key, ".["); end >= 0 {
		key = key[:end]
	}
	return build.SetField(part, key, json.RawMessage("null")) == nil
}
