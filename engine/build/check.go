package build

import (
	"math"
	"strconv"
	"strings"

	"portwright/engine/unit"
)

// Bounds on a build that a person can have made. They only keep out nonsense.
const (
	maxLengthMM  = 2000.0
	maxVolumeCC  = 100_000.0
	maxCylinders = 24
	maxWindows   = 200
	maxPasses    = 500
	maxReadings  = 10_000 // in one pass
	maxStops     = 500    // in one pass
	maxPlaces    = 64     // of squish
	maxRPM       = 100_000
	maxBridges   = 8
)

// Check asks whether what a build says can be: lengths that are lengths, a rod
// longer than the throw, readings that stand on the wheel, windows that exist,
// words that are known. The error joins all of it as *unit.InputError, at most
// 20 at once. What a plan stands on (targets, moves, bites) is asked by
// CheckPlan; what is only unlikely is told by Doubts, and what readings say
// about each other by package findings.
func Check(b *Build) error {
	c := &checker{problems: &problems{}, build: b}
	c.engine(&b.Engine)
	c.wheel("wheel", &b.Wheel)
	c.windows()
	c.passes()
	return c.problems.err()
}

type checker struct {
	problems *problems
	build    *Build
}

func (c *checker) add(field, value, unitName, reason string) {
	ps := c.problems
	if len(ps.errs) >= maxErrors {
		ps.more++
		return
	}
	ps.errs = append(ps.errs, &unit.InputError{Field: field, Value: value, Unit: unitName, Reason: reason})
}

func (c *checker) engine(e *Engine) {
	if e.Cylinders < 0 || e.Cylinders > maxCylinders {
		c.add("engine.cylinders", strconv.Itoa(e.Cylinders), "", unit.Sprintf("must be 1 to %d", maxCylinders))
	}
	c.positive("engine.bore_mm", e.Bore)
	c.positive("engine.stroke_mm", e.Stroke)
	c.positive("engine.rod_mm", e.Rod)
	c.anySign("engine.pin_offset_mm", e.PinOffset)
	c.rodAgainstThrow(e)
	c.word("engine.intake", e.Intake, true, IntakePistonPort, IntakeReed, IntakeRotaryValve, IntakeNone)
	c.notNegative("engine.base_gasket_mm", e.BaseGasket)
	c.anySign("engine.crown_below_deck_mm", e.CrownBelowDeck)
	c.positive("engine.skirt_intake_mm", e.SkirtIntake)
	c.positive("engine.skirt_exhaust_mm", e.SkirtExhaust)
	c.places("engine.squish_mm", e.Squish)
	c.positive("engine.squish_band_width_mm", e.SquishBandWidth)
	c.positive("engine.squish_wire_mm", e.SquishWire)
	c.volume("engine.chamber_cc", e.ChamberCC, "cc")
	c.volume("engine.crankcase_cc", e.CrankcaseCC, "cc")
	c.positive("engine.ring_height_mm", e.RingHeight)
	c.notNegative("engine.ring_below_crown_mm", e.RingBelowCrown)
	c.positive("engine.carburettor_bore_mm", e.CarburettorBore)
	c.volume("engine.muffler_outlet_mm2", e.MufflerOutletMM2, "mm2")
	c.volume("engine.muffler_volume_cc", e.MufflerVolumeCC, "cc")
	c.notNegative("engine.stroke_u_mm", e.StrokeUncertainty)
	c.notNegative("engine.rod_u_mm", e.RodUncertainty)
	if v := e.SpeedRPM; v != nil && !(*v > 0 && *v <= maxRPM) {
		c.add("engine.speed_rpm", short(*v), "rpm", unit.Sprintf("must be more than 0 and at most %d; leave it out when it is not known", maxRPM))
	}
}

// places checks squish taken in several places.
func (c *checker) places(field string, squish []unit.Length) {
	if len(squish) > maxPlaces {
		c.add(field, strconv.Itoa(len(squish)), "places", unit.Sprintf("must be at most %d", maxPlaces))
	}
	for i := range squish {
		c.positive(unit.Sprintf("%s[%d]", field, i), &squish[i])
	}
}

// rodAgainstThrow: the crank can only turn round when the rod is longer than
// the throw and the offset together, rod > stroke/2 + |offset| (geometry of the
// offset slider-crank).
func (c *checker) rodAgainstThrow(e *Engine) {
	if e.Rod == nil || e.Stroke == nil || e.Rod.MM() <= 0 || e.Stroke.MM() <= 0 {
		return
	}
	least, what := e.Stroke.MM()/2, "half the stroke"
	if e.PinOffset != nil && e.PinOffset.MM() != 0 {
		least += math.Abs(e.PinOffset.MM())
		what += " and the pin offset together"
	}
	if e.Rod.MM() <= least {
		c.add("engine.rod_mm", short(e.Rod.Value), unitOf(*e.Rod),
			unit.Sprintf("must be longer than %s (%s mm); it is measured from eye centre to eye centre", what, short(least)))
	}
}

func (c *checker) wheel(at string, w *Wheel) {
	c.word(at+".numbering", w.Numbering, true, Numbering360, Numbering180, Numbering90)
	c.word(at+".numbers", w.Numbers, true, NumbersRise, NumbersFall)
	if s := w.StepDeg; s != nil && !(*s > 0 && *s <= 30) {
		c.add(at+".step_deg", short(*s), "deg", "must be more than 0 and at most 30: the least step that is read")
	}
	c.positive(at+".diameter_mm", w.Diameter)
}

func (c *checker) windows() {
	ws := c.build.Windows
	if len(ws) > maxWindows {
		c.add("windows", strconv.Itoa(len(ws)), "", unit.Sprintf("must be at most %d", maxWindows))
		return
	}
	seen := map[string]int{}
	for i := range ws {
		w, at := &ws[i], unit.Sprintf("windows[%d]", i)
		if strings.TrimSpace(w.Name) == "" {
			c.add(at+".name", "", "", `must be given, e.g. "transfer left"`)
		} else if j, twice := seen[w.Name]; twice {
			c.add(at+".name", strconv.Quote(w.Name), "", unit.Sprintf("is the name of windows[%d] too; every window needs its own", j))
		} else {
			seen[w.Name] = i
		}
		c.word(at+".kind", w.Kind, false, KindExhaust, KindTransfer, KindBoost, KindIntake)
		c.positive(at+".chord_mm", w.Chord)
		c.positive(at+".height_mm", w.Height)
		c.notNegative(at+".corner_top_mm", w.CornerTop)
		c.notNegative(at+".corner_bottom_mm", w.CornerBottom)
		c.notNegative(at+".arch_mm", w.Arch)
		c.positive(at+".bridge_mm", w.Bridge)
		if w.Bridges < 0 || w.Bridges > maxBridges {
			c.add(at+".bridges", strconv.Itoa(w.Bridges), "", unit.Sprintf("must be 0 to %d", maxBridges))
		}
		c.aim(at+".aim_deg", w.AimDeg)
		c.aim(at+".upsweep_deg", w.UpsweepDeg)
		if w.Count < 0 || w.Count > maxWindows {
			c.add(at+".count", strconv.Itoa(w.Count), "", "must be 1 or more")
		}
	}
}

func (c *checker) aim(field string, v *float64) {
	if v != nil && !(math.Abs(*v) < 90) {
		c.add(field, short(*v), "deg", "must be between -90 and 90")
	}
}

// word checks a word against the ones that are known. unknownOK lets the empty
// word through, which stands for not known or for the default.
func (c *checker) word(field, given string, unknownOK bool, known ...string) {
	if given == "" && unknownOK {
		return
	}
	for _, k := range known {
		if given == k {
			return
		}
	}
	value := ""
	if given != "" {
		value = strconv.Quote(given)
	}
	c.add(field, value, "", "must be "+oneOf(known))
}

func oneOf(known []string) string {
	var b strings.Builder
	for i, k := range known {
		switch {
		case i == 0:
		case i == len(known)-1:
			b.WriteString(" or ")
		default:
			b.WriteString(", ")
		}
		b.WriteString(strconv.Quote(k))
	}
	return b.String()
}

func (c *checker) positive(field string, l *unit.Length) {
	c.span(field, l, func(mm float64) bool { return mm > 0 }, "must be more than 0")
}

func (c *checker) notNegative(field string, l *unit.Length) {
	c.span(field, l, func(mm float64) bool { return mm >= 0 }, "must be 0 or more")
}

func (c *checker) anySign(field string, l *unit.Length) {
	c.span(field, l, func(float64) bool { return true }, "")
}

func (c *checker) span(field string, l *unit.Length, ok func(mm float64) bool, reason string) {
	if l == nil {
		return
	}
	switch mm := l.MM(); {
	case math.IsNaN(mm) || math.Abs(mm) > maxLengthMM:
		c.add(field, short(l.Value), unitOf(*l), unit.Sprintf("must be a length that fits an engine, under %g mm", maxLengthMM))
	case !ok(mm):
		c.add(field, short(l.Value), unitOf(*l), reason+"; leave it out when it is not known")
	}
}

func (c *checker) volume(field string, v *float64, unitName string) {
	if v != nil && !(*v > 0 && *v <= maxVolumeCC) {
		c.add(field, short(*v), unitName, unit.Sprintf("must be more than 0 and at most %g; leave it out when it is not known", maxVolumeCC))
	}
}

func unitOf(l unit.Length) string {
	if l.Unit == "" {
		return string(unit.MM)
	}
	return string(l.Unit)
}

// short prints a number as a person would write it, without float noise.
func short(f float64) string {
	if a := math.Abs(f); a >= 1e9 || (a > 0 && a < 1e-4) {
		return strconv.FormatFloat(f, 'g', 6, 64)
	}
	s := strconv.FormatFloat(f, 'f', 4, 64)
	return strings.TrimSuffix(strings.TrimRight(s, "0"), ".")
}
