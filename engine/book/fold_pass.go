package book

import (
	"encoding/json"
	"slices"
	"sort"

	"portwright/engine/build"
	"portwright/engine/unit"
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
			k.name = unit.Sprintf("%s (%d)", *n.name, i)
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
	extra, err := build.Split(raw)
	if err != nil {
		return err
	}
	sort.SliceStable(extra, func(i, j int) bool { return extra[i].Key < extra[j].Key })
	for _, f := range extra {
		if err := build.SetField(p, f.Key, f.Value); err != nil {
			return err
		}
	}
	return nil
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
