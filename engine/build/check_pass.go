package build

import (
	"math"
	"strconv"
	"strings"

	"portwright/engine/unit"
)

func (c *checker) passes() {
	ps := c.build.Passes
	if len(ps) > maxPasses {
		c.add("passes", strconv.Itoa(len(ps)), "", unit.Sprintf("must be at most %d", maxPasses))
		return
	}
	type key struct {
		name     string
		cylinder int
	}
	seen := map[key]int{}
	for i := range ps {
		p, at := &ps[i], unit.Sprintf("passes[%d]", i)
		k := key{p.Name, max(p.Cylinder, 1)}
		if strings.TrimSpace(p.Name) == "" {
			c.add(at+".name", "", "", `must be given, e.g. "as received"`)
		} else if j, twice := seen[k]; twice {
			c.add(at+".name", strconv.Quote(p.Name), "",
				unit.Sprintf("with cylinder %d is the same as passes[%d]; give each pass of a cylinder its own name", k.cylinder, j))
		} else {
			seen[k] = i
		}
		c.pass(at, p)
	}
}

func (c *checker) pass(at string, p *Pass) {
	if have := max(c.build.Engine.Cylinders, 1); p.Cylinder < 0 || p.Cylinder > have {
		c.add(at+".cylinder", strconv.Itoa(p.Cylinder), "", unit.Sprintf("must be 1 to %d, the engine's cylinders", have))
	}
	c.word(at+".habit", p.Habit, true, HabitTDCZero, HabitOpenZero, HabitDepth)
	c.wheel(at+".wheel", &p.Wheel)
	c.usualScatter(at, p)
	c.places(at+".squish_mm", p.Squish)
	c.volume(at+".chamber_cc", p.ChamberCC, "cc")
	if len(p.Stops) > maxStops || len(p.Readings) > maxReadings {
		c.add(at, strconv.Itoa(len(p.Stops)+len(p.Readings)), "",
			unit.Sprintf("must hold at most %d stop checks and %d readings", maxStops, maxReadings))
		return
	}
	for i := range p.Stops {
		c.stop(unit.Sprintf("%s.stops[%d]", at, i), c.build.WheelOf(p), &p.Stops[i])
	}
	for i := range p.Readings {
		c.reading(unit.Sprintf("%s.readings[%d]", at, i), p, &p.Readings[i])
	}
	for i := range p.Corrections {
		c.correction(unit.Sprintf("%s.corrections[%d]", at, i), p, &p.Corrections[i])
	}
}

func (c *checker) usualScatter(at string, p *Pass) {
	s, df := p.UsualScatterDeg, p.UsualScatterDF
	if s != nil && !(*s >= 0 && *s <= 10) {
		c.add(at+".usual_scatter_deg", short(*s), "deg", "must be 0 to 10, the scatter of one reading in other builds")
	}
	if df != nil && !(*df > 0 && *df <= 1e6) {
		c.add(at+".usual_scatter_df", short(*df), "", "must be more than 0, the degrees of freedom of usual_scatter_deg")
	}
	if (s == nil) != (df == nil) {
		c.add(at+".usual_scatter_df", "", "", "must be given together with usual_scatter_deg, or neither")
	}
}

func (c *checker) stop(at string, w Wheel, s *StopCheck) {
	c.word(at+".when", s.When, false, WhenBefore, WhenAfter)
	c.word(at+".near", s.Near, false, NearTDC, NearBDC)
	c.word(at+".way", s.Way, true, WayRunning, WayBack)
	switch n := len(s.Readings); {
	case n == 0:
		c.add(at+".readings", "", "", "must be the two readings against the stop, or the one that was taken; leave the check out when there is none")
	case n > 2:
		c.add(at+".readings", strconv.Itoa(n), "numbers",
			"must be two: reached turning the running way, then turned back onto the stop (a decimal is written with a point)")
	}
	for i, v := range s.Readings {
		if reason := onWheel(w, v); reason != "" {
			c.add(unit.Sprintf("%s.readings[%d]", at, i), short(v), "deg", reason)
		}
	}
	for i, t := range s.At {
		c.moment(unit.Sprintf("%s.at[%d]", at, i), t)
	}
}

func (c *checker) reading(at string, p *Pass, r *Reading) {
	known := false
	for i := range c.build.Windows {
		known = known || c.build.Windows[i].Name == r.Window
	}
	switch {
	case r.Window == "":
		c.add(at+".window", "", "", "must name a window of the build")
	case !known:
		c.add(at+".window", strconv.Quote(r.Window), "", "must be the name of one of the build's windows"+c.windowNames())
	}
	for _, e := range readingErrors(c.build.WheelOf(p), p.Habit, r) {
		e.Field = at + "." + e.Field
		if known {
			e.Reason += unit.Sprintf(" (%s %s, pass %q)", r.Window, r.Event, p.Name)
		}
		c.add(e.Field, e.Value, e.Unit, e.Reason)
	}
	c.moment(at+".at", r.At)
}

func (c *checker) windowNames() string {
	var names []string
	for i := range c.build.Windows {
		if len(names) == 8 {
			names = append(names, "...")
			break
		}
		names = append(names, strconv.Quote(c.build.Windows[i].Name))
	}
	if len(names) == 0 {
		return ", and none is listed"
	}
	return ": " + strings.Join(names, ", ")
}

// CheckReading asks whether one reading can stand on this wheel under this
// habit. Fields are named as in a reading: value, event, side, quarter,
// feeler_mm. The error joins *unit.InputError.
func CheckReading(w Wheel, habit string, r Reading) error {
	ps := &problems{}
	for _, e := range readingErrors(w, habit, &r) {
		ps.errs = append(ps.errs, e)
	}
	return ps.err()
}

func readingErrors(w Wheel, habit string, r *Reading) (errs []*unit.InputError) {
	c := &checker{problems: &problems{}}
	c.word("event", r.Event, false, Opens, Closes)
	if habit == HabitOpenZero && r.Event == Opens {
		c.add("event", strconv.Quote(r.Event), "", `must be "closes": with the wheel zeroed where the window opens only the closing is read`)
	}
	c.word("side", r.Side, true, SideDown, SideUp)
	if r.Quarter < 0 || r.Quarter > 4 {
		c.add("quarter", strconv.Itoa(r.Quarter), "", "must be 1 to 4, counted from TDC in the running direction")
	}
	c.notNegative("feeler_mm", r.FeelerMM)
	c.readingValue(w, habit, r.Value)
	for _, e := range c.problems.errs {
		errs = append(errs, e.(*unit.InputError))
	}
	return errs
}

func (c *checker) readingValue(w Wheel, habit string, v unit.Length) {
	if habit == HabitDepth {
		c.span("value", &v, func(mm float64) bool { return mm >= 0 }, "must be 0 or more: a depth below the cylinder top")
		return
	}
	if v.Unit != "" {
		c.add("value", short(v.Value), unitOf(v), `must be a number of degrees off the wheel; depths belong in a pass with "habit": "depth"`)
		return
	}
	if reason := onWheel(w, v.Value); reason != "" {
		c.add("value", short(v.Value), "deg", reason)
	}
}

// onWheel says why a number does not stand on a wheel, or "".
func onWheel(w Wheel, v float64) string {
	most, name := 360.0, Numbering360
	switch w.Numbering {
	case Numbering180:
		most, name = 180, Numbering180
	case Numbering90:
		most, name = 90, Numbering90
	}
	if v >= 0 && v <= most {
		return ""
	}
	if math.IsNaN(v) {
		return "must be a number"
	}
	return unit.Sprintf("must be 0 to %g, as the wheel is numbered %s", most, name)
}

func (c *checker) moment(field, at string) {
	if at != "" && !isMoment(at) {
		c.add(field, strconv.Quote(at), "", "must be a date and time as in 2026-03-14T09:12:00Z (RFC 3339)")
	}
}

func (c *checker) correction(at string, p *Pass, k *Correction) {
	c.word(at+".kind", k.Kind, false, CorrectShiftZero, CorrectShiftAfter, CorrectMirror, CorrectHalfTurn, CorrectRenumber, CorrectReverse,
		CorrectStrike, CorrectScaleUnit, CorrectDeclareSkew, CorrectUnmixMethods)
	n := len(p.Readings)
	if k.After < 0 || k.After > n {
		c.add(at+".after", strconv.Itoa(k.After), "", unit.Sprintf("must be the place of a reading, 1 to %d, or 0", n))
	}
	for i, place := range k.Readings {
		if place < 1 || place > n {
			c.add(unit.Sprintf("%s.readings[%d]", at, i), strconv.Itoa(place), "", unit.Sprintf("must be the place of a reading, 1 to %d", n))
		}
	}
	if k.Kind == CorrectRenumber {
		c.word(at+".field", k.Field, false, Numbering360, Numbering180, Numbering90)
	}
	if k.Kind == CorrectScaleUnit && !(k.Factor > 0) {
		c.add(at+".factor", short(k.Factor), "", "must be more than 0")
	}
}
