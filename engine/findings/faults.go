package findings

import (
	"fmt"
	"math"
	"slices"

	"portwright/engine/build"
	"portwright/engine/stat"
	"portwright/engine/unit"
)

// faultProblem puts a verdict in words.
func (s *state) faultProblem(v *verdict) Problem {
	switch v.what {
	case zeroOut:
		return s.zeroProblem(v)
	case slipped:
		return s.slipProblem(v)
	case skewed:
		return s.skewProblem(v)
	case onePair:
		return s.pairProblem(s.reads[v.read].win, v)
	}
	return s.wildProblem(v)
}

// sums returns the windows of which opening and closing were read, and what
// they add to.
func (s *state) sums() (names []string, sums []float64) {
	for i := range s.windows {
		if off, ok := s.halfExcess(i); ok {
			names = append(names, s.windows[i].doc.Name)
			sums = append(sums, 360+2*off)
		}
	}
	return names, sums
}

// sumWords is "exhaust 364°, transfer 363.5°".
func (s *state) sumWords(names []string, sums []float64) string {
	parts := make([]string, len(names))
	for i := range names {
		parts[i] = names[i] + " to " + s.degrees(sums[i])
	}
	return list(parts)
}

func (s *state) zeroProblem(v *verdict) Problem {
	names, sums := s.sums()
	by := s.wheel.Sense() * v.size
	stood := "The wheel was set without a stop check."
	if s.zero != nil {
		stood = "The stop check gave " + s.degrees(s.tdc) + " at TDC; the ports say " + s.degrees(unit.Turn(s.tdc+by)) +
			". The stop may have given way, or the wheel was touched after it."
	}
	same := "the same everywhere, so it is the zero and not the ports"
	if len(names) == 1 {
		same = "with one pair alone a misread number would look the same"
	}
	return Problem{
		Code: CodeZeroError, Windows: names,
		Title: "The wheel's zero is " + s.degrees(math.Abs(v.size)) + " out",
		Text: fmt.Sprintf("Opening and closing should add to 360°: %s. That is %s too %s, %s. %s%s Openings are %s out; durations and blowdown are not.",
			s.sumWords(names, sums), s.degrees(math.Abs(2*v.size)), moreOrLess(v.size), same, stood, sureWords(v.sure), s.degrees(math.Abs(v.size))),
		Evidence: map[string]float64{"pair_sum_excess_deg": 2 * v.size, "zero_off_deg": v.size, "zero_off_u95_deg": s.expand(v.u, s.pool.DF),
			"pairs": float64(len(names)), "sure": v.sure},
		Remedy: &build.Correction{Kind: build.CorrectShiftZero, ByDeg: hundredths(by)},
		Action: "Shift the zero by " + s.degrees(math.Abs(v.size)),
	}
}

func moreOrLess(v float64) string {
	if v > 0 {
		return "much"
	}
	return "little"
}

// hundredths rounds what a remedy shifts by: finer than any wheel is read.
func hundredths(v float64) float64 { return math.Round(v*100) / 100 }

func (s *state) slipProblem(v *verdict) Problem {
	by := hundredths(s.wheel.Sense() * v.size)
	names, sums := s.sums()
	p := Problem{
		Code: CodeWheelSlipped, Windows: s.windowsFrom(v.read),
		Evidence: map[string]float64{"moved_deg": by, "moved_u95_deg": s.expand(v.u, s.pool.DF), "sure": v.sure},
	}
	if s.zero != nil && s.zero.HasBefore && s.zero.HasAfter {
		p.Evidence["stop_slip_deg"] = s.zero.Slip
	}
	moved := "The wheel moved by " + s.degrees(math.Abs(by))
	told := ""
	if len(names) > 0 && v.within >= 0.5 {
		told = " Pairs add up: " + s.sumWords(names, sums) + "."
	}
	if _, ok := p.Evidence["stop_slip_deg"]; ok {
		told += " The stop check after the readings differs from the one before by " + s.degrees(s.zero.Slip) + "."
	}
	n := len(s.reads)
	switch {
	case v.within < 0.5:
		p.Title = moved + " during the pass"
		p.Text = moved + " somewhere between the two stop checks; the readings don't show where." + told + " Set the wheel again and repeat the pass, openings and closings both."
		return p
	case v.read >= n:
		p.Title = moved + " after the last reading"
		p.Text = moved + " between the last reading and the stop check after it." + told + " The readings themselves agree with the check before, which they are taken from."
		return p
	}
	p.Readings = s.placesFrom(v.read)
	p.Evidence["from_reading"] = float64(s.reads[v.read].place)
	before, last := s.counted(v.read-1, -1), "before the first reading"
	if before >= 0 {
		last = "between " + s.quoted(before) + " and " + s.quoted(v.read)
		p.Evidence["before_reading"] = float64(s.reads[before].place)
	}
	p.Title = moved
	p.Text = moved + " " + last + "." + told + sureWords(v.sure)
	if v.first < v.last && v.last < n {
		p.Text += fmt.Sprintf(" It may also have been anywhere from reading %d to %d.", s.reads[v.first].place, s.reads[v.last].place)
	}
	p.Text += " Tighten it before reading on."
	p.Remedy = &build.Correction{Kind: build.CorrectShiftAfter, ByDeg: by, After: s.reads[v.read].place}
	p.Action = "Correct the readings after it"
	return p
}

// counted returns the nearest reading from i on, in steps of by, that is not
// struck; -1 for none.
func (s *state) counted(i, by int) int {
	for ; i >= 0 && i < len(s.reads); i += by {
		if !s.reads[i].struck {
			return i
		}
	}
	return -1
}

func (s *state) quoted(i int) string {
	return fmt.Sprintf("reading %d (%s)", s.reads[i].place, s.readName(i))
}

// placesFrom lists the counted readings from one on.
func (s *state) placesFrom(from int) []int {
	var out []int
	for i := from; i < len(s.reads); i++ {
		if !s.reads[i].struck {
			out = append(out, s.reads[i].place)
		}
	}
	return out
}

// windowsFrom lists the windows that have a counted reading from one on.
func (s *state) windowsFrom(from int) []string {
	var out []string
	for w := range s.windows {
		for i := from; i < len(s.reads); i++ {
			if r := &s.reads[i]; !r.struck && r.win == w {
				out = append(out, s.windows[w].doc.Name)
				break
			}
		}
	}
	return out
}

func (s *state) skewProblem(v *verdict) Problem {
	names, sums := s.sums()
	p := Problem{
		Code: CodeOffset, Windows: names,
		Title:    "Looks like an offset crank, not a fault",
		Evidence: map[string]float64{"sure": v.sure, "pairs": float64(len(names))},
	}
	least, most := math.Inf(1), 0.0
	for _, sum := range sums {
		least, most = math.Min(least, math.Abs(sum-360)), math.Max(most, math.Abs(sum-360))
	}
	p.Evidence["least_excess_deg"], p.Evidence["largest_excess_deg"] = least, most
	p.Text = "Opening and closing add to a little off 360°, the more the nearer to BDC: " + s.sumWords(names, sums) +
		". A zero that is out would show the same everywhere."
	if s.geo == nil {
		p.Evidence["offset_strokes"] = v.size
		p.Text += fmt.Sprintf(" An offset of about %s %% of the stroke explains it. With the stroke given it can be counted in.", unit.Plain(math.Abs(100*v.size), 1))
		return p
	}
	total := mm(s.engine.PinOffset) + v.size
	side := "towards the side the crank pin is on going down"
	if total < 0 {
		side = "towards the side the crank pin is on coming up"
	}
	p.Evidence["offset_mm"], p.Evidence["offset_u95_mm"] = total, s.expand(v.u, s.pool.DF)
	p.Text += fmt.Sprintf(" A cylinder or gudgeon pin offset by %s ± %s mm %s explains it.%s Durations and blowdown stand as they are.",
		unit.Plain(math.Abs(total), 1), unit.Plain(p.Evidence["offset_u95_mm"], 1), side, sureWords(v.sure))
	p.Remedy = &build.Correction{Kind: build.CorrectDeclareSkew, ByMM: hundredths(total)}
	p.Action = "Count in an offset of " + unit.Plain(math.Abs(total), 1) + " mm"
	return p
}

// wildProblem names a reading that does not belong to the others. Where it
// can't be told which of two is wrong nothing is offered but reading again.
func (s *state) wildProblem(v *verdict) Problem {
	r := &s.reads[v.read]
	e := s.eventOf(v.read)
	others, n := s.others(v.read)
	p := Problem{
		Code: CodeWildReading, Windows: []string{r.doc.Window}, Readings: []int{r.place},
		Evidence: map[string]float64{"reading": r.value, "off_deg": v.size, "sure": v.sure},
	}
	if !s.events[e].opens {
		p.Evidence["off_deg"] = -v.size // weighed as its mirror image
	}
	show := s.degrees
	if s.habit == build.HabitDepth {
		show = millimetres
		p.Evidence = map[string]float64{"reading": r.value, "off_mm": v.size, "sure": v.sure}
	}
	if v.within >= 0.7 && n >= 1 {
		p.Title = fmt.Sprintf("One reading of %s stands apart", s.eventName(e))
		p.Text = fmt.Sprintf("Reading %d of %s is %s; the %s give %s, %s away. It is counted until you strike it out.",
			r.place, s.eventName(e), show(r.at), otherWords(n), show(others), show(math.Abs(r.at-others)))
		p.Evidence["others"], p.Evidence["limit"] = others, s.limit(v.read)
		if v.rival == slipped && s.habit == build.HabitTDCZero {
			p.Text += " If the wheel may have moved, repeat the stop check first."
		}
		p.Text += sureWords(v.sure)
		p.Remedy = &build.Correction{Kind: build.CorrectStrike, Readings: []int{r.place}}
		p.Action = "Strike out reading " + show(r.at)
		return p
	}
	return s.pairProblem(r.win, v)
}

// pairProblem names a window whose readings don't go together, where it can't
// be told which of them are wrong.
func (s *state) pairProblem(win int, v *verdict) Problem {
	w := &s.windows[win]
	name := w.doc.Name
	p := Problem{
		Code: CodeWildReading, Windows: []string{name}, Title: "Readings of " + name + " don't agree",
		Evidence: map[string]float64{"sure": v.sure},
	}
	for i := range s.reads {
		if r := &s.reads[i]; r.win == win && !r.struck {
			p.Readings = append(p.Readings, r.place)
		}
	}
	if s.habit == build.HabitDepth {
		p.Evidence["off_mm"] = math.Abs(v.size)
		p.Text = fmt.Sprintf("The depths of %s differ by about %s, and it can't be told which is right. Measure it again.", name, millimetres(math.Abs(v.size)))
		return p
	}
	p.Evidence["off_deg"] = math.Abs(v.size)
	p.Text = fmt.Sprintf("%s does not go with the rest: one of its numbers is about %s out, and it can't be told which.", capital(name), s.degrees(math.Abs(v.size)))
	if off, ok := s.halfExcess(win); ok {
		p.Title = "Opening and closing of " + name + " don't agree"
		p.Evidence["pair_sum_excess_deg"] = 2 * off
		p.Text += fmt.Sprintf(" Its opening and closing add to %s.", s.degrees(360+2*off))
	}
	p.Text += " Read " + name + " again, opening and closing."
	return p
}

func otherWords(n int) string {
	if n == 1 {
		return "other reading"
	}
	return fmt.Sprintf("%d others", n)
}

// eventOf returns the event a counted reading belongs to.
func (s *state) eventOf(i int) int {
	w := &s.windows[s.reads[i].win]
	if s.reads[i].opens {
		return w.o
	}
	return w.c
}

// others returns the mean of the other readings of a reading's event.
func (s *state) others(i int) (float64, int) {
	e := &s.events[s.eventOf(i)]
	sum, n := 0.0, 0
	for k, j := range e.idx {
		if j != i {
			sum += e.xs[k]
			n++
		}
	}
	if n == 0 {
		return math.NaN(), 0
	}
	return sum / float64(n), n
}

// hidden finds a wild repeat that others hide: two of them widen the scatter so
// far that neither stands out alone. The outlier test of package stat looks at
// several at once; one alone is left to the weighing.
func (s *state) hidden() verdict {
	if !s.strays() {
		return verdict{}
	}
	named := s.outliers()
	if len(named) < 2 {
		return verdict{}
	}
	// The last limit is the one that no other stray has widened.
	const clear = 1.5 // times it: a test on top of a test names too much else
	least := clear * named[len(named)-1].Limit
	named = slices.DeleteFunc(named, func(w stat.WildReading) bool { return math.Abs(w.Off) < least })
	if len(named) < 2 {
		return verdict{}
	}
	first := named[0]
	for _, w := range named[1:] {
		if math.Abs(w.Off) > math.Abs(first.Off) {
			first = w
		}
	}
	e := &s.events[first.Group]
	size := first.Off
	if s.habit == build.HabitTDCZero && !e.opens {
		size = -size
	}
	const level = 0.05 // of the test
	return verdict{what: oneWild, read: e.idx[first.Index], size: size, sure: 1 - level, within: 1}
}

// strays says whether two repeats or more lie far from the middle of their
// events: a look that costs little before a test that costs much. Far is 3.5
// times the scatter as the middle of all distances gives it, which a few
// strays don't widen (1.4826 times it for normal scatter).
func (s *state) strays() bool {
	var off []float64
	for k := range s.events {
		if xs := s.events[k].xs; len(xs) > 2 {
			m, itself := median(xs), len(xs)%2 == 1
			for _, x := range xs {
				if itself && x == m {
					itself = false // the middle reading is no distance from itself
					continue
				}
				off = append(off, math.Abs(x-m))
			}
		}
	}
	if len(off) == 0 {
		return false
	}
	far := 3.5 * math.Max(1.4826*median(off), stat.Resolution(s.step))
	n := 0
	for _, d := range off {
		if d > far {
			n++
		}
	}
	return n > 1
}

func median(xs []float64) float64 {
	sorted := slices.Sorted(slices.Values(xs))
	return (sorted[len(sorted)/2] + sorted[(len(sorted)-1)/2]) / 2
}

// outliers are the repeats that the outlier test names.
func (s *state) outliers() []stat.WildReading {
	groups := make([][]float64, len(s.events))
	for k := range s.events {
		groups[k] = s.events[k].xs
	}
	named, err := stat.Wild(groups, stat.Resolution(s.step))
	if err != nil {
		return nil
	}
	return named
}

// limit is how far from the others a repeat may lie and still be chance, by the
// outlier test; NaN where the test does not name the reading, because there are
// too few repeats or because the pairs speak against it rather than the repeats.
func (s *state) limit(i int) float64 {
	for _, w := range s.outliers() {
		if s.events[w.Group].idx[w.Index] == i {
			return w.Limit
		}
	}
	return math.NaN()
}
