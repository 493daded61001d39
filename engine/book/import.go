package book

import (
	"encoding/json"
	"errors"
	"strconv"

	"portwright/engine/build"
	"portwright/engine/unit"
)

// ItemsOf returns a build file as items, in the order in which they are to be
// written: folding them gives the same build. Every item has an ID. IDs in the
// file that are UUIDs are kept, so that the readings of a build that comes home
// are known again; others are replaced by ids(), a fresh UUIDv7 each time.
//
// What could not be folded back is an error (*unit.InputError, joined): a
// reading of a window that is not listed, two windows of one name, a stop check
// without one or two readings, a correction of a reading that is not there.
func ItemsOf(b *build.Build, ids func() string) ([]Item, error) {
	m := &importer{b: b, ids: ids, used: map[string]bool{}, windows: map[string]string{}, passes: map[passKey]string{}}
	m.of = m.idFor(b.ID)
	m.fields("", b)
	m.fields("engine.", &b.Engine)
	for i := range b.Windows {
		m.window(i)
	}
	for _, key := range [...]string{"wheel", "targets", "moves_allowed", "limits", "rules"} {
		m.fields(key+".", partOf(b, key))
	}
	for i := range b.Passes {
		m.pass(i)
	}
	for i := range b.Bites {
		m.bite(i)
	}
	if err := errors.Join(m.errs...); err != nil {
		return nil, err
	}
	return m.items, nil
}

// maxTold is how many faults of an import are told at once.
const maxTold = 20

type importer struct {
	b       *build.Build
	ids     func() string
	of      string // ID of the build
	items   []Item
	errs    []error
	used    map[string]bool
	windows map[string]string // IDs by name
	passes  map[passKey]string
}

type passKey struct {
	name     string
	cylinder int
}

// idFor keeps an ID that is a UUID and not taken yet.
func (m *importer) idFor(id string) string {
	if !isUUID(id) || m.used[id] {
		if id = m.ids(); m.used[id] {
			// An entry whose ID is there already would be taken for a repetition.
			m.wrong("build file", "", unit.Sprintf("has more parts than there are fresh IDs (%d)", len(m.used)))
		}
	}
	m.used[id] = true
	return id
}

func isUUID(s string) bool {
	if len(s) != 36 {
		return false
	}
	for i, c := range []byte(s) {
		switch {
		case i == 8 || i == 13 || i == 18 || i == 23:
			if c != '-' {
				return false
			}
		case !(c >= '0' && c <= '9' || c >= 'a' && c <= 'f' || c >= 'A' && c <= 'F'):
			return false
		}
	}
	return true
}

func (m *importer) wrong(field, value, reason string) {
	if len(m.errs) >= maxTold {
		return
	}
	m.errs = append(m.errs, &unit.InputError{Field: field, Value: value, Reason: reason})
}

func (m *importer) set(path string, value json.RawMessage) {
	m.items = append(m.items, setItem(m.idFor(""), m.of, path, value))
}

// fields sets every field of a part. A build, window or pass has its name set
// even when that is empty: the first set makes it.
func (m *importer) fields(prefix string, p build.Part) {
	fs, err := build.Fields(p)
	if err != nil {
		m.errs = append(m.errs, err)
		return
	}
	switch p := p.(type) {
	case *build.Build:
		m.set("name", build.TextJSON(p.Name))
	case *build.Window:
		m.set(prefix+"name", build.TextJSON(p.Name))
	case *build.Pass:
		m.set(prefix+"name", build.TextJSON(p.Name))
	}
	_, whole := p.(*build.Build)
	for _, f := range fs {
		switch path := prefix + f.Key; {
		case f.Key == "id" || f.Key == "name":
		case whole && (f.Key == "format" || f.Key == "version"):
		case whole && (f.Key == "number" || f.Key == "note" || f.Key == "demo" || f.Key == "state" || f.Key == "moves"):
			m.set(path, f.Value)
		case whole:
			m.set("extra."+f.Key, f.Value)
		default:
			m.set(path, f.Value)
		}
	}
}

func (m *importer) window(i int) {
	w := &m.b.Windows[i]
	if _, twice := m.windows[w.Name]; twice || w.Name == "" {
		m.wrong(unit.Sprintf("windows[%d].name", i), strconv.Quote(w.Name), "must be a name that no other window has")
	}
	id := m.idFor(w.ID)
	m.windows[w.Name] = id
	m.fields("windows/"+id+".", w)
}

func (m *importer) pass(i int) {
	p, at := &m.b.Passes[i], unit.Sprintf("passes[%d]", i)
	id := m.idFor(p.ID)
	if k := (passKey{p.Name, max(p.Cylinder, 1)}); m.passes[k] == "" {
		m.passes[k] = id
	}
	m.fields("passes/"+id+".", p)
	for j := range p.Stops {
		m.stop(unit.Sprintf("%s.stops[%d]", at, j), id, &p.Stops[j])
	}
	readings := make([]string, len(p.Readings)) // their new IDs
	byOldID := map[string]string{}
	for j := range p.Readings {
		readings[j] = m.reading(unit.Sprintf("%s.readings[%d]", at, j), id, &p.Readings[j])
		if old := p.Readings[j].ID; old != "" {
			byOldID[old] = readings[j]
		}
	}
	for j := range p.Corrections {
		m.correction(unit.Sprintf("%s.corrections[%d]", at, j), id, p.Corrections[j], readings, byOldID)
	}
}

func (m *importer) stop(at, pass string, s *build.StopCheck) {
	if n := len(s.Readings); n < 1 || n > 2 {
		m.wrong(at+".readings", strconv.Itoa(n), "must be one or two numbers")
		return
	}
	check := m.idFor(s.ID)
	for i, v := range s.Readings {
		body := StopBody{Pass: pass, Check: check, When: s.When, Near: s.Near, Way: s.WayOf(i), Value: v, Device: &s.Device}
		if i < len(s.At) {
			body.At = s.At[i]
		}
		if i == 0 {
			body.Extra = s.Extra.JSON()
		}
		id := ""
		if i < len(s.IDs) {
			id = s.IDs[i]
		}
		id = m.idFor(id)
		m.items = append(m.items, Item{ID: id, Build: m.of, Kind: KindStop, Body: bodyOf(&body)})
		m.strike(id, s.Struck)
	}
}

func (m *importer) reading(at, pass string, r *build.Reading) string {
	window, ok := m.windows[r.Window]
	if !ok {
		m.wrong(at+".window", strconv.Quote(r.Window), "must be the name of one of the build's windows")
	}
	id := m.idFor(r.ID)
	m.items = append(m.items, readingItem(id, m.of, pass, window, *r, true))
	m.strike(id, r.Struck)
	return id
}

func (m *importer) bite(i int) {
	b, at := m.b.Bites[i], unit.Sprintf("bites[%d]", i)
	window, ok := m.windows[b.Window]
	if b.Window != "" && !ok {
		m.wrong(at+".window", strconv.Quote(b.Window), "must be the name of one of the build's windows")
	}
	pass, ok := m.passes[passKey{b.Pass, max(b.Cylinder, 1)}]
	if b.Pass != "" && !ok {
		m.wrong(at+".pass", strconv.Quote(b.Pass), "must be the name of a pass of its cylinder")
	}
	if b.Pass != "" {
		b.Cylinder = 0 // the pass's
	}
	id := m.idFor(b.ID)
	item, err := biteItem(id, m.of, pass, window, b, true)
	if err != nil {
		m.errs = append(m.errs, err)
		return
	}
	m.items = append(m.items, item)
	m.strike(id, b.Struck)
}

func (m *importer) strike(target, reason string) {
	if reason != "" {
		body := StrikeBody{Target: target, Reason: reason}
		m.items = append(m.items, Item{ID: m.idFor(""), Build: m.of, Kind: KindStrike, Body: bodyOf(&body)})
	}
}

// correction names the readings by their IDs in place of their places.
func (m *importer) correction(at, pass string, c build.Correction, readings []string, byOldID map[string]string) {
	place := func(field string, n int) string {
		if n < 1 || n > len(readings) {
			m.wrong(at+"."+field, strconv.Itoa(n), unit.Sprintf("must be the place of a reading, 1 to %d", len(readings)))
			return ""
		}
		return readings[n-1]
	}
	if id, ok := byOldID[c.AfterID]; ok {
		c.AfterID = id
	} else if c.After != 0 {
		c.AfterID = place("after", c.After)
	}
	named := make([]string, 0, len(c.Readings)+len(c.IDs))
	if len(c.IDs) > 0 {
		for i, old := range c.IDs {
			id, ok := byOldID[old]
			switch {
			case ok:
			case isUUID(old): // a reading that was taken out with its window
				id = old
			default:
				m.wrong(unit.Sprintf("%s.ids[%d]", at, i), strconv.Quote(old), "must be the id of a reading of the pass")
			}
			named = append(named, id)
		}
	} else {
		for i, n := range c.Readings {
			named = append(named, place(unit.Sprintf("readings[%d]", i), n))
		}
	}
	c.IDs, c.Readings, c.After = named, nil, 0
	if len(named) == 0 {
		c.IDs = nil
	}
	id := m.idFor(c.ID)
	c.ID = ""
	raw, err := build.EncodePart(&c)
	if err != nil {
		m.errs = append(m.errs, err)
		return
	}
	m.items = append(m.items, Item{ID: id, Build: m.of, Kind: KindCorrect, Body: bodyOf(&CorrectBody{Pass: pass, Correction: raw})})
}
