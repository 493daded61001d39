package findings

import (
	"math"

	"portwright/engine/build"
	"portwright/engine/port"
	"portwright/engine/unit"
)

// outline is where the windows of a pass open and close, as far as read: what
// an order of events can be judged by. It goes by the middle repeat, which a
// wrong digit in another does not move.
type outline []span

type span struct {
	kind      string
	symmetric bool
	around    port.Centre
	o, c      float64 // degrees after TDC; NaN: not read
	expect    float64 // what opening and closing add to beyond 360 by a known offset
}

func (s *state) outline() outline {
	out := make(outline, len(s.windows))
	for i := range s.windows {
		w := &s.windows[i]
		out[i] = span{kind: w.doc.Kind, symmetric: w.symmetric, around: w.around, o: math.NaN(), c: math.NaN()}
		if s.habit != build.HabitTDCZero { // one number gives both events
			if t := s.timing(i); t.opens != nil {
				out[i].o = unit.Turn(t.opens.Value)
			}
			continue
		}
		if w.o >= 0 {
			out[i].o = unit.Turn(median(s.events[w.o].xs))
		}
		if w.c >= 0 {
			out[i].c = unit.Turn(median(s.events[w.c].xs))
		}
		if w.o >= 0 && w.c >= 0 {
			out[i].expect = 2 * s.midpoint(s.events[w.o].mean, s.events[w.c].mean)
		}
	}
	return out
}

// What an outline is charged for. A hard fault is what no engine does; a pair
// that does not close is a reading far out; a soft one is only unusual.
const (
	hardCost = 10.0
	pairCost = 4.0
	softCost = 3.0
	oddCost  = 1.0

	orderSlack = 1.5  // deg by which two events may stand in the wrong order by reading error
	pairSlack  = 6.0  // deg by which one pair may differ from the pair that closes best
	pairClosed = 1.5  // deg within which pairs have to agree once a number is read another way, or by what scatter allows
	pairMost   = 12.0 // deg by which the best pair may fail to close
)

// cost returns what an outline is charged for, and how much of it is hard.
//
// The rules: the crown opens exhaust, transfer and boost going down and closes
// them going up, the skirt of a piston-port intake the other way about; the
// exhaust opens before and closes after the others; opening and closing of a
// window mirror each other. The rest are ranges of durations and blowdown from
// mopeds to race engines (common practice, no source).
//
// slack is by how much pairs may differ.
func (o outline) cost(slack float64) (total, hard, pairs float64) {
	for i := range o {
		hard += o[i].side() * hardCost
		total += o[i].odd()
	}
	hard += o.order() * hardCost
	pairs = o.unclosed(slack) * pairCost
	total += o.blowdownOdd()
	return total + hard + pairs, hard, pairs
}

// side counts events on the wrong stroke.
func (s *span) side() (n float64) {
	if !s.symmetric {
		return 0
	}
	downFirst := s.around == port.AroundBDC
	if !math.IsNaN(s.o) && (s.o < 180) != downFirst {
		n++
	}
	if !math.IsNaN(s.c) && (s.c < 180) == downFirst {
		n++
	}
	return n
}

// duration as far as it can be told; NaN where it can't, as from an opening on
// the wrong stroke.
func (s *span) duration() float64 {
	if !math.IsNaN(s.o) && !math.IsNaN(s.c) {
		return port.Duration(s.o, s.c)
	}
	if !s.symmetric {
		return math.NaN()
	}
	d := port.SymmetricDuration(s.opens(), s.around)
	if !(d > 0 && d < 360) {
		return math.NaN()
	}
	return d
}

// odd charges durations that are not found.
func (s *span) odd() float64 {
	d := s.duration()
	if math.IsNaN(d) {
		return 0
	}
	if u := usualDuration(s.kind, s.symmetric); d < u.least || d > u.most {
		return softCost
	}
	return 0
}

// opens is the opening as far as it can be told.
func (s *span) opens() float64 {
	if !math.IsNaN(s.o) || !s.symmetric {
		return s.o
	}
	return port.SymmetricClosing(s.c)
}

// first returns the earliest opening of a kind of window; NaN for none.
func (o outline) first(ofExhaust bool) float64 {
	first := math.NaN()
	for i := range o {
		k := o[i].kind
		if k == build.KindIntake || (k == build.KindExhaust) != ofExhaust {
			continue
		}
		if at := o[i].opens(); !math.IsNaN(at) && !(at >= first) {
			first = at
		}
	}
	return first
}

// order counts windows that open before the exhaust or close after it.
func (o outline) order() (n float64) {
	opens, closes := math.NaN(), math.NaN()
	for i := range o {
		if o[i].kind != build.KindExhaust {
			continue
		}
		if !(o[i].o >= opens) && !math.IsNaN(o[i].o) {
			opens = o[i].o
		}
		if !(o[i].c <= closes) && !math.IsNaN(o[i].c) {
			closes = o[i].c
		}
	}
	for i := range o {
		if o[i].kind != build.KindTransfer && o[i].kind != build.KindBoost {
			continue
		}
		if o[i].o < opens-orderSlack {
			n++
		}
		if o[i].c > closes+orderSlack {
			n++
		}
	}
	return n
}

// excess is what a pair adds to beyond 360; NaN without a pair.
func (s *span) excess() float64 {
	if !s.symmetric || math.IsNaN(s.o) || math.IsNaN(s.c) {
		return math.NaN()
	}
	return unit.Signed(s.o + s.c - s.expect)
}

// unclosed counts pairs that don't close like the best of them: a zero that is
// out shifts all alike and is no matter here.
func (o outline) unclosed(slack float64) (n float64) {
	best := math.NaN()
	for i := range o {
		if x := o[i].excess(); !math.IsNaN(x) && !(math.Abs(x) >= math.Abs(best)) {
			best = x
		}
	}
	if math.Abs(best) > pairMost {
		n++
	}
	for i := range o {
		if math.Abs(unit.Signed(o[i].excess()-best)) > slack {
			n++
		}
	}
	return n
}

// Usual blowdown in degrees, and below and above which none is found. Common
// practice, no source.
const (
	BlowdownNever, BlowdownLeast = 4.0, 8.0
	BlowdownMost, BlowdownEver   = 32.0, 40.0
)

// blowdownOdd charges a blowdown that is not found, or not usual.
func (o outline) blowdownOdd() float64 {
	b := port.Blowdown(o.first(true), o.first(false))
	switch {
	case math.IsNaN(b):
		return 0
	case b < BlowdownNever || b > BlowdownEver:
		return softCost
	case b < BlowdownLeast || b > BlowdownMost:
		return oddCost
	}
	return 0
}
