package findings

import (
	"math"
	"slices"

	"portwright/engine/build"
	"portwright/engine/unit"
)

// diagnose returns what speaks against the readings. Each thing is explained
// by one problem at most. The order is from what turns numbers round to what
// moves them a little, and whatever has a remedy is looked past with the remedy
// carried out, so that a mirrored reading is not also a zero error and a slip
// not also a difference from side to side:
//
//  1. the engine's numbers: units, squish, widths (last pass only, which is the
//     engine as it stands now)
//  2. stop checks that contradict each other, readings from the wrong side, a wheel that counts the other way, an order
//     of events that can't be (gross.go)
//  3. stop checks that are too little to stand on
//  4. edges seen in different ways
//  5. zero out, wheel slipped, offset, wild reading (weigh.go), most likely
//     first, until nothing more stands out
//  6. windows of one pair that differ
//  7. bites that the readings contradict (bites.go)
//  8. what was assumed
func (s *state) diagnose() []Problem {
	d := &diagnosis{as: s, now: s, out: []Problem{}}
	if s.index == len(s.b.Passes)-1 {
		d.engine()
	}
	if d.read() {
		d.sides()
		d.bites()
	}
	d.assumed()
	d.edges()
	return d.out
}

// read looks at the readings of the pass by themselves; false where they can't
// be compared any further.
func (d *diagnosis) read() bool {
	sound := d.checks() && d.gross()
	d.stops()
	d.methods()
	if sound {
		d.faults()
	}
	return sound
}

// diagnosis is a diagnosis under way.
type diagnosis struct {
	as   *state // as the document has it
	now  *state // with the remedies found so far carried out
	out  []Problem
	skip []bool // windows that can't be used any further, for want of a remedy
}

// add keeps a problem and looks on with its remedy carried out.
func (d *diagnosis) add(p Problem) {
	if p.Windows == nil {
		p.Windows = []string{}
	}
	for k, v := range p.Evidence {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			delete(p.Evidence, k)
			continue
		}
		p.Evidence[k] = unit.Tidy(v)
	}
	for _, place := range p.Readings {
		if id := d.now.p.Readings[place-1].ID; id != "" {
			p.IDs = append(p.IDs, id)
		}
	}
	if c := p.Remedy; c != nil {
		c.Code = p.Code
		c.ByDeg, c.ByMM = unit.Tidy(c.ByDeg), unit.Tidy(c.ByMM)
		d.byID(c)
		// A remedy with which the crank could not turn is none, and each has to
		// do by itself.
		if next, err := d.now.with(*c); err != nil || aboutEngine(c) && !d.as.turns(c) {
			p.Remedy, p.Action = nil, ""
		} else {
			d.now = next
		}
	}
	d.out = append(d.out, p)
}

// byID names readings by ID too where they carry IDs.
func (d *diagnosis) byID(c *build.Correction) {
	rs := d.now.p.Readings
	if c.After > 0 && c.After <= len(rs) {
		c.AfterID = rs[c.After-1].ID
	}
	var ids []string
	for _, place := range c.Readings {
		if rs[place-1].ID == "" {
			return
		}
		ids = append(ids, rs[place-1].ID)
	}
	c.IDs = ids
}

// faults looks for zero, slip, offset and wild readings.
func (d *diagnosis) faults() {
	const most = 6 // a pass with more faults than this has to be read again
	for range most {
		v := d.now.weigh()
		if stray, ok := d.now.stray(&v); ok {
			v = stray
		}
		if v.what == nothing || !d.now.matters(&v) {
			return
		}
		p := d.now.faultProblem(&v)
		d.add(p)
		if d.out[len(d.out)-1].Remedy == nil {
			d.leave(p.Windows)
			return
		}
	}
}

// leave takes windows out of what is still compared: something is wrong with
// them that nothing puts right.
func (d *diagnosis) leave(names []string) {
	if d.skip == nil {
		d.skip = make([]bool, len(d.now.windows))
	}
	for i := range d.now.windows {
		d.skip[i] = d.skip[i] || slices.Contains(names, d.now.windows[i].doc.Name)
	}
}

// matters says whether a fault is large enough to be spoken of: a wheel can be
// read so finely that a fault is certain and yet of no account.
func (s *state) matters(v *verdict) bool {
	size := math.Abs(v.size)
	switch v.what {
	case zeroOut:
		return size >= math.Max(0.25, s.step/4)
	case slipped:
		return size >= math.Max(0.5, 0.75*s.step)
	case skewed:
		return s.largestSkew(size) >= 0.1
	case oneWild, onePair:
		return size >= s.leastWild()
	}
	return false
}

// leastWild is how far a reading has to lie off before it is spoken of.
func (s *state) leastWild() float64 {
	if s.habit == build.HabitDepth {
		return 0.15
	}
	return math.Max(0.75, 1.5*s.step)
}

// largestSkew is how far an offset moves the middle of the window that it
// moves most, in degrees.
func (s *state) largestSkew(offset float64) float64 {
	most := 0.0
	for i := range s.windows {
		if w := &s.windows[i]; w.symmetric && w.o >= 0 && w.c >= 0 {
			g := s.midpointPerMM(s.events[w.o].mean, s.events[w.c].mean) - s.stopPerMM()
			most = math.Max(most, math.Abs(g*offset))
		}
	}
	return most
}
