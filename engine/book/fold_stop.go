package book

import (
	"slices"

	"portwright/engine/build"
	"portwright/engine/unit"
)

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
					pairs[m].ID = unit.Sprintf("%s~%d.%d", k.check, n+1, m+1)
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
