package findings

import (
	"math"

	"portwright/engine/build"
	"portwright/engine/unit"
)

// suspect is an explanation of readings that don't add up.
type suspect int

const (
	nothing suspect = iota // scatter alone
	zeroOut                // the wheel's zero is not at TDC
	slipped                // the wheel moved on the crank between two readings
	skewed                 // the crank is offset
	oneWild                // one reading is wrong
	onePair                // opening and closing of one window don't go together, every repeat alike
	suspects
)

// Each suspect's chance before the readings are looked at, relative to that of
// nothing being wrong, and how large its fault usually is (standard deviation).
// Convention: a misread number and a zero that is out are common, a wheel that
// slips less so, an engine with a large offset that nobody knows of rare. That
// a pass without a fault gives an alarm seldom, and with one the right name
// nearly always, is tested over many simulated passes.
const (
	zeroPrior, zeroSize = 0.20, 3.0  // deg
	slipPrior, slipSize = 0.08, 4.0  // deg
	skewPrior, skewSize = 0.08, 0.03 // strokes
	wildPrior, wildSize = 0.20, 5.0  // deg
	pairPrior, pairSize = 0.08, 5.0  // deg
	wildDepthSize       = 2.0        // mm
	typoSize            = 12         // times as large: a digit wrong, not the edge
)

// A fault is named when nothing being wrong has less than this share left.
const alarmShare = 0.25

// verdict is the explanation that the readings speak for.
type verdict struct {
	what    suspect
	read    int     // in state.reads: the wild one, or the first after the wheel moved; len(reads): it moved after the last
	size, u float64 // of the fault, and its standard uncertainty: deg, or mm of offset or depth
	sure    float64 // share of what in all that was weighed
	within  float64 // share of read in what, where there is a choice
	first   int     // in state.reads: the slip lies between first-1 and last
	last    int
	rival   suspect // the next likely
	log     float64 // of the evidence of all explanations together
}

// weighing is a pass as a linear model. With openings as read and closings
// mirrored (360 - C), a symmetric window has one unknown angle; a fault adds
//
//	zero out by z       +z to openings, -z to closings
//	slip by d           the same from one reading on, and to the stop check after
//	offset e            +e (g - g_stop) to openings, - to closings; g = dM/de
//	wild reading        something to one reading
//	one pair            something to all closings of a window
//
// Readings of one event share a part of the rounding to the wheel's step beside
// their own scatter s. The stop checks are readings of the zero. The evidence of each
// explanation is the probability of the readings with its size and the scatter
// integrated out over what they usually are, and the share of an explanation is
// its evidence times its chance beforehand over the sum of all of them.
//
// Source: generalised least squares and the normal linear model with normal
// priors, textbook; the evidence of one added column is
//
//	-1/2 ln(1 + t A) + 1/2 B^2/(A + 1/t), A = <h,h>, B = <h,y>, t = prior variance
type weighing struct {
	s      *state
	data   []datum
	ev     []weighed
	wins   int
	stops  []stopDatum
	pairs  int     // windows of which opening and closing were read
	zeroT  float64 // prior variance of the zero under nothing
	middle float64 // scatter to be expected
	spread float64 // its doubt, as a factor's logarithm
	least  float64 // the grid of scatters lies around least to most
	most   float64
	grid   []atScatter
}

type datum struct {
	read, ev int
	y        float64
}

type weighed struct {
	win     int
	sign, g float64
	n, sy   float64 // how many readings, and their sum
}

// stopDatum is a stop check: what it says of the zero, in how many pairs.
type stopDatum struct {
	y, share   float64 // variance is share times that of one pair's middle
	zero, slip float64 // columns
}

// atScatter holds what does not depend on the fault at one scatter.
type atScatter struct {
	s2, weight         float64   // s^2; log of prior times evidence of nothing
	rho, kappa         []float64 // per event
	sumK, ay, az       []float64 // per window
	yy, yz, zz, zTotal float64
	stopVar            float64
}

// column is a fault's pattern over the data.
type column struct {
	su         []float64 // sum over each event
	uu, uy, uz float64
	stop       func(d *stopDatum) float64
}

// scored is one explanation's evidence.
type scored struct {
	log     float64 // log of evidence times nothing's chance
	size, u float64
}

func (s *state) weigh() verdict {
	w := s.weighing()
	if len(w.data) < 2 {
		return verdict{}
	}
	w.makeGrid()
	n := len(w.data)
	none := w.total()
	log := func(p float64) float64 { return math.Log(p) }
	all := []candidate{{nothing, 0, scored{log: none}}}
	if w.pairs > 0 {
		zero := w.zeroColumn()
		all = append(all, candidate{zeroOut, 0, w.score(&zero, zeroSize*zeroSize).plus(log(zeroPrior))})
		if g, ok := w.skewColumn(); ok {
			size := skewSize * w.stroke()
			all = append(all, candidate{skewed, 0, w.score(&g, size*size).plus(log(skewPrior))})
		}
	}
	if s.habit == build.HabitTDCZero {
		all = w.slips(all, log(slipPrior/float64(n+1)))
		all = w.onePairs(all, log(pairPrior/math.Max(1, float64(w.pairs))))
	}
	all = w.wilds(all, wildSizeOf(s.habit), log(wildPrior/float64(n)))
	return w.judge(all)
}

func wildSizeOf(habit string) float64 {
	if habit == build.HabitDepth {
		return wildDepthSize
	}
	return wildSize
}

type candidate struct {
	what suspect
	at   int // in data
	scored
}

func (c scored) plus(log float64) scored { c.log += log; return c }

// judge sums the candidates by suspect and picks the largest.
func (w *weighing) judge(all []candidate) verdict {
	top := math.Inf(-1)
	for i := range all {
		top = math.Max(top, all[i].log)
	}
	var share [suspects]float64
	var best [suspects]int
	for i := range best {
		best[i] = -1
	}
	sum := 0.0
	for i := range all {
		c := &all[i]
		p := math.Exp(c.log - top)
		share[c.what] += p
		sum += p
		if b := best[c.what]; b < 0 || c.log > all[b].log {
			best[c.what] = i
		}
	}
	v := verdict{what: nothing, log: top + math.Log(sum)}
	if share[nothing]/sum >= alarmShare {
		return v
	}
	for k := zeroOut; k < suspects; k++ {
		if best[k] >= 0 && share[k] > share[v.what] {
			v.what = k
		}
	}
	if v.what == nothing {
		return v
	}
	for k := zeroOut; k < suspects; k++ {
		if k != v.what && best[k] >= 0 && (v.rival == nothing || share[k] > share[v.rival]) {
			v.rival = k
		}
	}
	c := &all[best[v.what]]
	v.size, v.u, v.sure = c.size, c.u, share[v.what]/sum
	v.within = math.Exp(c.log-top) / share[v.what]
	v.read, v.first, v.last = w.readAt(c.at), len(w.s.reads), 0
	for i := range all {
		if all[i].what == v.what && all[i].log > c.log+math.Log(0.05) {
			v.first, v.last = min(v.first, w.readAt(all[i].at)), max(v.last, w.readAt(all[i].at))
		}
	}
	return v
}

func (w *weighing) readAt(at int) int {
	if at >= len(w.data) {
		return len(w.s.reads)
	}
	return w.data[at].read
}

// weighing sets the data up.
func (s *state) weighing() *weighing {
	w := &weighing{s: s}
	evOf := make([]int, len(s.events))
	for i := range s.windows {
		win := &s.windows[i]
		paired := win.symmetric && win.o >= 0 && win.c >= 0 && s.habit == build.HabitTDCZero
		g := 0.0
		if paired {
			w.pairs++
			g = s.midpointPerMM(s.events[win.o].mean, s.events[win.c].mean)
		}
		for k, e := range [2]int{win.o, win.c} {
			if e < 0 {
				continue
			}
			sign := 1 - 2*float64(k)
			evOf[e] = len(w.ev)
			w.ev = append(w.ev, weighed{win: w.wins, sign: sign, g: sign * g})
			if !paired {
				w.wins++
			}
		}
		if paired {
			w.wins++
		}
	}
	w.fill(evOf)
	w.setStops()
	return w
}

// fill makes the data in the order taken.
func (w *weighing) fill(evOf []int) {
	s := w.s
	w.data = make([]datum, 0, len(s.reads))
	for i := range s.reads {
		r := &s.reads[i]
		if r.struck {
			continue
		}
		win := &s.windows[r.win]
		e := win.c
		if r.opens {
			e = win.o
		}
		ev := &w.ev[evOf[e]]
		y := r.at - s.events[e].xs[0]
		if s.habit != build.HabitDepth {
			y = unit.Signed(y)
		}
		y *= ev.sign
		if ev.sign < 0 && win.o >= 0 { // the mirrored closing, seen from the opening
			y -= unit.Signed(s.events[win.o].xs[0]+s.events[e].xs[0]) - 2*s.midpoint(s.events[win.o].mean, s.events[e].mean)
		}
		w.data = append(w.data, datum{read: i, ev: evOf[e], y: y})
		ev.n++
		ev.sy += y
	}
}

// setStops makes readings of the zero out of the stop checks. After a zero
// error was consented to the checks no longer say where TDC is, but still
// whether the wheel moved.
func (w *weighing) setStops() {
	z, sense := w.s.zero, w.s.wheel.Sense()
	w.zeroT = 0.25 * 0.25
	if z == nil {
		return
	}
	before, after := 1/float64(max(z.BeforePairs, 1)), 1/float64(max(z.AfterPairs, 1))
	if w.s.shifted {
		if z.HasBefore && z.HasAfter {
			w.stops = append(w.stops, stopDatum{y: sense * z.Slip, share: before + after, slip: 1})
		}
		return
	}
	w.zeroT = 5 * 5
	if z.HasBefore {
		w.stops = append(w.stops, stopDatum{y: sense * unit.Signed(z.Before-w.s.tdc), share: before, zero: 1})
	}
	if z.HasAfter {
		w.stops = append(w.stops, stopDatum{y: sense * unit.Signed(z.After-w.s.tdc), share: after, zero: 1, slip: 1})
	}
}
