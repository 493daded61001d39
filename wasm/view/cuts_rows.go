package view

import (
	"math"
	"slices"
	"strings"

	"portwright/engine/build"
	"portwright/engine/plan"
	"portwright/engine/unit"
	"portwright/wasm/app"
)

// wantedRows are the targets in their order, and those that can be added.
func wantedRows(m *app.Model, p *app.CutsPlan) (rows []NudgeRow, more []Button) {
	keys := m.WantedKeys()
	for i, key := range keys {
		f, _ := m.Wanted(key)
		path := "targets." + key
		row := NudgeRow{ID: "want-" + key, Path: key, Name: upperFirst(wordsOf(path).name), Value: f.Text, Hash: cutsHash(m, path), First: i == 0, Last: i == len(keys)-1,
			Less: app.CutsNudge{Key: key, By: -1}, More: app.CutsNudge{Key: key, By: 1}, Out: app.CutsLeave{Key: key},
			Up: app.CutsMove{Key: key, By: -1}, Down: app.CutsMove{Key: key, By: 1}}
		if f.Err == nil {
			row.Value, row.Small = targetWords(key, f)
		}
		if t := m.Engine.Typed[path]; !t.Nudged && t.Text != "" {
			row.Notes = append(row.Notes, "typed, not kept: "+t.Text)
		}
		if r := p.Result; r != nil && !m.Cuts.WhatIf {
			for _, miss := range r.Misses {
				if miss.Target == key && miss.Reached != nil {
					row.Notes = append(row.Notes, missWords(key, *miss.Reached, miss.Wanted))
					if stops := stopWords(m, miss.Binding); stops != "" {
						row.Notes = append(row.Notes, stops)
					}
				}
			}
			row.Warn = warnsOf(r, key, true)
		}
		for _, l := range p.Lacks {
			if l.Field == path {
				row.Notes = append(row.Notes, "left out of the plan")
			}
		}
		rows = append(rows, row)
	}
	for _, key := range build.TargetKeys() {
		if _, there := m.Wanted(key); !there {
			more = append(more, Button{Words: "+ " + wordsOf("targets."+key).name, Msg: app.CutsWant{Key: key}})
		}
	}
	return rows, more
}

// missWords says what is reached of a target, and to which side of it that is.
func missWords(key string, reached, wanted float64) string {
	side := [2]string{"too little", "too much"}
	switch {
	case strings.HasSuffix(key, "_opens_deg"):
		side = [2]string{"too early", "too late"}
	case strings.HasSuffix(key, "_duration_deg"):
		side = [2]string{"too short", "too long"}
	}
	d := reached - wanted
	said := side[1]
	if d < 0 {
		d, said = -d, side[0]
	}
	return "reached " + numberWords(key, reached) + ", " + strings.TrimSuffix(numberWords(key, d), " : 1") + " " + said
}

// stopWords says what keeps a target away.
func stopWords(m *app.Model, binding []string) string {
	var out []string
	for _, key := range binding {
		words, _ := bindWords(m, key)
		out = append(out, words)
	}
	if len(out) == 0 {
		return ""
	}
	return "kept there by: " + strings.Join(out, "; ")
}

// warnsOf are the warnings about a number, or also about what goes with it: an
// opening with its duration, squish with its least.
func warnsOf(r *plan.Result, key string, also bool) (out []string) {
	of := func(key string) string {
		if also {
			key = strings.TrimSuffix(strings.TrimSuffix(strings.TrimSuffix(key, "_opens_deg"), "_duration_deg"), "_least_mm")
			return strings.TrimSuffix(key, "_mm")
		}
		return key
	}
	for i := range r.Warnings {
		if w := &r.Warnings[i]; w.Window == "" && of(w.About) == of(key) {
			out = append(out, w.Text)
		}
	}
	return out
}

// targetWords shows a target, and the same in another way: the duration of an
// opening, the other unit of a length.
func targetWords(key string, f app.Field) (value, small string) {
	switch key {
	case build.TargetSquish:
		l := unit.Length{Value: f.Value, Unit: f.Unit}
		return l.String(), otherUnits(l)
	case build.TargetExhaustOpens, build.TargetTransferOpens:
		return numberWords(key, f.Value), "open for " + numberWords(key, 360-2*f.Value)
	case build.TargetExhaustDuration, build.TargetTransferDuration:
		return numberWords(key, f.Value), "opens at " + numberWords(key, 180-f.Value/2)
	case build.TargetIntakeDuration:
		return numberWords(key, f.Value), "opens " + numberWords(key, f.Value/2) + " before TDC"
	case build.TargetIntakeOpens:
		return numberWords(key, f.Value), "open for " + numberWords(build.TargetIntakeDuration, 2*(360-f.Value))
	}
	return numberWords(key, f.Value), ""
}

// numberWords shows a number of a plan with its unit.
func numberWords(key string, v float64) string {
	switch {
	case key == build.TargetIntakeOpens && v > 180:
		return unit.Fixed(360-v, 1) + "° before TDC"
	case strings.HasSuffix(key, "_deg"):
		return unit.Fixed(v, 1) + "°"
	case strings.HasSuffix(key, "_mm"):
		return unit.Fixed(v, 2) + " mm"
	case strings.HasSuffix(key, "_s_per_m"):
		return unit.Fixed(v*1e4, 1)
	case strings.HasSuffix(key, "_cc"):
		return unit.Fixed(v, 2) + " cc"
	case strings.HasSuffix(key, "_ratio"):
		return unit.Fixed(v, 2) + " : 1"
	}
	return unit.Fixed(v, 1) + numberUnit(key)
}

// tryRows are the moves that can be tried.
func tryRows(m *app.Model) (out []NudgeRow) {
	for _, mv := range app.MovesOf(m.Open.Build) {
		path := mv.Path()
		v, known := m.Tries(mv)
		row := NudgeRow{ID: "try-" + path, Path: path, Name: upperFirst(moveName(mv.Move, mv.Window.Name)),
			Less: app.CutsTryBy{Path: path, By: -1}, More: app.CutsTryBy{Path: path, By: 1}}
		f, typed := m.Cuts.Tried[path]
		switch {
		case typed:
			row.Text = f.Text
		case known:
			row.Text = unit.Plain(v, 2)
		}
		switch {
		case f.Err != nil:
			row.Notes = []string{faultSentence(app.FieldSpec{}, faultOf(f.Err))}
		case mv.Move == build.MoveMufflerOutlet:
			row.Small = "mm²"
		case known:
			_, thou := lengthPair(v)
			row.Small = "mm, " + thou
		default:
			row.Small = "mm; not known how thick it is now"
		}
		out = append(out, row)
	}
	return out
}

func faultOf(err error) *unit.InputError {
	if f, ok := err.(*unit.InputError); ok {
		return f
	}
	return &unit.InputError{Reason: err.Error()}
}

// stepRows is the cut list.
func stepRows(m *app.Model, r *plan.Result) (out []CutsStep) {
	seen := map[string]bool{} // a caution is said once
	for i := range r.Moves {
		s := &r.Moves[i]
		row := CutsStep{Place: plain(i + 1), Title: upperFirst(moveName(s.Move, s.Window)), Text: s.Text, Then: "Your wheel then reads"}
		bite, stops := s.WheelAfter, false // a bound stops it, whatever was read
		switch {
		case s.ToMM != nil:
			row.Amount, row.Small = lengthPair(*s.ToMM)
			row.Small = "in place of " + unit.Fixed(*s.ToMM-*s.ByMM, 2) + " mm"
			if *s.ToMM == 0 {
				row.Amount = "none"
			}
		case s.ToMM2 != nil:
			row.Amount = unit.Fixed(*s.ToMM2, 0) + " mm²"
		case s.ByMM != nil:
			row.Amount, row.Small = lengthPair(*s.ByMM)
			if *s.ByMM > 0 && *s.ByMM < 0.005 {
				row.Amount = "under 0.01 mm"
			}
			row.Doubt = figDoubt(s.U95MM, 2, " mm")
			stops = s.BoundMM != nil
		}
		if s.FirstBiteMM != nil && *s.FirstBiteMM > 0 {
			mm, thou := lengthPair(*s.FirstBiteMM)
			row.Bite = mm + ", " + thou
			if _, advice, ok := strings.Cut(row.Text, "then read again."); ok {
				row.Bite, row.Text = row.Bite+", then read again", strings.TrimSpace(advice)
			}
			bite, row.Then = s.WheelBite, "After the first bite your wheel reads"
		}
		row.Wheel = wheelWords(m, bite)
		if s.SquishAfter != nil {
			row.After = "Squish after the whole cut " + unit.Fixed(*s.SquishAfter, 2) + " mm"
		}
		for k := range r.Warnings {
			if w := &r.Warnings[k]; w.Step == i+1 && (!inTable(w) || strings.HasSuffix(w.Text, "right.") || w.Code == plan.WarnContact) {
				row.Warn = append(row.Warn, w.Text)
				if app.IsField(w.About) {
					row.Acts = append(row.Acts, goTo("Give "+fieldName(w.About), engineHash(m, w.About)))
				}
			}
		}
		if c := moveCaution(s.Move); !seen[c] {
			row.Caution, seen[c] = c, true
		}
		for _, mv := range app.MovesOf(m.Open.Build) {
			if !m.Cuts.WhatIf && mv.Move == s.Move && mv.Window.Name == s.Window {
				done := goTo("Done: give what came off", cutsHash(m, "bite/"+mv.Path()))
				done.Now = true
				row.Acts = append(append([]Button{done}, row.Acts...), helpButtons(m, s.Help)...)
				if stops {
					row.Acts = append(row.Acts, bindButton(m, s.Move+"_mm"))
				}
			}
		}
		out = append(out, row)
	}
	return out
}

// wheelWords says what the wheel shows, a line for each window.
func wheelWords(m *app.Model, rs []plan.Reading) (out []string) {
	last := ""
	for _, r := range rs {
		value := ""
		switch {
		case r.ReadsMM != nil:
			value = "depth " + unit.Fixed(*r.ReadsMM, 2) + " mm"
		case r.ReadsDeg != nil:
			value = r.Event + " " + unit.Fixed(*r.ReadsDeg, 1)
			if r.Quarter > 0 {
				value += " in quarter " + plain(r.Quarter)
			}
		}
		if r.Window == last {
			out[len(out)-1] += ", " + value
			continue
		}
		last = r.Window
		out = append(out, r.Window+" "+value)
	}
	return out
}

// helpButtons lead to what would make the first bite longer most.
func helpButtons(m *app.Model, help string) []Button {
	field := ""
	switch help {
	case "":
		return nil
	case plan.HelpRod:
		field = "engine.rod_mm"
	case plan.HelpStroke:
		field = "engine.stroke_mm"
	case plan.HelpOffset:
		field = "engine.pin_offset_mm"
	case plan.HelpSquish:
		field = "engine.squish_mm[0]"
	case plan.HelpVolume:
		field = "engine.chamber_cc"
	case plan.HelpCrown:
		field = "engine.crown_below_deck_mm"
	default:
		return []Button{goTo("To the bench", app.Route{Station: app.AtBench, Build: m.Open.ID}.Hash())}
	}
	return []Button{goTo("Give "+fieldName(field), engineHash(m, field))}
}

// readout is what follows while something is nudged: what will be, not what is.
func readout(r *plan.Result) (out []Fact) {
	for _, n := range [...]struct {
		at   int
		name string
	}{{plan.ExhaustOpens, "exhaust"}, {plan.Blowdown, "blowdown"}, {plan.TransferOpens, "transfer"}, {plan.Squish, "squish"}} {
		blind := slices.ContainsFunc(r.Warnings, func(w plan.Warning) bool { return w.Code == plan.WarnSquishUnknown })
		if v := r.After[n.at]; n.at == plan.Squish && math.IsNaN(v) && blind {
			out = append(out, Fact{Name: n.name, Value: Figure{Value: "? !"}})
		} else if !math.IsNaN(v) {
			key := plan.NumberNames()[n.at].Key
			value := strings.TrimSuffix(numberWords(key, v), " mm")
			if len(warnsOf(r, key, true)) > 0 {
				value += " !"
			}
			out = append(out, Fact{Name: n.name, Value: Figure{Value: value}})
		}
	}
	return out
}
