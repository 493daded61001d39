package plan

import (
	"math"
	"slices"
	"strings"

	"portwright/engine/build"
	"portwright/engine/findings"
	"portwright/engine/unit"
)

const (
	squishField = "engine.squish_mm"
	ringField   = "engine.ring_below_crown_mm"
)

// cautions are warnings about the plan as a whole.
func (p *problem) cautions(r *Result) (out []Warning) {
	if len(p.doubted) > 0 {
		out = append(out, Warning{Code: WarnDoubted, Text: "Settle the findings first. Readings in doubt: " + strings.Join(p.doubted, ", ") + "."})
	}
	for _, text := range p.disagrees {
		out = append(out, Warning{Code: WarnBite, Text: text})
	}
	if !p.geo.RodKnown {
		out = append(out, Warning{Code: WarnRodUnknown, About: "engine.rod_mm",
			Text: "The rod was not measured: 1.6 to 2.2 strokes are taken as possible. That doubt makes the first bites shorter before they are rounded down to the step of your tool."})
	}
	for _, text := range p.asked {
		out = append(out, Warning{Code: WarnOdd, Text: text})
	}
	if stale := p.windowNames(func(i int) bool { return p.stale[i] }); len(stale) > 0 {
		out = append(out, Warning{Code: WarnNotRead, Text: "Metal came off, or the gasket was changed, since these were read: " + strings.Join(stale, ", ") + ". Their numbers are computed from what was measured off. Read them again."})
	}
	if unread := p.windowNames(func(i int) bool { return math.IsNaN(p.now.x[i]) && (p.windows[i].crown || p.windows[i].skirt) }); len(unread) > 0 {
		out = append(out, Warning{Code: WarnUnread, Text: "Not read, and so not planned for: " + strings.Join(unread, ", ") + ". What is cut elsewhere may leave them behind or move them unseen. Read them first."})
	}
	if p.lowered() && math.IsNaN(p.now.squish) {
		out = append(out, Warning{Code: WarnSquishUnknown, About: squishField, Text: "The cylinder came lower and squish is not known: measure it before the engine is turned over."})
	}
	if len(r.Binding) > 0 && r.Status == WhatIf {
		out = append(out, Warning{Code: WarnLimit, Text: "These moves cross " + boundNames(r.Binding) + "."})
	}
	for i, m := range r.Moves {
		out = append(out, p.blind(i+1, &m)...)
	}
	for _, m := range r.Moves {
		switch {
		case m.Move == build.MoveMufflerOutlet || m.Move == build.MoveExhaustWidth:
			out = append(out, Warning{Code: WarnArrester, Text: "A changed exhaust or outlet may break noise, emission and spark-arrester rules: check local law and the maker."})
			return out
		case m.Move == build.MoveBandCut && math.IsNaN(p.band):
			out = append(out, Warning{Code: WarnNoVolume, About: "engine.squish_band_width_mm", Text: "The band's width is not known, so neither is the volume after it is cut."})
		}
	}
	return out
}

// blind warns of a step that is made without knowing what it comes near.
func (p *problem) blind(step int, m *Step) (out []Warning) {
	if p.lowers(m.Move, m.ByMM) && math.IsNaN(p.now.squish) {
		out = append(out, Warning{Code: WarnSquishUnknown, About: squishField, Step: step, Text: "Squish is not known: measure it before the cylinder comes lower."})
	}
	if m.Move == build.MoveCrownCut && math.IsNaN(p.now.ring) {
		out = append(out, Warning{Code: WarnRingUnknown, About: ringField, Step: step, Text: "How far the ring lies under the crown is not known: measure it before the crown is cut."})
	}
	return out
}

// lowers says whether a move brings the cylinder lower; a gasket's by is what is
// thicker.
func (p *problem) lowers(move string, by *float64) bool {
	return by != nil && (move == build.MoveBaseCut && *by > 0 || move == build.MoveBaseGasket && *by < 0)
}

// lowered says whether bites brought the cylinder lower than it was received.
func (p *problem) lowered() bool {
	gasket := p.build.Engine.BaseGasket
	return gasket != nil && p.now.gasket < gasket.MM() ||
		slices.ContainsFunc(p.base.taken, func(c cut) bool { return c.move == build.MoveBaseCut && c.by > 0 })
}

// windowNames lists the windows of which something is so.
func (s *base) windowNames(so func(i int) bool) (out []string) {
	for i := range s.windows {
		if so(i) {
			out = append(out, s.windows[i].doc.Name)
		}
	}
	return out
}

// setAsked keeps what the findings ask about the engine's sizes, which every
// number of the plan stands on.
func (s *base) setAsked() {
	for _, f := range s.measured.Result().Problems {
		if f.Code == findings.CodeUnitSlip || f.Code == findings.CodeWireNotCrushed {
			s.asked = append(s.asked, f.Text)
		}
	}
}

// held refuses a bound of a move that this program does not know, and so can't
// hold, and targets of an intake that no cut moves.
func (s *base) held(b *build.Build) error {
	for _, r := range b.Allowed.Rooms() {
		if room := *r.Room; room != nil {
			for _, f := range room.Extra.Fields() {
				return bad("moves_allowed."+r.Key()+"."+f.Key, string(f.Value), "is no bound that this program knows, and so can't be held; must be max, as in {\"max\": 0.5}, or step")
			}
		}
	}
	for _, t := range b.Targets.List {
		if strings.HasPrefix(t.Key, build.KindIntake) && !s.piston {
			return bad("targets."+t.Key, "", "must be left out: a valve times the intake of this engine, and no cut of a window or the piston moves it")
		}
	}
	return nil
}

// fits refuses a bite that no engine can have had: one that takes an edge past
// where the piston turns round.
func (s *base) fits(at string, m *build.Move, before *state) error {
	for k := range s.windows {
		w := &s.windows[k]
		x, was, stroke := s.now.x[k], before.x[k], s.geo.ActualStroke()
		if x == was || m.ByMM == nil || math.IsNaN(x) || x > 0 && x < stroke || !(was > 0 && was < stroke) {
			continue
		}
		room := was
		if x > was {
			room = stroke - was
		}
		return bad(at+".by_mm", m.ByMM.String(), "must be less than "+unit.Plain(tidy(room), 2)+" mm: the edge of "+w.doc.Name+" would lie past the piston's dead centre")
	}
	return nil
}

// afterGasket says what is to be read once another gasket is in. Depths from the
// cylinder's top stay what they were; the crown's place under it does not.
func (s *base) afterGasket() string {
	if s.measured.Habit == build.HabitDepth {
		return "Then measure the deck and squish again: the crown stands elsewhere. The depths of the windows stay as they are."
	}
	return "Then read every window again, and squish: all of them have moved."
}
