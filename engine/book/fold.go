package book

import (
	"encoding/json"
	"slices"
	"sort"

	"portwright/engine/build"
	"portwright/engine/unit"
)

// Folded is what the entries of one build amount to.
type Folded struct {
	Build     *build.Build
	Conflicts []Conflict  // by path in order of first set
	Stops     []StopState // every stop reading that has a pass, struck ones too, in Order
	Hidden    []string    // IDs of readings and bites in a window or pass that was taken out
	Waiting   []string    // IDs of entries that name something that has not arrived
	Unread    []Unread    // entries that this version can't apply; they are kept
	Removed   []Removed   // windows and passes that were taken out of the build
	Entries   int
	TouchedMS int64 // clock of the latest entry

	heads map[string][]string
}

// StopState is one reading against the stop, as kept.
type StopState struct {
	ID, Pass, Check string
	When, Near, Way string
	Value           float64
	At, Device      string
	Struck          string // reason, "" when it counts
}

// Removed is a window or pass that was taken out: Path is "windows/<id>" or
// "passes/<id>".
type Removed struct{ Path, Name string }

// Unread is an entry that can't be applied, with the reason.
type Unread struct{ Entry, Why string }

// Heads returns the IDs of the entries whose values of a path are in force: the
// used one first, others when there is a conflict, none when it was never set.
// A new set names the first as Base and the rest as Over. For the strike of a
// reading the path is "strikes/" and the reading's ID.
func (f *Folded) Heads(path string) []string { return f.heads[path] }

// Fold makes the build of its entries. Their order and repetitions make no
// difference: they are taken in Order, each ID once. Entries that name a pass,
// window or reading which is not there are passed over and listed, so that a
// part of the record folds as well.
func Fold(entries []Entry) Folded {
	s := newFolding(entries)
	for i := range s.entries {
		s.take(&s.entries[i])
	}
	s.setFields()
	s.bringBackRead()
	s.nameParts()
	s.placeReadings()
	s.placeStops()
	s.placeCorrections()
	s.placeBites()
	s.assemble()
	s.listWaiting()
	return s.out
}

// folding is the state of one Fold.
type folding struct {
	entries   []Entry // in Order, each ID once
	out       Folded
	registers []*register
	byPath    map[string]*register
	windows   []*windowState // in order of first set
	passes    []*passState
	byWindow  map[string]*windowState
	byPass    map[string]*passState
	order     []string // of targets

	readings   []readingEntry
	stops      []stopEntry
	corrects   []correctEntry
	bites      []biteEntry
	uncorrects map[string]bool // IDs of correct entries
	waits      []wait
}

type windowState struct {
	id      string
	window  build.Window
	removed string  // ID of the set that took it out
	place   float64 // among the windows; 0 when none was set
}

type passState struct {
	id      string
	pass    build.Pass
	removed string
}

type readingEntry struct {
	*Entry
	body ReadingBody
}

type stopEntry struct {
	*Entry
	body StopBody
}

type correctEntry struct {
	*Entry
	body CorrectBody
}

type biteEntry struct {
	*Entry
	body BiteBody
}

// wait is an entry about another one, its target.
type wait struct{ entry, target string }

func newFolding(entries []Entry) *folding {
	s := &folding{
		entries: make([]Entry, 0, len(entries)), byPath: map[string]*register{},
		byWindow: map[string]*windowState{}, byPass: map[string]*passState{},
		uncorrects: map[string]bool{},
	}
	sorted := entries
	if !slices.IsSortedFunc(sorted, Order) {
		sorted = slices.Clone(entries)
		sort.SliceStable(sorted, func(i, j int) bool { return Order(sorted[i], sorted[j]) < 0 })
	}
	seen := make(map[string]bool, len(sorted))
	for _, e := range sorted {
		if !seen[e.ID] {
			seen[e.ID] = true
			s.entries = append(s.entries, e)
			s.out.TouchedMS = max(s.out.TouchedMS, e.Clock.MS)
		}
	}
	s.out.Build = &build.Build{Format: build.Format, Version: build.Version}
	s.out.Entries = len(s.entries)
	s.out.heads = map[string][]string{}
	readings := 0
	for i := range s.entries {
		if s.entries[i].Kind == KindReading {
			readings++
		}
	}
	s.readings = make([]readingEntry, 0, readings)
	if len(s.entries) > 0 {
		s.out.Build.ID = s.entries[0].Build
	}
	return s
}

func (s *folding) unread(id, why string) {
	s.out.Unread = append(s.out.Unread, Unread{id, why})
}

// take sorts one entry in by its kind.
func (s *folding) take(e *Entry) {
	var err error
	switch {
	case e.Build != s.out.Build.ID:
		err = unit.Errorf("belongs to build %s", e.Build)
	case e.Kind == KindSet:
		err = s.takeSet(e)
	case e.Kind == KindReading:
		r := readingEntry{Entry: e}
		if r.body, err = readingBody(e.Body); err == nil {
			s.readings = append(s.readings, r)
		}
	case e.Kind == KindStop:
		st := stopEntry{Entry: e}
		if st.body, err = stopBody(e.Body); err == nil {
			s.stops = append(s.stops, st)
		}
	case e.Kind == KindCorrect:
		b := readBody(e.Body)
		c := correctEntry{Entry: e, body: CorrectBody{Pass: b.text("pass"), Correction: b.value("correction")}}
		if err = b.err; err == nil {
			s.corrects = append(s.corrects, c)
		}
	case e.Kind == KindBite:
		b := biteEntry{Entry: e}
		if b.body, err = biteBody(e.Body); err == nil {
			s.bites = append(s.bites, b)
		}
	case e.Kind == KindStrike || e.Kind == KindUnstrike || e.Kind == KindUncorrect:
		err = s.takeTargeted(e)
	default:
		err = unit.Errorf("is of kind %q, which this version does not know", e.Kind)
	}
	if err != nil {
		s.unread(e.ID, err.Error())
	}
}

func (s *folding) takeSet(e *Entry) error {
	b, err := setBody(e.Body)
	if err != nil {
		return err
	}
	t, err := parsePath(b.Path)
	if err != nil {
		return err
	}
	s.part(t)
	s.register(b.Path).add(*e, b.Value, append(b.Over, b.Base)...)
	return nil
}

// takeTargeted takes what is said about another entry.
func (s *folding) takeTargeted(e *Entry) error {
	b := readBody(e.Body)
	target, base, reason := b.text("target"), b.text("base"), b.text("reason")
	if b.err != nil {
		return b.err
	}
	s.waits = append(s.waits, wait{e.ID, target})
	switch e.Kind {
	case KindStrike:
		if reason == "" {
			reason = "no reason given"
		}
		s.register("strikes/"+target).add(*e, build.TextJSON(reason), base)
	case KindUnstrike:
		s.register("strikes/"+target).add(*e, json.RawMessage("null"), base)
	case KindUncorrect:
		s.uncorrects[target] = true
	}
	return nil
}

func (s *folding) register(path string) *register {
	r := s.byPath[path]
	if r == nil {
		r = &register{path: path}
		s.byPath[path] = r
		s.registers = append(s.registers, r)
	}
	return r
}

// part returns the part that a path names, making a window or pass at its
// first mention.
func (s *folding) part(t target) build.Part {
	switch t.list {
	case "windows":
		w := s.byWindow[t.id]
		if w == nil {
			w = &windowState{id: t.id, window: build.Window{ID: t.id}}
			s.byWindow[t.id] = w
			s.windows = append(s.windows, w)
		}
		return &w.window
	case "passes":
		p := s.byPass[t.id]
		if p == nil {
			p = &passState{id: t.id, pass: build.Pass{ID: t.id}}
			s.byPass[t.id] = p
			s.passes = append(s.passes, p)
		}
		return &p.pass
	case "":
		return s.out.Build
	}
	return partOf(s.out.Build, t.list)
}
