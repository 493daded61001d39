package findings

import (
	"math"
	"strings"

	"portwright/engine/build"
	"portwright/engine/port"
	"portwright/engine/stat"
	"portwright/engine/unit"
	"portwright/engine/wheel"
)

// Names of sources of doubt. Those that begin with wheel.ScatterName stand on
// the pooled scatter.
const (
	zeroAssumed = "zero assumed"
	zeroPairs   = wheel.ScatterName + " of the zero from pairs"
	zeroLeft    = "zero left over"
	crownSource = "crown"
	skirtSource = "skirt"
)

// opening and closing return an event's angle with its doubt; ok is false when
// it was not read.
func (s *state) opening(win int) (stat.Estimate, bool) { return s.angle(s.windows[win].o) }
func (s *state) closing(win int) (stat.Estimate, bool) { return s.angle(s.windows[win].c) }

func (s *state) angle(e int) (stat.Estimate, bool) {
	if e < 0 || math.IsNaN(s.events[e].mean) {
		return stat.Estimate{}, false
	}
	return stat.Estimate{Value: s.events[e].mean, Parts: append(s.readingParts(e), s.zeroPts...)}, true
}

// readingParts is the doubt of an event's mean without the zero's: scatter and
// step.
//
//	s^2/n + q^2/12
func (s *state) readingParts(e int) []stat.Component {
	ev := &s.events[e]
	name := s.windows[ev.win].doc.Name
	if ev.opens {
		name += " opens"
	} else {
		name += " closes"
	}
	parts := make([]stat.Component, 2, 4)
	parts[0] = stat.Component{Name: wheel.ScatterName + " " + name, U: s.pool.SD / math.Sqrt(float64(len(ev.xs))), DF: s.pool.DF, C: 1}
	parts[1] = stat.Component{Name: "step " + name, U: stat.Resolution(s.step), C: 1}
	if ev.pulled > 0 {
		parts = append(parts, stat.Component{Name: "stray " + name, U: ev.pulled, C: 1})
	}
	return parts
}

// timing is what is known of one window.
type timing struct {
	opens, closes, duration, travel *stat.Estimate
	assumed                         bool // one event follows from the other by symmetry
	paired                          bool // both events were read
}

// timing returns a window's numbers.
func (s *state) timing(win int) *timing { return &s.timings[win] }

// time works a window's numbers out as the habit of the pass gives them.
func (s *state) time(win int) timing {
	switch s.habit {
	case build.HabitDepth:
		return s.fromDepth(win)
	case build.HabitOpenZero:
		return s.fromDuration(win)
	}
	return s.fromAngles(win)
}

// fromAngles: openings and closings read on a wheel whose zero is known.
func (s *state) fromAngles(win int) timing {
	w := &s.windows[win]
	o, hasO := s.opening(win)
	c, hasC := s.closing(win)
	var t timing
	switch {
	case hasO && hasC:
		t.paired = true
		t.opens, t.closes = &o, &c
		d := c.Minus(o)
		d.Value = port.Duration(o.Value, c.Value)
		t.duration = &d
	case hasO && w.symmetric:
		t.assumed = true
		c = s.partner(o)
		t.opens, t.closes = &o, &c
		d := c.Minus(o)
		d.Value = port.Duration(o.Value, c.Value)
		t.duration = &d
	case hasC && w.symmetric:
		t.assumed = true
		o = s.partner(c)
		t.opens, t.closes = &o, &c
		d := c.Minus(o)
		d.Value = port.Duration(o.Value, c.Value)
		t.duration = &d
	case hasO:
		t.opens = &o
	case hasC:
		t.closes = &c
	}
	if s.geo == nil || !w.symmetric {
		return t
	}
	// Opening and closing are the same edge: the mean of what they say of the
	// travel is free of the zero's error to first order.
	switch {
	case t.paired:
		x := stat.Linear(0, []float64{0.5, 0.5}, s.geo.TravelAt(o), s.geo.TravelAt(c))
		t.travel = &x
	case hasO:
		x := s.geo.TravelAt(o)
		t.travel = &x
	case hasC:
		x := s.geo.TravelAt(c)
		t.travel = &x
	}
	return t
}

// partner returns the other event of a symmetric window's edge.
//
//	C = 360 - O + 2M
//
// The slope -1 leaves out how M changes with O, 0.01 at most.
func (s *state) partner(e stat.Estimate) stat.Estimate {
	if s.skew == nil {
		return e.Through(port.SymmetricClosing(e.Value), -1)
	}
	return e.Through(s.skew.Partner(e.Value), -1)
}

// fromDuration: the wheel was zeroed where the window opens and read where it
// closes. The zero was set by the same eye and step as a reading.
//
//	u^2(D) = s^2/n + q^2/12 + s^2 + q^2/12
func (s *state) fromDuration(win int) timing {
	w := &s.windows[win]
	if w.c < 0 {
		return timing{}
	}
	d := stat.Estimate{Value: unit.Turn(s.events[w.c].mean), Parts: s.readingParts(w.c)}
	d.Parts = append(d.Parts,
		stat.Component{Name: wheel.ScatterName + " of the zero at opening, " + w.doc.Name, U: s.pool.SD, DF: s.pool.DF, C: 1},
		stat.Component{Name: "step of the zero at opening, " + w.doc.Name, U: stat.Resolution(s.step), C: 1})
	t := timing{duration: &d, assumed: w.symmetric}
	if !w.symmetric {
		return t
	}
	shift := 0.0
	if s.skew != nil {
		half := port.SymmetricOpening(d.Value, w.around)
		shift = s.skew.Midpoint(s.skew.Travel(unit.Rad(half)))
	}
	o := d.Through(unit.Turn(port.SymmetricOpening(d.Value, w.around)+shift), -0.5)
	c := d.Through(unit.Turn(float64(w.around)+d.Value/2+shift), 0.5)
	t.opens, t.closes = &o, &c
	if s.geo != nil {
		x := s.geo.TravelAt(o)
		t.travel = &x
	}
	return t
}

// fromDepth: the edge's depth below the cylinder top.
//
//	x = h - d0              worked by the crown, d0 the deck as bites left it
//	x = h - d0 - H          worked by the skirt, H crown edge to skirt bottom
func (s *state) fromDepth(win int) timing {
	w := &s.windows[win]
	if w.o < 0 || w.doc.Kind == build.KindIntake && (!w.symmetric || s.engine.SkirtIntake == nil) {
		return timing{}
	}
	x := stat.Estimate{Value: s.events[w.o].mean - s.deckMM(), Parts: s.readingParts(w.o)}
	crown := stat.Component{Name: crownSource, U: crownU, C: -1}
	if s.engine.CrownBelowDeck == nil {
		crown.U = stat.Rectangular(crownUnknown)
	}
	x.Parts = append(append(x.Parts, crown), w.shift(s.moved).Parts...)
	if w.skirt {
		x.Value -= s.skirtMM()
		x.Parts = append(x.Parts, stat.Component{Name: skirtSource, U: crownU, C: -1})
	}
	t := timing{travel: &x, assumed: true}
	if s.geo == nil {
		return t
	}
	o, errO := s.geo.AngleAt(x, w.skirt)
	c, errC := s.geo.AngleAt(x, !w.skirt)
	if errO != nil || errC != nil {
		return t
	}
	d := c.Minus(o)
	d.Value = port.Duration(o.Value, c.Value)
	t.opens, t.closes, t.duration = &o, &c, &d
	return t
}

// students keeps the coverage factors that were needed: most results of a pass
// share their degrees of freedom.
type students struct{ df, k []float64 }

// u95 returns the expanded uncertainty at 95 %.
func (s *state) u95(e *stat.Estimate) float64 {
	u, df := s.combined(e)
	return s.expand(u, df)
}

// combined returns the combined standard uncertainty and its degrees of
// freedom. All parts that stand on the pooled scatter are one estimate of it
// with one number of degrees of freedom, so they go into the
// Welch-Satterthwaite formula as one.
//
// Source: JCGM 100:2008, G.4.1 and eq. (G.2b), whose terms are independent
// estimates.
func (s *state) combined(e *stat.Estimate) (u, df float64) {
	var rest [24]stat.Component
	parts := rest[:0]
	scatter := 0.0
	for i, p := range e.Parts {
		if !strings.HasPrefix(p.Name, wheel.ScatterName) || p.DF != s.pool.DF {
			parts = append(parts, p)
			continue
		}
		c, first := 0.0, true
		for j, q := range e.Parts {
			if q.Name == p.Name {
				if j < i {
					first = false
					break
				}
				c += q.C
			}
		}
		if first {
			scatter += c * p.U * c * p.U
		}
	}
	parts = append(parts, stat.Component{Name: wheel.ScatterName, U: math.Sqrt(scatter), DF: s.pool.DF, C: 1})
	u, df, err := stat.Combine(parts...)
	if err != nil {
		return math.NaN(), 1
	}
	return u, df
}

func (s *state) expand(u, df float64) float64 { return s.job.expand(u, df) }

func (s *students) expand(u, df float64) float64 {
	if !math.IsInf(df, 1) {
		df = math.Max(1, math.Floor(df*(1+1e-12)))
	}
	for i := range s.df {
		if s.df[i] == df {
			return s.k[i] * u
		}
	}
	k, err := coverage95(df)
	if err != nil {
		return math.NaN()
	}
	s.df, s.k = append(s.df, df), append(s.k, k)
	return k * u
}

// coverage95 returns Student's t at 95 %. From 20 degrees of freedom on it is
// the expansion about the normal value z,
//
//	t = z + g1(z)/n + g2(z)/n^2 + g3(z)/n^3 + g4(z)/n^4
//
// within a millionth of it, which takes a hundredth of the time.
//
// Source: Abramowitz and Stegun, Handbook of Mathematical Functions, 1964,
// 26.7.5, from memory; held against package stat by a test.
func coverage95(df float64) (float64, error) {
	if df < 20 {
		_, k, err := stat.Expanded(0.95, 1, df)
		return k, err
	}
	const z = 1.959963984540054
	const z3, z5, z7, z9 = z * z * z, z * z * z * z * z, z * z * z * z * z * z * z, z * z * z * z * z * z * z * z * z
	const g1 = (z3 + z) / 4
	const g2 = (5*z5 + 16*z3 + 3*z) / 96
	const g3 = (3*z7 + 19*z5 + 17*z3 - 15*z) / 384
	const g4 = (79*z9 + 776*z7 + 1482*z5 - 1920*z3 - 945*z) / 92160
	return z + (g1+(g2+(g3+g4/df)/df)/df)/df, nil
}
