package book

import (
	"encoding/json"
	"fmt"
	"maps"
	"slices"

	"portwright/engine/build"
)

// nameParts makes the names of windows, and of the passes of one cylinder,
// different from each other, for readings go by the window's name. Two devices
// that made an "exhaust" each get "exhaust" and "exhaust (2)", in order of their
// making. A part whose name has not arrived is called by its kind.
func (s *folding) nameParts() {
	var windows, passes []named
	for _, w := range s.windows {
		if w.window.Name == "" {
			w.window.Name = w.window.Kind
		}
		if w.window.Name == "" {
			w.window.Name = "window"
		}
		if w.removed == "" {
			windows = append(windows, named{&w.window.Name, 0})
		}
	}
	for _, p := range s.passes {
		if p.pass.Name == "" {
			p.pass.Name = "pass"
		}
		if p.removed == "" {
			passes = append(passes, named{&p.pass.Name, max(p.pass.Cylinder, 1)})
		}
	}
	tellApart(windows)
	tellApart(passes)
}

type named struct {
	name *string
	of   int // cylinder of a pass
}

func tellApart(all []named) {
	type key struct {
		name string
		of   int
	}
	taken := make(map[key]bool, len(all))
	for _, n := range all {
		taken[key{*n.name, n.of}] = true
	}
	first := make(map[key]bool, len(all))
	for _, n := range all {
		k := key{*n.name, n.of}
		if !first[k] {
			first[k] = true
			continue
		}
		for i := 2; taken[k]; i++ {
			k.name = fmt.Sprintf("%s (%d)", *n.name, i)
		}
		taken[k] = true
		*n.name = k.name
	}
}

// placeReadings puts the readings into their passes, in Order.
func (s *folding) placeReadings() {
	counts := make(map[string]int, len(s.passes))
	for i := range s.readings {
		counts[s.readings[i].body.Pass]++
	}
	for i := range s.readings {
		e := &s.readings[i]
		p, w := s.byPass[e.body.Pass], s.byWindow[e.body.Window]
		switch {
		case p == nil || w == nil:
			s.out.Waiting = append(s.out.Waiting, e.ID)
			continue
		case p.removed != "" || w.removed != "":
			s.out.Hidden = append(s.out.Hidden, e.ID)
			continue
		}
		r, err := e.reading()
		if err != nil {
			s.unread(e.ID, err.Error())
			continue
		}
		r.Window = w.window.Name
		r.Struck = s.struck(e.ID)
		if p.pass.Readings == nil {
			p.pass.Readings = make([]build.Reading, 0, counts[e.body.Pass])
		}
		p.pass.Readings = append(p.pass.Readings, r)
	}
}

func (e *readingEntry) reading() (build.Reading, error) {
	var r build.Reading
	b := &e.body
	if err := setExtra(&r, b.Extra); err != nil {
		return r, err
	}
	var err error
	if r.Value, err = build.ReadValue(b.Value); err != nil {
		return r, err
	}
	if len(b.Feeler) > 0 {
		if err := build.SetField(&r, "feeler_mm", b.Feeler); err != nil {
			return r, err
		}
	}
	r.ID, r.Event, r.Method, r.Side, r.Quarter, r.At = e.ID, b.Event, b.Method, b.Side, b.Quarter, b.At
	r.Device = e.Device
	if b.Device != nil {
		r.Device = *b.Device
	}
	return r, nil
}

// setExtra gives a part the fields that this version does not know.
func setExtra(p build.Part, raw json.RawMessage) error {
	if len(raw) == 0 {
		return nil
	}
	var extra map[string]json.RawMessage
	if err := json.Unmarshal(raw, &extra); err != nil {
		return err
	}
	for _, k := range slices.Sorted(maps.Keys(extra)) {
		if err := build.SetField(p, k, extra[k]); err != nil {
			return err
		}
	}
	return nil
}

// placeStops pairs the stop readings of each check.
func (s *folding) placeStops() {
	type key struct{ pass, check string }
	var order []key
	checks := map[key][]stopEntry{}
	for _, e := range s.stops {
		p := s.byPass[e.body.Pass]
		switch {
		case p == nil:
			s.out.Waiting = append(s.out.Waiting, e.ID)
			continue
		case p.removed != "":
			s.out.Hidden = append(s.out.Hidden, e.ID)
			continue
		}
		s.out.Stops = append(s.out.Stops, e.state(s.struck(e.ID)))
		k := key{e.body.Pass, e.body.Check}
		if checks[k] == nil {
			order = append(order, k)
		}
		checks[k] = append(checks[k], e)
	}
	for _, k := range order {
		p := &s.byPass[k.pass].pass
		for n, group := range s.byStrike(checks[k]) {
			pairs, err := pair(group.entries, group.struck)
			if err != nil {
				s.unread(group.entries[0].ID, err.Error())
			}
			for m := range pairs {
				if pairs[m].ID = k.check; n+m > 0 {
					pairs[m].ID = fmt.Sprintf("%s~%d.%d", k.check, n+1, m+1)
				}
			}
			p.Stops = append(p.Stops, pairs...)
		}
	}
}

func (e *stopEntry) state(struck string) StopState {
	return StopState{ID: e.ID, Pass: e.body.Pass, Check: e.body.Check, When: e.body.When, Near: e.body.Near,
		Way: e.body.Way, Value: e.body.Value, At: e.body.At, Device: e.device(), Struck: struck}
}

func (e *stopEntry) device() string {
	if e.body.Device != nil {
		return *e.body.Device
	}
	return e.Device
}

type stopGroup struct {
	struck  string
	entries []stopEntry
}

// byStrike groups the readings of a check by the reason for which they were
// struck, those that count first: a good reading never pairs with a struck one.
func (s *folding) byStrike(entries []stopEntry) []stopGroup {
	groups := []stopGroup{{}}
	for _, e := range entries {
		reason := s.struck(e.ID)
		i := slices.IndexFunc(groups, func(g stopGroup) bool { return g.struck == reason })
		if i < 0 {
			i = len(groups)
			groups = append(groups, stopGroup{struck: reason})
		}
		groups[i].entries = append(groups[i].entries, e)
	}
	return slices.DeleteFunc(groups, func(g stopGroup) bool { return len(g.entries) == 0 })
}

// pair makes stop checks of the readings: the first reached turning the running
// way with the first turned back onto, and so on. What is left over stands
// alone.
func pair(entries []stopEntry, struck string) ([]build.StopCheck, error) {
	var running, back []stopEntry
	for _, e := range entries {
		if e.body.Way == build.WayBack {
			back = append(back, e)
		} else {
			running = append(running, e)
		}
	}
	var checks []build.StopCheck
	for i := range max(len(running), len(back)) {
		var of []stopEntry
		if i < len(running) {
			of = append(of, running[i])
		}
		if i < len(back) {
			of = append(of, back[i])
		}
		c, err := stopCheck(of, struck)
		if err != nil {
			return checks, err
		}
		checks = append(checks, c)
	}
	return checks, nil
}

func stopCheck(of []stopEntry, struck string) (build.StopCheck, error) {
	var c build.StopCheck
	for _, e := range of {
		if err := setExtra(&c, e.body.Extra); err != nil {
			return c, err
		}
	}
	c.When, c.Near, c.Struck, c.Device = of[0].body.When, of[0].body.Near, struck, of[0].device()
	if len(of) == 1 && of[0].body.Way == build.WayBack {
		c.Way = build.WayBack
	}
	timed := false
	for _, e := range of {
		c.Readings = append(c.Readings, e.body.Value)
		c.IDs = append(c.IDs, e.ID)
		c.At = append(c.At, e.body.At)
		timed = timed || e.body.At != ""
	}
	if !timed {
		c.At = nil
	}
	return c, nil
}

// placeCorrections puts the corrections that are in force into their passes and
// gives the readings they name by ID their places.
func (s *folding) placeCorrections() {
	for _, e := range s.corrects {
		p := s.byPass[e.body.Pass]
		if p == nil {
			s.out.Waiting = append(s.out.Waiting, e.ID)
			continue
		}
		if s.uncorrects[e.ID] || p.removed != "" {
			continue
		}
		var c build.Correction
		if err := build.DecodePart(e.body.Correction, &c); err != nil {
			s.unread(e.ID, err.Error())
			continue
		}
		c.ID = e.ID
		if c.AfterID != "" {
			c.After = placeOf(&p.pass, c.AfterID)
		}
		if len(c.IDs) > 0 {
			c.Readings = nil
			for _, id := range c.IDs {
				if place := placeOf(&p.pass, id); place > 0 {
					c.Readings = append(c.Readings, place)
				}
			}
		}
		p.pass.Corrections = append(p.pass.Corrections, c)
	}
}

// placeOf returns the 1-based place of a reading in its pass, 0 when it is not
// there.
func placeOf(p *build.Pass, id string) int {
	return 1 + slices.IndexFunc(p.Readings, func(r build.Reading) bool { return r.ID == id })
}
