package findings

import (
	"math"

	"portwright/engine/build"
	"portwright/engine/port"
	"portwright/engine/stat"
	"portwright/engine/unit"
	"portwright/engine/wheel"
)

// state is one pass with the corrections in force: the doc itself is never
// changed. A diagnosis that looks further with a remedy carried out makes a new
// state (with).
type state struct {
	b           *build.Build
	p           *build.Pass
	index       int
	job         *job
	extra       []build.Correction // tried on top of the document's
	corrections []build.Correction // the pass's own and extra

	engine     build.Engine  // with corrections of its fields
	squishWas  []unit.Length // as measured before this pass
	squishPass int           // by the pass of this place, -1: before all bites
	deckBy     float64       // bites before the pass left the crown's edge so many mm further below the deck at TDC
	skirtBy    float64       // and the skirt's end so many mm further from it
	moved      []bitten      // those bites
	shapes     []build.Window
	geo        *port.Geometry // nil: stroke not known
	skew       *port.Geometry // geo where an offset is known and not 0, else nil
	wheel      wheel.Wheel
	step       float64
	habit      string
	windows    []window
	reads      []read
	events     []event
	zero       *wheel.Zero // nil: no whole stop check
	tdc        float64     // place at TDC: from the stop checks and the shifts consented to
	shifted    bool        // a zero error was consented to
	zeroPts    []stat.Component
	zeroBy     string    // what zeroPts stands on: "stop", "pairs", "assumed" or ""
	pool       stat.Pool // what doubts stand on: the repeats, with what was to be expected
	repeats    stat.Pool // of the pass alone
	source     string    // of pool: "pass", "book" or "assumed"
	timings    []timing
}

// read is one reading of the document as it counts now.
type read struct {
	doc    *build.Reading
	place  int // in the pass, from 1
	win    int
	opens  bool
	struck bool
	value  float64 // degrees on the wheel, or mm
	at     float64 // degrees after TDC; for a depth, mm; with zero at the opening, the duration
	other  float64 // the angle in the next quarter of a 0-90-0-90 wheel, else NaN
	unsure bool    // nobody said which quarter it was
}

// event is the counted readings of one opening or closing.
type event struct {
	win    int
	opens  bool
	idx    []int     // places in reads
	xs     []float64 // as read.at, brought within half a turn of the first
	mean   float64   // of xs
	pulled float64   // how far a repeat that stands apart pulls the mean
}

// window is one window of the build in this pass.
type window struct {
	doc       *build.Window
	symmetric bool        // opened and closed by one edge
	around    port.Centre // the dead centre it is open around
	skirt     bool        // worked by the skirt, not the crown
	o, c      int         // places in events, -1: not read
}

func newState(b *build.Build, index int, j *job, extra []build.Correction) (*state, error) {
	s := &state{b: b, p: &b.Passes[index], index: index, job: j, extra: extra}
	s.corrections = s.inForce(append(append([]build.Correction(nil), s.p.Corrections...), extra...))
	s.habit = s.p.Habit
	if s.habit == "" {
		s.habit = build.HabitTDCZero
	}
	s.setEngine()
	s.setBites()
	if err := s.setGeometry(); err != nil {
		return nil, err
	}
	if err := s.setWheel(); err != nil {
		return nil, err
	}
	s.setWindows()
	s.setReads()
	if err := s.place(); err != nil {
		return nil, err
	}
	s.timings = make([]timing, len(s.windows))
	for i := range s.windows {
		s.timings[i] = s.time(i)
	}
	return s, nil
}

// with returns the state with one more correction in force.
func (s *state) with(c build.Correction) (*state, error) {
	extra := append(append([]build.Correction(nil), s.extra...), c)
	return newState(s.b, s.index, s.job, extra)
}

// place turns numbers into angles and settles zero and scatter. The zero's
// doubt needs the scatter and the scatter the angles, so the zero is found
// twice; only a wheel that slipped or did not can make the second differ.
func (s *state) place() error {
	s.pool, s.source = stat.Pool{SD: assumedScatter, DF: assumedDF}, "assumed"
	for range 2 {
		if err := s.findZero(); err != nil {
			return err
		}
		if err := s.resolve(); err != nil {
			return err
		}
		s.group()
		if err := s.scatter(); err != nil {
			return err
		}
	}
	if err := s.findZero(); err != nil {
		return err
	}
	s.zeroDoubt()
	return nil
}

func (s *state) setWindows() {
	s.windows = make([]window, len(s.shapes))
	for i := range s.shapes {
		w := window{doc: &s.shapes[i], symmetric: true, around: port.AroundBDC, o: -1, c: -1}
		if w.doc.Kind == build.KindIntake {
			w.symmetric = s.engine.Intake == "" || s.engine.Intake == build.IntakePistonPort
			w.around, w.skirt = port.AroundTDC, w.symmetric
		}
		s.windows[i] = w
	}
}

func (s *state) setReads() {
	byName := make(map[string]int, len(s.windows))
	for i := range s.windows {
		byName[s.windows[i].doc.Name] = i
	}
	s.reads = make([]read, len(s.p.Readings))
	for i := range s.p.Readings {
		d := &s.p.Readings[i]
		r := read{doc: d, place: i + 1, win: byName[d.Window], opens: d.Event == build.Opens,
			struck: d.Struck != "", value: d.Value.Value, other: math.NaN()}
		if s.habit == build.HabitDepth {
			r.value, r.opens = d.Value.MM(), true // opening and closing edge are one
		}
		s.reads[i] = r
	}
	for i := range s.corrections {
		c := &s.corrections[i]
		switch c.Kind {
		case build.CorrectStrike:
			s.each(c, func(r *read) { r.struck = true })
		case build.CorrectScaleUnit:
			if c.Field == "" && c.Factor > 0 {
				s.each(c, func(r *read) { r.value /= c.Factor })
			}
		}
	}
}

// group collects the counted readings of each event.
func (s *state) group() {
	for i := range s.windows {
		s.windows[i].o, s.windows[i].c = -1, -1
	}
	s.events = s.events[:0]
	for i := range s.reads {
		r := &s.reads[i]
		if r.struck {
			continue
		}
		w := &s.windows[r.win]
		at := &w.c
		if r.opens {
			at = &w.o
		}
		if *at < 0 {
			*at = len(s.events)
			s.events = append(s.events, event{win: r.win, opens: r.opens})
		}
		e := &s.events[*at]
		x := r.at
		if len(e.xs) > 0 && s.habit != build.HabitDepth {
			x = e.xs[0] + unit.Signed(x-e.xs[0])
		}
		e.idx, e.xs = append(e.idx, i), append(e.xs, x)
	}
	for i := range s.events {
		e := &s.events[i]
		for _, x := range e.xs {
			e.mean += x / float64(len(e.xs))
		}
	}
}

// byMethod splits an event's readings by how the edge was seen.
func (s *state) byMethod(e *event) [][]float64 {
	if !s.mixed(e) {
		return [][]float64{e.xs}
	}
	var keys []method
	var groups [][]float64
next:
	for k, i := range e.idx {
		m := s.seenBy(&s.reads[i])
		for g := range keys {
			if keys[g] == m {
				groups[g] = append(groups[g], e.xs[k])
				continue next
			}
		}
		keys, groups = append(keys, m), append(groups, []float64{e.xs[k]})
	}
	return groups
}
