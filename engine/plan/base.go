package plan

import (
	"math"
	"slices"
	"strconv"

	"portwright/engine/build"
	"portwright/engine/findings"
	"portwright/engine/stat"
	"portwright/engine/unit"
)

// bad is what is wrong with a field and what would be right.
func bad(field, value, reason string) error {
	return &unit.InputError{Field: field, Value: value, Reason: reason}
}

// Standard uncertainties of what is measured beside the wheel, in mm and cm3.
// Common practice, no source.
const (
	SquishU  = findings.SquishU
	BiteU    = findings.BiteU
	gasketU  = BiteU // of the difference of two gaskets, as they are crushed
	ChamberU = 0.05  // cm3
)

// Names of sources of doubt beside those of the readings.
const (
	squishSource  = "squish wire"
	gasketSource  = "gasket"
	buretteSource = "burette"
)

// base is where a plan starts: one cylinder as it is now.
type base struct {
	taken []cut // by bites
	engine
	now       state
	measured  *findings.Measured // the pass that the plan starts from
	build     *build.Build       // with corrections in force
	doubts    []doubt
	doubted   []string // of windows whose readings are doubted, with the codes
	stale     []bool   // of each window: bites moved it since it was read
	asked     []string // what the findings ask about the engine's sizes
	disagrees []string // bites that the readings contradict
}

// cut is metal that a bite took off; window -1: at all that the move is about.
type cut struct {
	move   string
	window int
	by     float64
}

// doubt is a measured quantity of the state with its parts.
type doubt struct {
	window int // its travel; squishDoubt and the like for the others
	est    stat.Estimate
}

const (
	squishDoubt    = -1
	clearanceDoubt = -2
)

// newBase puts together what is known of the cylinder of a pass, given by its
// place from 1, 0 for the last: the engine before all bites, then each pass and
// the bites made after it, in order. A named pass is taken as it was read.
func newBase(b *build.Build, opt Options) (*base, error) {
	passes, b, err := findings.Measure(b, findings.Options{Apply: opt.Apply})
	if err != nil {
		return nil, err
	}
	if len(passes) == 0 {
		return nil, bad("passes", "", "must hold a pass: the plan starts from its readings")
	}
	last := opt.Pass
	if last == 0 {
		last = len(passes)
	}
	if last < 1 || last > len(passes) {
		return nil, bad("--pass", strconv.Itoa(last), "must be 1 to "+strconv.Itoa(len(passes))+", the passes of this file")
	}
	m := &passes[last-1]
	if m.Crank == nil {
		return nil, bad("engine.stroke_mm", "", "must be given: without it degrees can't be turned into mm")
	}
	s := &base{measured: m, build: b}
	s.setEngine(passes[0].Engine)
	if err := s.follow(passes[:last], opt.Pass == 0); err != nil {
		return nil, err
	}
	s.setFound(passes[:last])
	s.setAsked()
	return s, nil
}

func numberOr(f *float64) float64 {
	if f == nil {
		return math.NaN()
	}
	return *f
}

// setEngine takes the engine's and the windows' sizes before all bites.
func (s *base) setEngine(e build.Engine) {
	unknown := math.NaN()
	s.engine = engine{geo: *s.measured.Crank, bore: mmOr(e.Bore, unknown), band: mmOr(e.SquishBandWidth, unknown), ringHeight: mmOr(e.RingHeight, unknown),
		crankcase: numberOr(e.CrankcaseCC), speed: numberOr(e.SpeedRPM), piston: e.Intake == "" || e.Intake == build.IntakePistonPort}
	s.now = state{squish: unknown, least: unknown, clearance: unknown, gasket: mmOr(e.BaseGasket, unknown), deck: mmOr(e.CrownBelowDeck, unknown),
		skirtExhaust: mmOr(e.SkirtExhaust, unknown), skirtIntake: mmOr(e.SkirtIntake, unknown), ring: mmOr(e.RingBelowCrown, unknown), outlet: numberOr(e.MufflerOutletMM2)}
	for _, w := range s.measured.Windows {
		s.windows = append(s.windows, edge{doc: w.Doc, crown: w.Crown, skirt: w.Skirt})
		s.now.x = append(s.now.x, unknown)
		s.stale = append(s.stale, false)
		s.now.height = append(s.now.height, mmOr(w.Doc.Height, unknown))
		s.now.chord = append(s.now.chord, mmOr(w.Doc.Chord, unknown))
	}
	s.takeChamber(e.Squish, e.ChamberCC)
}

// takeChamber takes squish and volume as measured, in place of what they were.
func (s *base) takeChamber(squish []unit.Length, cc *float64) {
	if len(squish) > 0 {
		gaps := make([]float64, len(squish))
		for i, l := range squish {
			gaps[i] = l.MM()
		}
		q := squishOf(gaps)
		s.now.squish, s.now.least = q.PinAxis, q.Least
		s.put(squishDoubt, stat.Estimate{Value: q.PinAxis, Parts: []stat.Component{{Name: squishSource, U: SquishU, C: 1}}})
	}
	if cc != nil {
		s.now.clearance = *cc
		s.put(clearanceDoubt, stat.Estimate{Value: *cc, Parts: []stat.Component{{Name: buretteSource, U: ChamberU, C: 1}}})
	}
}

func (s *base) put(window int, e stat.Estimate) {
	for i := range s.doubts {
		if s.doubts[i].window == window {
			s.doubts[i].est = e
			return
		}
	}
	s.doubts = append(s.doubts, doubt{window, e})
}

// follow goes through the passes of the cylinder and the bites after each.
func (s *base) follow(passes []findings.Measured, bitesAfter bool) error {
	cylinder := max(s.measured.Pass.Cylinder, 1)
	cut := func(pass int) error {
		for _, i := range s.build.BitesAfter(cylinder, pass) {
			if err := s.bite(i); err != nil {
				return err
			}
		}
		return nil
	}
	if err := cut(-1); err != nil {
		return err
	}
	for i := range passes {
		p := &passes[i]
		if max(p.Pass.Cylinder, 1) != cylinder {
			continue
		}
		for k, w := range p.Windows {
			if w.Travel == nil {
				continue
			}
			s.now.x[k], s.stale[k] = w.Travel.Value, false
			s.windows[k].readClosing = w.Paired
			s.put(k, s.ofPass(p, *w.Travel))
		}
		s.takeChamber(p.Pass.Squish, p.Pass.ChamberCC)
		if bitesAfter || i < len(passes)-1 {
			if err := cut(i); err != nil {
				return err
			}
		}
	}
	return nil
}

// ofPass tells the readings of an earlier pass from those of the plan's own:
// another zero, another set. The engine and its bites stay the same source.
func (s *base) ofPass(p *findings.Measured, e stat.Estimate) stat.Estimate {
	e.Parts = append([]stat.Component(nil), e.Parts...)
	for i := range e.Parts {
		if n := e.Parts[i].Name; p != s.measured && !findings.OfEngine(n) {
			e.Parts[i].Name = "pass " + p.Pass.Name + ": " + n
		}
	}
	return e
}

// bite carries out one bite that was made; its depth has its own doubt.
func (s *base) bite(i int) error {
	b := &s.build.Bites[i]
	at := "bites[" + strconv.Itoa(i) + "]"
	window, amount, err := s.moveOf(at, &b.Move)
	if err != nil {
		return err
	}
	if b.ByMM != nil {
		s.taken = append(s.taken, cut{b.Move.Move, window, amount})
	}
	before, more := s.now.clone(), s.now.clone()
	s.apply(&s.now, b.Move.Move, window, amount)
	s.apply(&more, b.Move.Move, window, amount+1)
	if err := s.fits(at, &b.Move, &before); err != nil {
		return err
	}
	for k := range s.windows {
		s.stale[k] = s.stale[k] || s.now.x[k] != before.x[k] && !math.IsNaN(before.x[k])
	}
	source := findings.BiteDoubt(i)
	for k := range s.doubts {
		d := &s.doubts[k]
		was, now, next := before.of(d.window), s.now.of(d.window), more.of(d.window)
		d.est.Value += now - was
		if source.C = next - now; source.C != 0 {
			d.est.Parts = append(d.est.Parts, source)
		}
	}
	return nil
}

// of returns the quantity that a doubt is about.
func (s *state) of(window int) float64 {
	switch window {
	case squishDoubt:
		return s.squish
	case clearanceDoubt:
		return s.clearance
	}
	return s.x[window]
}

// shift moves the quantity that a doubt is about.
func (s *state) shift(window int, by float64) {
	switch window {
	case squishDoubt:
		s.squish += by
		s.least += by
	case clearanceDoubt:
		s.clearance += by
	default:
		s.x[window] += by
	}
}

// setFound names the windows whose readings an unsettled problem may have
// moved, and where bites as measured and readings since contradict each other.
func (s *base) setFound(passes []findings.Measured) {
	for i := range passes {
		if max(passes[i].Pass.Cylinder, 1) != max(s.measured.Pass.Cylinder, 1) {
			continue
		}
		found := passes[i].Result()
		for k := range s.windows {
			if by := found.Windows[k].DoubtedBy; len(by) > 0 && s.readIn(passes[i:], k) {
				s.doubted = append(s.doubted, s.windows[k].doc.Name+" ("+by[0]+")")
			}
		}
		for _, f := range found.Problems {
			if f.Code != findings.CodeBiteDisagrees {
				continue
			}
			// The plan goes on from the readings: what the bites say otherwise is doubt.
			part := stat.Component{Name: findings.BiteSource + "against readings", U: math.Abs(f.Evidence["difference_mm"]) / 1.95, C: 1} // 1.96 or more at 95 %: no less than the difference
			said := false
			for k := range s.doubts {
				d := &s.doubts[k]
				squish := d.window == squishDoubt && len(f.Windows) == 0
				if squish || d.window >= 0 && slices.Contains(f.Windows, s.windows[d.window].doc.Name) && s.readIn(passes[i:], d.window) {
					d.est.Parts, said = append(d.est.Parts, part), true
				}
			}
			if said {
				s.disagrees = append(s.disagrees, f.Text)
			}
		}
	}
}

// readIn says whether a window's numbers stand on the first of some passes.
func (s *base) readIn(passes []findings.Measured, window int) bool {
	for i := 1; i < len(passes); i++ {
		if max(passes[i].Pass.Cylinder, 1) == max(s.measured.Pass.Cylinder, 1) && passes[i].Windows[window].Travel != nil {
			return false
		}
	}
	return passes[0].Windows[window].Travel != nil
}
