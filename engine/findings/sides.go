package findings

import (
	"math"
	"strings"

	"portwright/engine/build"
	"portwright/engine/port"
	"portwright/engine/stat"
	"portwright/engine/unit"
)

// unevenDeg is how far two windows of a pair may differ before it is spoken of,
// in degrees of opening. Common practice, no source: a step or two of a wheel.
const unevenDeg = 1.0

// sideShare is the chance of a difference by scatter alone below which it is
// taken as real, over all pairs of a pass.
const sideShare = 0.01

// sides compares windows that should open together.
func (d *diagnosis) sides() {
	s := d.now
	pairs := Pairs(s.shapes)
	for _, p := range pairs {
		if d.skipped(p[0]) || d.skipped(p[1]) {
			continue
		}
		if problem, uneven := s.compareSides(p[0], p[1], len(pairs)); uneven {
			if contrary, ok := s.contrary(p[0], p[1], len(pairs)); ok {
				problem = contrary
			}
			d.add(problem)
		}
	}
}

func (d *diagnosis) skipped(win int) bool { return win < len(d.skip) && d.skip[win] }

// Pairs returns the places of windows that should open together: those that
// differ in name by left and right alone, else the only two transfers.
func Pairs(windows []build.Window) [][2]int {
	var out [][2]int
	var transfers []int
	for i := range windows {
		w := &windows[i]
		if w.Kind == build.KindTransfer {
			transfers = append(transfers, i)
		}
		mate := strings.ToLower(w.Name)
		if !strings.Contains(mate, "left") {
			continue
		}
		mate = strings.Replace(mate, "left", "right", 1)
		for k := range windows {
			if windows[k].Kind == w.Kind && strings.ToLower(windows[k].Name) == mate {
				out = append(out, [2]int{i, k})
			}
		}
	}
	if len(out) == 0 && len(transfers) == 2 {
		out = append(out, [2]int{transfers[0], transfers[1]})
	}
	return out
}

// level is where a window opens by all that was read of it: opening and
// mirrored closing together, which the zero's error does not touch.
func (s *state) level(win int) (stat.Estimate, bool) {
	t := s.timing(win)
	if t.opens == nil {
		return stat.Estimate{}, false
	}
	if !t.paired || !s.windows[win].symmetric {
		return *t.opens, true
	}
	// O = (O + 360 - C)/2 about the dead centre
	e := stat.Linear(180, []float64{0.5, -0.5}, *t.opens, *t.closes)
	e.Value = unit.Turn(t.opens.Value - unit.Signed(t.opens.Value+t.closes.Value)/2)
	return e, true
}

func (s *state) compareSides(a, b, pairs int) (Problem, bool) {
	la, okA := s.level(a)
	lb, okB := s.level(b)
	if !okA || !okB {
		return Problem{}, false
	}
	later := b
	diff := lb.Minus(la)
	diff.Value = port.Blowdown(la.Value, lb.Value)
	early, late := la.Value, lb.Value
	if diff.Value < 0 {
		later, early, late = a, late, early
	}
	u, df := s.combined(&diff)
	size := math.Abs(diff.Value)
	if u == 0 || size < unevenDeg {
		return Problem{}, false
	}
	chance, err := stat.Beyond(size/u, df)
	if err != nil || chance > sideShare/float64(pairs) {
		return Problem{}, false
	}
	nameA, nameB, nameLater := s.windows[a].doc.Name, s.windows[b].doc.Name, s.windows[later].doc.Name
	p := Problem{
		Code: CodeSideToSide, Windows: []string{nameA, nameB},
		Title:    unit.Sprintf("%s opens %s later", capital(nameLater), s.degrees(size)),
		Evidence: map[string]float64{"difference_deg": size, "difference_u95_deg": s.u95(&diff), "chance": chance},
		Text: unit.Sprintf("%s opens at %s, %s at %s: a difference of %s ± %s.", capital(nameA), s.degrees(la.Value), nameB, s.degrees(lb.Value),
			s.degrees(size), s.doubt(s.u95(&diff))),
	}
	if s.geo == nil {
		p.Text += " With the stroke given it can be said in mm."
		return p, true
	}
	x := math.Abs(s.geo.Travel(unit.Rad(late)) - s.geo.Travel(unit.Rad(early)))
	p.Evidence["difference_mm"] = x
	edge := "roof"
	if s.windows[later].skirt {
		edge = "floor"
	}
	p.Text += unit.Sprintf(" To level, take %s off the %s of %s. Blowdown counts to the first to open.", millimetres(x), edge, nameLater)
	if s.windows[later].skirt || s.windows[later].doc.Kind == build.KindExhaust {
		p.Text = strings.TrimSuffix(p.Text, " Blowdown counts to the first to open.")
	}
	return p, true
}

// contrary says when openings and closings of a pair tell different stories: a
// roof that is lower opens later and closes earlier by as much, so one of the
// four numbers is wrong rather than a roof.
func (s *state) contrary(a, b, pairs int) (Problem, bool) {
	ta, tb := s.timing(a), s.timing(b)
	if !ta.paired || !tb.paired || !s.windows[a].symmetric {
		return Problem{}, false
	}
	o, c := tb.opens.Minus(*ta.opens), ta.closes.Minus(*tb.closes)
	later, earlier := port.Blowdown(ta.opens.Value, tb.opens.Value), port.Blowdown(tb.closes.Value, ta.closes.Value)
	twist := o.Minus(c)
	u, df := s.combined(&twist)
	if chance, err := stat.Beyond(math.Abs(later-earlier)/u, df); u == 0 || err != nil || chance > sideShare/float64(pairs) {
		return Problem{}, false
	}
	nameA, nameB := s.windows[a].doc.Name, s.windows[b].doc.Name
	p := Problem{
		Code: CodeWildReading, Windows: []string{nameA, nameB},
		Title: unit.Sprintf("%s and %s contradict each other", capital(nameA), nameB),
		Text: unit.Sprintf("By its opening %s is %s later than %s, by its closing %s. A lower roof does both alike, so one of these readings is wrong: read both windows again.",
			nameB, s.degrees(later), nameA, s.degrees(earlier)),
		Evidence: map[string]float64{"by_opening_deg": later, "by_closing_deg": earlier},
	}
	for i := range s.reads {
		if r := &s.reads[i]; !r.struck && (r.win == a || r.win == b) {
			p.Readings = append(p.Readings, r.place)
		}
	}
	return p, true
}

// edges asks about numbers of a 0-90-0-90 wheel that stand so near to the end
// of a quarter that either side may be meant.
func (d *diagnosis) edges() {
	s := d.now
	for w := range s.windows {
		var places []int
		var at, other float64
		for i := range s.reads {
			if r := &s.reads[i]; r.win == w && r.unsure && !r.struck {
				if len(places) == 0 {
					at, other = r.at, r.other
				}
				places = append(places, r.place)
			}
		}
		if len(places) == 0 || s.pairSettles(w, other-at) {
			continue
		}
		name := s.windows[w].doc.Name
		first := eventWord(s.reads[places[0]-1].opens)
		d.add(Problem{
			Code: CodeWrongSide, Windows: []string{name}, Readings: places,
			Title: unit.Sprintf("%s: which side of the quarter's end?", capital(name)),
			Text: unit.Sprintf("%s %s at %s on the wheel, which is %s after TDC on one side of the quarter's end and %s on the other. It is taken as %s. The number alone can't tell: note the quarter with the reading.",
				capital(name), first, degrees(s.reads[places[0]-1].value), degrees(at), degrees(other), degrees(at)),
			Evidence: map[string]float64{"read_deg": at, "other_deg": other},
			Remedy:   &build.Correction{Kind: build.CorrectMirror, ByDeg: 180, Readings: places},
			Action:   "Take it as " + degrees(other),
		})
	}
}

// pairSettles says whether the other event of a window leaves no question on
// which side of the quarter's end its unsure event was read: as it is taken the
// two add to 360, and by turned degrees further on they would not. Where both
// are unsure their sum says nothing.
func (s *state) pairSettles(win int, turned float64) bool {
	w := &s.windows[win]
	if w.o < 0 || w.c < 0 || !w.symmetric || s.anyUnsure(w.o) == s.anyUnsure(w.c) {
		return false
	}
	const clear = 3 // degrees by which one side must fit better: a zero error of 1.5 is common
	off := unit.Signed(s.events[w.o].mean + s.events[w.c].mean)
	return math.Abs(off)+clear < math.Abs(unit.Signed(off+turned))
}

func (s *state) anyUnsure(e int) bool {
	for _, i := range s.events[e].idx {
		if s.reads[i].unsure {
			return true
		}
	}
	return false
}
