package findings

import (
	"math"

	"portwright/engine/build"
	"portwright/engine/crank"
	"portwright/engine/stat"
	"portwright/engine/unit"
	"portwright/engine/wheel"
)

// setWheel reads the wheel's set-up with what was consented to about it.
func (s *state) setWheel() error {
	of := s.b.WheelOf(s.p)
	numbering, numbers := of.Numbering, of.Numbers
	for i := range s.corrections {
		switch c := &s.corrections[i]; c.Kind {
		case build.CorrectReverse:
			if numbers == build.NumbersFall {
				numbers = build.NumbersRise
			} else {
				numbers = build.NumbersFall
			}
		case build.CorrectRenumber:
			numbering = c.Field
		}
	}
	w, err := wheel.New(numbering, numbers)
	if err != nil {
		return err
	}
	s.wheel = w
	switch {
	case s.habit == build.HabitDepth:
		s.step = depthStep
	case of.StepDeg != nil:
		s.step = *of.StepDeg
	default:
		s.step = assumedStep
	}
	return nil
}

// findZero settles where TDC is on the wheel.
func (s *state) findZero() error {
	s.zero, s.tdc, s.shifted = nil, 0, false
	if s.habit != build.HabitTDCZero {
		return nil
	}
	moved := 0.0
	for i := range s.corrections {
		if c := &s.corrections[i]; c.Kind == build.CorrectShiftAfter {
			moved += c.ByDeg
		}
	}
	var checks []wheel.Check
	for i := range s.p.Stops {
		st := &s.p.Stops[i]
		if st.Struck != "" || len(st.Readings) != 2 {
			continue
		}
		first, second := st.Readings[0], st.Readings[1]
		c := wheel.Check{Pair: wheel.Pair{First: first, Second: second, BDC: st.Near == build.NearBDC},
			After: st.When == build.WhenAfter}
		if s.wheel.CheckLabel(first) != nil || s.wheel.CheckLabel(second) != nil {
			continue // another numbering was consented to, on which this can't stand
		}
		if c.After {
			c.Moved = moved
		}
		checks = append(checks, c)
	}
	if len(checks) > 0 {
		var m *crank.Mechanism
		if s.skew != nil {
			m = &s.skew.Mechanism
		}
		z, err := s.wheel.FindZero(checks, s.pool, s.step, m)
		if err != nil {
			return err
		}
		s.zero, s.tdc = &z, z.TDC
	}
	for i := range s.corrections {
		if c := &s.corrections[i]; c.Kind == build.CorrectShiftZero {
			s.tdc = unit.Turn(s.tdc + c.ByDeg)
			s.shifted = true
		}
	}
	return nil
}

// resolve turns each reading's number into what it stands for.
func (s *state) resolve() error {
	for i := range s.reads {
		r := &s.reads[i]
		switch s.habit {
		case build.HabitDepth:
			r.at = r.value
		case build.HabitOpenZero:
			r.at = s.openZero(r)
		default:
			if err := s.resolveAngle(r); err != nil {
				return err
			}
		}
	}
	return s.unmix()
}

// openZero returns the duration that a closing reading is, on a wheel zeroed
// where the window opens. The numbers fall on a wheel that counts the other way.
func (s *state) openZero(r *read) float64 {
	d := r.value
	for i := range s.corrections {
		if s.corrections[i].Kind == build.CorrectReverse {
			d = 360 - d
		}
	}
	return d
}

func (s *state) resolveAngle(r *read) error {
	if s.wheel.CheckLabel(r.value) != nil {
		// Another numbering was consented to, on which this can't stand.
		r.struck, r.at, r.other, r.unsure = true, 0, math.NaN(), false
		return nil
	}
	tdc := s.tdc
	for i := range s.corrections {
		if c := &s.corrections[i]; c.Kind == build.CorrectShiftAfter && fromOn(c, r) {
			tdc += c.ByDeg
		}
	}
	spot, err := s.wheel.Resolve(r.value, tdc, s.hint(r))
	if err != nil {
		return err
	}
	r.other, r.unsure = spot.Other, spot.Unsure
	place, turned := spot.Place, false
	for i := range s.corrections {
		c := &s.corrections[i]
		if !s.names(c, r) {
			continue
		}
		switch c.Kind {
		case build.CorrectMirror:
			place, turned = unit.Turn(mirrorSum(c)-place), true
		case build.CorrectHalfTurn:
			place, turned = unit.Turn(place+180), true
		}
	}
	if turned {
		r.other, r.unsure = spot.Angle, false
	}
	r.at = s.wheel.Angle(place, tdc)
	return nil
}

// mirrorSum is what a number and its mirror image add to.
func mirrorSum(c *build.Correction) float64 {
	if c.ByDeg == 0 {
		return 180
	}
	return c.ByDeg
}

// hint says where the crank stood by the event's nature, unless the reading
// says it.
func (s *state) hint(r *read) wheel.Hint {
	w := &s.windows[r.win]
	h := wheel.Hint{Up: !r.opens, Quarter: r.doc.Quarter}
	if w.doc.Kind == build.KindIntake {
		h.Up = r.opens
		// A rotary valve opens well before TDC, in the quarter after BDC, and
		// closes soon after TDC (common practice, no source).
		h.NearTop = w.symmetric || !r.opens
	}
	switch r.doc.Side {
	case build.SideDown:
		h.Up = false
	case build.SideUp:
		h.Up = true
	}
	return h
}

// zeroDoubt settles what the zero's doubt is made of. A zero from stop checks
// brings its own. Without one, or after a zero error was consented to, openings
// and closings of symmetric windows show how far it can be out: half of what a
// pair lacks to 360. With neither it is taken as zeroed by eye.
func (s *state) zeroDoubt() {
	s.zeroPts, s.zeroBy = nil, ""
	if s.habit != build.HabitTDCZero {
		return
	}
	if s.zero != nil && !s.shifted {
		s.zeroPts, s.zeroBy = s.zero.Parts, "stop"
		return
	}
	sum, variance, n := 0.0, 0.0, 0.0
	for i := range s.windows {
		if off, ok := s.halfExcess(i); ok {
			w := &s.windows[i]
			sum += off
			n++
			for _, e := range [2]int{w.o, w.c} {
				variance += (s.pool.SD*s.pool.SD/float64(len(s.events[e].xs)) + s.step*s.step/12) / 4
			}
		}
	}
	if n == 0 {
		s.zeroPts = []stat.Component{{Name: zeroAssumed, U: stat.Rectangular(zeroByEye), C: 1}}
		s.zeroBy = "assumed"
		return
	}
	s.zeroPts = []stat.Component{
		{Name: zeroPairs, U: math.Sqrt(variance) / n, DF: s.pool.DF, C: 1},
		{Name: zeroLeft, U: math.Abs(sum / n), C: 1},
	}
	s.zeroBy = "pairs"
}

// halfExcess returns half of what a symmetric window's opening and closing add
// to beyond 360 (and beyond what a known offset makes of it).
func (s *state) halfExcess(win int) (float64, bool) {
	w := &s.windows[win]
	if !w.symmetric || w.o < 0 || w.c < 0 {
		return 0, false
	}
	o, c := s.events[w.o].mean, s.events[w.c].mean
	return unit.Signed(o+c)/2 - s.midpoint(o, c), true
}

// midpoint is how far the middle of a window's open time lies after the dead
// centre by the offset that is known.
func (s *state) midpoint(o, c float64) float64 {
	if s.skew == nil {
		return 0
	}
	middle := o - unit.Signed(o+c)/2 // the opening if it were symmetric
	return s.skew.Midpoint(s.skew.Travel(unit.Rad(middle)))
}
