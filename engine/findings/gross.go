package findings

import (
	"math"
	"slices"

	"portwright/engine/build"
	"portwright/engine/port"
	"portwright/engine/unit"
	"portwright/engine/wheel"
)

// reread is one way in which the numbers may have been meant.
type reread struct {
	what     rereading
	price    float64 // how far-fetched it is
	windows  []int   // nil: all
	openings bool    // which events of them
	closings bool
	remedy   *build.Correction
	out      outline
	cost     float64
}

type rereading int

const (
	asRead     rereading = iota
	otherWay             // the numbers run the other way
	otherDead            // the zero is half a turn out
	numbered             // the wheel is numbered another way
	mirrored             // on the other side of the 90 mark
	acrossTDC            // on the other stroke, as far from TDC
	halfTurned           // counted from the other dead centre
	exchanged            // opening and closing changed places
	misnamed             // exhaust and transfer changed places
)

// gross looks for numbers that are turned round. Each way of reading them anew
// is charged for what it leaves (order.go) and for how far-fetched it is; the
// cheapest is taken if it saves at least two points, and said together with
// others that cost as little. It returns false when the order of events can't
// be and nothing explains it: then nothing finer can be told from the pass.
func (d *diagnosis) gross() bool {
	s := d.now
	switch s.habit {
	case build.HabitDepth:
		return d.depths()
	case build.HabitOpenZero:
		return d.choose(s.durationsOtherWay())
	}
	return d.choose(s.rereadings)
}

// choose takes the cheapest of the rereadings that are offered.
func (d *diagnosis) choose(rereadings func(base outline) []reread) bool {
	s := d.now
	before, after := pairSlack, math.Max(pairClosed, s.pairScatter())
	if s.zero != nil && s.zero.Slipped {
		opened := 2 * math.Abs(s.zero.Slip) // by the slip itself
		before, after = before+opened, after+opened
	}
	base := s.outline()
	total, hard, _ := base.cost(before)
	if total < 2 {
		return true
	}
	all := rereadings(base)
	best := -1
	for i := range all {
		c := &all[i]
		t, h, p := c.out.cost(after)
		c.cost = t + c.price
		if h > 0 || p > 0 { // still impossible
			c.cost = math.Inf(1)
		}
		if best < 0 || c.cost < all[best].cost {
			best = i
		}
	}
	if best >= 0 && total-all[best].cost >= 2 {
		var rivals []*reread
		for i := range all {
			if i != best && all[i].cost <= all[best].cost+0.75 && !same(all[i].out, all[best].out) {
				rivals = append(rivals, &all[i])
			}
		}
		d.add(s.rereadProblem(&all[best], rivals))
		return d.out[len(d.out)-1].Remedy != nil
	}
	if hard > 0 {
		d.add(s.impossible(base))
		return false
	}
	d.unusual(base)
	// A pair that does not close and that no turned number explains is left to
	// the weighing of zero, slip and wild readings.
	return true
}

// pairScatter is 2.5 times the scatter of the difference of two pairs' sums.
//
//	sqrt(4 s^2/n), n repeats of each event
func (s *state) pairScatter() float64 {
	least := math.MaxInt
	for i := range s.events {
		least = min(least, len(s.events[i].xs))
	}
	return 2.5 * 2 * s.pool.SD / math.Sqrt(float64(least))
}

func same(a, b outline) bool {
	for i := range a {
		if differ(a[i].o, b[i].o) || differ(a[i].c, b[i].c) || a[i].kind != b[i].kind {
			return false
		}
	}
	return true
}

func differ(a, b float64) bool { return math.Abs(unit.Signed(a-b)) > 1 }

// rereadings lists the ways in which the numbers may have been meant.
func (s *state) rereadings(base outline) []reread {
	var out []reread
	add := func(r reread, turn func(w *span, a float64, opens bool) float64) {
		r.out = slices.Clone(base)
		for i := range r.out {
			if r.windows != nil && !slices.Contains(r.windows, i) {
				continue
			}
			w := &r.out[i]
			was := *w
			if r.openings {
				w.o = turn(&was, was.o, true)
			}
			if r.closings {
				w.c = turn(&was, was.c, false)
			}
		}
		out = append(out, r)
	}
	sense, tdc := s.wheel.Sense(), s.tdc
	// p' = C - p on the wheel, so a' = s (C - 2 tdc) - a.
	mirror := func(sum float64) func(*span, float64, bool) float64 {
		return func(_ *span, a float64, _ bool) float64 { return unit.Turn(sense*(sum-2*tdc) - a) }
	}
	negative := func(_ *span, a float64, _ bool) float64 { return unit.Turn(-a) }
	half := func(_ *span, a float64, _ bool) float64 { return unit.Turn(a + 180) }

	once := !s.wheel.Repeats() // a repeating wheel reads the same both ways round
	if once {
		price := 0.5
		if s.zero != nil && s.zero.Swapped > 0 {
			price = 0.1 // the stop readings say it too
		}
		add(reread{what: otherWay, price: price, openings: true, closings: true,
			remedy: &build.Correction{Kind: build.CorrectReverse}}, negative)
	}
	if once {
		add(reread{what: otherDead, price: 0.5, openings: true, closings: true,
			remedy: &build.Correction{Kind: build.CorrectShiftZero, ByDeg: 180}}, half)
	}
	out = append(out, s.renumbered()...)
	for _, g := range s.groups() {
		for _, e := range [3][2]bool{{true, true}, {true, false}, {false, true}} {
			r := reread{price: 1, windows: g, openings: e[0], closings: e[1]}
			if len(g) > 1 || e[0] != e[1] {
				r.price = 1.2
			}
			places := s.placesOf(g, e[0], e[1])
			if len(places) == 0 {
				continue
			}
			r.what, r.remedy = mirrored, &build.Correction{Kind: build.CorrectMirror, ByDeg: 180, Readings: places}
			add(r, mirror(180))
			if e[0] && e[1] {
				r.what, r.price = exchanged, r.price+0.2
			} else {
				r.what = acrossTDC
			}
			r.remedy = &build.Correction{Kind: build.CorrectMirror, ByDeg: 360, Readings: places}
			add(r, mirror(360))
			if once && e[0] != e[1] {
				r.what, r.remedy = halfTurned, &build.Correction{Kind: build.CorrectHalfTurn, Readings: places}
				add(r, half)
			}
		}
	}
	out = append(out, reread{what: misnamed, price: 1.5, out: misname(base)})
	return out
}

// groups lists the sets of windows whose numbers may be turned together: each
// alone, those of a kind, those that the crown works, and all.
func (s *state) groups() [][]int {
	var out [][]int
	var all, crown []int
	for i := range s.windows {
		out = append(out, []int{i})
		all = append(all, i)
		if s.windows[i].around == port.AroundBDC {
			crown = append(crown, i)
		}
	}
	for _, kind := range [2]string{build.KindTransfer, build.KindBoost} {
		var of []int
		for i := range s.windows {
			if s.windows[i].doc.Kind == kind {
				of = append(of, i)
			}
		}
		if len(of) > 1 {
			out = append(out, of)
		}
	}
	if len(crown) > 1 && len(crown) < len(all) {
		out = append(out, crown)
	}
	if len(all) > 1 {
		out = append(out, all)
	}
	return out
}

// placesOf lists the counted readings of some windows' events, from 1.
func (s *state) placesOf(windows []int, opens, closes bool) []int {
	var out []int
	for i := range s.reads {
		r := &s.reads[i]
		if !r.struck && slices.Contains(windows, r.win) && (r.opens && opens || !r.opens && closes) {
			out = append(out, r.place)
		}
	}
	return out
}

// renumbered tries the other numberings on which all numbers can stand.
func (s *state) renumbered() []reread {
	var out []reread
	for _, n := range [3]string{build.Numbering360, build.Numbering180, build.Numbering90} {
		if n == string(s.wheel.Numbering) {
			continue
		}
		c := build.Correction{Kind: build.CorrectRenumber, Field: n}
		if !s.fits(wheel.Wheel{Numbering: wheel.Numbering(n)}) {
			continue
		}
		t, err := s.with(c)
		if err != nil {
			continue
		}
		out = append(out, reread{what: numbered, price: 0.8, openings: true, closings: true, remedy: &c, out: t.outline()})
	}
	return out
}

// fits says whether every counted number can stand on a wheel.
func (s *state) fits(w wheel.Wheel) bool {
	for i := range s.reads {
		if !s.reads[i].struck && w.CheckLabel(s.reads[i].value) != nil {
			return false
		}
	}
	for i := range s.p.Stops {
		for _, v := range s.p.Stops[i].Readings {
			if s.p.Stops[i].Struck == "" && w.CheckLabel(v) != nil {
				return false
			}
		}
	}
	return true
}

// misname gives the exhaust's place to the transfers and theirs to it.
func misname(base outline) outline {
	out := slices.Clone(base)
	for i := range out {
		switch out[i].kind {
		case build.KindExhaust:
			out[i].kind = build.KindTransfer
		case build.KindTransfer:
			out[i].kind = build.KindExhaust
		}
	}
	return out
}
