package findings

import (
	"math"
	"slices"
	"sort"

	"portwright/engine/build"
	"portwright/engine/stat"
	"portwright/engine/unit"
)

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
		p.Title = unit.Sprintf("One reading of %s stands apart", s.eventName(e))
		p.Text = unit.Sprintf("The %s is %s%s; the %s %s, %s away. It is counted until you strike it out.",
			s.turnName(v.read), s.onTheWheel(r), show(r.at), otherWords(n), show(others), show(math.Abs(r.at-others)))
		p.Evidence["others"], p.Evidence["limit"] = others, s.limit(v.read)
		if v.rival == slipped && s.habit == build.HabitTDCZero {
			p.Text += " If the wheel may have moved, repeat the stop check first."
		}
		p.Text += sureWords(v.sure)
		p.Remedy = &build.Correction{Kind: build.CorrectStrike, Readings: []int{r.place}}
		p.Action = "Strike out the " + s.turnName(v.read)
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
		p.Text = unit.Sprintf("The depths of %s differ by about %s, and it can't be told which is right. Measure it again.", name, millimetres(math.Abs(v.size)))
		return p
	}
	p.Evidence["off_deg"] = math.Abs(v.size)
	p.Text = unit.Sprintf("%s does not go with the rest: one of its numbers is about %s out, and it can't be told which.", capital(name), s.degrees(math.Abs(v.size)))
	if off, ok := s.halfExcess(win); ok {
		p.Title = "Opening and closing of " + name + " don't agree"
		p.Evidence["pair_sum_excess_deg"] = 2 * off
		p.Text += unit.Sprintf(" Its opening and closing add to %s.", s.degrees(360+2*off))
	}
	p.Text += " Read " + name + " again, opening and closing."
	return p
}

func otherWords(n int) string {
	if n == 1 {
		return "other reading gives"
	}
	return unit.Sprintf("%d others give", n)
}

// onTheWheel says the number that was read where it is not the angle: "5° on
// the wheel, which is ".
func (s *state) onTheWheel(r *read) string {
	if s.habit == build.HabitDepth || r.value == r.at {
		return ""
	}
	return s.degrees(r.value) + " on the wheel, which is "
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

// stray finds a wild repeat that another fault hides, or hides: two of them
// widen the scatter so far that neither stands out, and one beside a slip draws
// the slip to itself. Each repeat that lies far from the middle of its event is
// struck out on trial and the rest weighed again; it is taken if that makes the
// readings three times as likely, its own distance allowed for.
func (s *state) stray(v *verdict) (verdict, bool) {
	best, found := verdict{log: v.log + math.Log(3)}, false
	far := s.strays()
	const most = 4 // more are no strays
	if len(far) > most {
		return best, false
	}
	for _, i := range far {
		without, err := s.with(build.Correction{Kind: build.CorrectStrike, Readings: []int{s.reads[i].place}})
		if err != nil {
			continue
		}
		log := without.weigh().log + math.Log(wildPrior/float64(len(s.reads))) - math.Log(wildSizeOf(s.habit))
		if log <= best.log {
			continue
		}
		e := &s.events[s.eventOf(i)]
		others, _ := s.others(i)
		size := s.reads[i].at - others
		if s.habit != build.HabitDepth {
			size = unit.Signed(size)
		}
		if s.habit == build.HabitTDCZero && !e.opens {
			size = -size
		}
		best, found = verdict{what: oneWild, read: i, size: size, within: 1, log: log,
			sure: 1 / (1 + math.Exp(v.log-log))}, true
	}
	return best, found
}

// strays lists the repeats that lie far from the middle of their events: a look
// that costs little before one that costs much. Far is 3.5 times the scatter as
// the middle of all distances gives it, which a few strays don't widen (1.4826
// times it for normal scatter), and no less than is spoken of at all, or two steps.
func (s *state) strays() []int {
	var off []float64
	var at []int
	for k := range s.events {
		e := &s.events[k]
		if len(e.xs) < 3 {
			continue
		}
		m, itself := median(e.xs), len(e.xs)%2 == 1
		for i, x := range e.xs {
			if itself && x == m {
				itself = false // the middle reading is no distance from itself
				continue
			}
			off, at = append(off, math.Abs(x-m)), append(at, e.idx[i])
		}
	}
	if len(off) == 0 {
		return nil
	}
	far := math.Max(3.5*1.4826*median(off), math.Max(s.leastWild(), 2*s.step))
	var out []int
	for i, d := range off {
		if d > far {
			out = append(out, at[i])
		}
	}
	return out
}

func median(xs []float64) float64 {
	sorted := slices.Clone(xs)
	sort.SliceStable(sorted, func(i, j int) bool { return sorted[i] < sorted[j] })
	return (sorted[len(sorted)/2] + sorted[(len(sorted)-1)/2]) / 2
}

// limit is how far from the others a repeat may lie and still be chance, by the
// outlier test of package stat; NaN where the test does not name the reading,
// because there are too few repeats or because the pairs speak against it rather
// than the repeats.
func (s *state) limit(i int) float64 {
	groups := make([][]float64, len(s.events))
	for k := range s.events {
		groups[k] = s.events[k].xs
	}
	named, err := stat.Wild(groups, stat.Resolution(s.step))
	if err != nil {
		return math.NaN()
	}
	for _, w := range named {
		if s.events[w.Group].idx[w.Index] == i {
			return w.Limit
		}
	}
	return math.NaN()
}
