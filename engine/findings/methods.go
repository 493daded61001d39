package findings

import (
	"math"
	"slices"

	"portwright/engine/build"
	"portwright/engine/unit"
)

// method is how an edge was seen. A feeler or a strip of paper is nipped while
// the window still stands open by its thickness.
type method struct {
	name   string
	feeler float64 // mm; 0: none or not known
}

// Ways of seeing an edge that give different numbers. Other words (an angle
// gauge in place of a wheel) say nothing about the edge.
const (
	byLight  = "light"
	byFeeler = "feeler"
	byPaper  = "paper"
)

func methodOf(r *build.Reading) method { return method{r.Method, mm(r.FeelerMM)} }

// nips says whether something was held between the edges.
func (m method) nips() bool { return m.name == byFeeler || m.name == byPaper || m.feeler > 0 }

// sees says whether anything is known about how the edge was seen.
func (m method) sees() bool { return m.name == byLight || m.nips() }

// seenBy returns how a reading counts: one corrected for its feeler is as if
// seen by light.
func (s *state) seenBy(r *read) method {
	m := methodOf(r.doc)
	if m.nips() && s.geo != nil && m.feeler > 0 && s.habit == build.HabitTDCZero {
		for i := range s.corrections {
			if c := &s.corrections[i]; c.Kind == build.CorrectUnmixMethods && s.names(c, r) {
				return method{name: byLight}
			}
		}
	}
	return m
}

// unmix takes the thickness of feelers back where that was consented to.
func (s *state) unmix() error {
	for i := range s.reads {
		r := &s.reads[i]
		if m := methodOf(r.doc); !m.nips() || s.seenBy(r).nips() {
			continue
		}
		if at, err := s.geo.Feeler(r.at, mm(r.doc.FeelerMM), s.windows[r.win].skirt); err == nil {
			r.at = at
		}
	}
	return nil
}

// mixed says whether an event's readings were seen in ways that give different
// numbers.
func (s *state) mixed(e *event) bool {
	first := method{}
	for _, i := range e.idx {
		m := s.seenBy(&s.reads[i])
		if !m.sees() {
			continue
		}
		if first.sees() && m != first {
			return true
		}
		first = m
	}
	return false
}

// methods looks for edges of one window, or of windows that are compared for
// blowdown, seen in ways that give different numbers.
func (d *diagnosis) methods() {
	s := d.now
	if s.habit != build.HabitTDCZero {
		return
	}
	var seen []method
	var names []string
	places := []int{}
	for i := range s.reads {
		r := &s.reads[i]
		m := s.seenBy(r)
		if r.struck || !m.sees() || s.windows[r.win].skirt && !s.windowMixed(r.win) {
			continue
		}
		if !slices.Contains(seen, m) {
			seen = append(seen, m)
		}
		if name := r.doc.Window; !slices.Contains(names, name) {
			names = append(names, name)
		}
		if m.nips() {
			places = append(places, r.place)
		}
	}
	if len(seen) < 2 {
		return
	}
	d.add(s.mixedProblem(seen, names, places))
}

// windowMixed says whether one window's readings were seen in different ways.
func (s *state) windowMixed(win int) bool {
	both := event{}
	for _, e := range [2]int{s.windows[win].o, s.windows[win].c} {
		if e >= 0 {
			both.idx = append(both.idx, s.events[e].idx...)
		}
	}
	return s.mixed(&both)
}

func (s *state) mixedProblem(seen []method, names []string, places []int) Problem {
	words := make([]string, len(seen))
	known := true
	thickest := 0.0
	for i, m := range seen {
		words[i] = m.words()
		known = known && (!m.nips() || m.feeler > 0)
		thickest = math.Max(thickest, m.feeler)
	}
	p := Problem{Code: CodeMethodsMixed, Windows: names, Readings: places, Title: "Edges were seen in different ways",
		Evidence: map[string]float64{"methods": float64(len(seen)), "feeler_mm": thickest},
		Text: "Readings by " + list(words) + " stand side by side. A feeler or paper is nipped while the port is still open by its thickness, " +
			"so it reads an opening late and a closing early."}
	if shift, ok := s.measuredShift(); ok {
		p.Evidence["measured_shift_deg"] = shift
		p.Text += unit.Sprintf(" Where one event was read both ways they differ by %s.", s.degrees(math.Abs(shift)))
	}
	if thickest > 0 && s.geo != nil {
		if at, ok := s.firstNipped(); ok {
			r := &s.reads[at]
			shift := mm(r.doc.FeelerMM) * s.geo.DegPerMM(r.at)
			p.Evidence["expected_shift_deg"] = shift
			p.Text += unit.Sprintf(" %s is worth %s at %s, twice that in duration.", millimetres(mm(r.doc.FeelerMM)), s.degrees(shift), s.readName(at))
		}
	}
	switch {
	case !known:
		p.Text += " Give the feeler's thickness to have it taken back, or read all in one way."
	case s.geo == nil:
		p.Text += " With the stroke given it can be taken back; or read all in one way."
	default:
		p.Remedy = &build.Correction{Kind: build.CorrectUnmixMethods, Readings: places}
		p.Action = "Take the feeler's thickness back"
	}
	return p
}

func (m method) words() string {
	name := m.name
	if name == "" {
		name = byFeeler
	}
	if m.feeler > 0 {
		return name + " of " + millimetres(m.feeler)
	}
	return name
}

// measuredShift is how much later openings by feeler lie than by light, over
// the events that were read both ways.
func (s *state) measuredShift() (float64, bool) {
	sum, n := 0.0, 0.0
	for i := range s.events {
		e := &s.events[i]
		var at, count [2]float64
		for k, j := range e.idx {
			m := s.seenBy(&s.reads[j])
			if !m.sees() {
				continue
			}
			side := 0
			if m.nips() {
				side = 1
			}
			at[side] += e.xs[k]
			count[side]++
		}
		if count[0] == 0 || count[1] == 0 {
			continue
		}
		shift := at[1]/count[1] - at[0]/count[0]
		if !e.opens {
			shift = -shift
		}
		sum, n = sum+shift, n+1
	}
	return sum / math.Max(n, 1), n > 0
}

// firstNipped is the first reading taken with something of known thickness.
func (s *state) firstNipped() (int, bool) {
	for i := range s.reads {
		r := &s.reads[i]
		if m := s.seenBy(r); !r.struck && m.nips() && m.feeler > 0 {
			return i, true
		}
	}
	return 0, false
}
