package plan

import (
	"math"

	"portwright/engine/build"
	"portwright/engine/findings"
	"portwright/engine/port"
	"portwright/engine/unit"
)

// Codes of warnings.
const (
	WarnFreePorting    = "free_porting"
	WarnFloorShrouded  = "floor_shrouded"
	WarnRingAtDeck     = "ring_at_deck"
	WarnRingOverPort   = "ring_over_port"
	WarnTooWide        = "port_too_wide"
	WarnSquish         = "squish_small"
	WarnContact        = "crown_touches_head"
	WarnSquishVelocity = "squish_velocity"
	WarnGeometric      = "geometric_ratio"
	WarnTrapped        = "trapped_ratio"
	WarnExhaustLong    = "exhaust_long"
	WarnIntakeLong     = "intake_long"
	WarnLimit          = "limit_crossed"
	WarnRodUnknown     = "rod_unknown"
	WarnDoubted        = "readings_doubted"
	WarnNotRead        = "not_read_since_bite"
	WarnBite           = findings.CodeBiteDisagrees
	WarnArrester       = "spark_arrester"
	WarnNoVolume       = "volume_unknown"
	WarnUnusual        = "target_unusual"
	WarnSides          = findings.CodeSideToSide
	WarnBlowdown       = "blowdown_short"
)

// Where a bound comes from.
const (
	commonPractice = "common practice, no source"
	fromFile       = "the file's rules"
	fromGeometry   = "geometry"
)

// Usual values of the rules of thumb. They warn and never stop anything.
const (
	usualSquish         = 0.5 // mm; saw builders, about 0.020 in: common practice, no source
	usualExhaust        = 160 // deg; on a piston-port saw-class engine above 156 to 160 low-speed torque suffers: common practice, no source
	usualIntake         = 150 // deg; above it a piston-port intake blows back: common practice, no source
	usualTrapped        = 7.5 // saws commonly 6 to 7.5: common practice, no source
	usualSquishVelocity = 30  // m/s; Scootering magazine: 20 to 30 is the window
	usualLand           = 0.5 // mm of skirt under the exhaust's floor at TDC: common practice, no source
	usualRingBelow      = 0.5 // mm of the ring below the deck's chamfer at TDC: common practice, no source
	usualShroud         = 0.5 // mm of floor that the crown hides at BDC: common practice, no source

)

// A rule is a bound with where it comes from; a bound of 0 is not asked.
type rule struct {
	bound float64
	from  string
}

func lengthRule(l *unit.Length, usual float64, from string) rule {
	if l != nil {
		return rule{l.MM(), fromFile}
	}
	return rule{usual, from}
}

func numberRule(f *float64, usual float64, from string) rule {
	if f != nil {
		return rule{*f, fromFile}
	}
	return rule{usual, from}
}

// warner collects the warnings of the states along a cut list: each once, with
// the step that it begins at and the last value on the way.
type warner struct {
	p    *problem
	step int
	out  []Warning
	seen []int // the last step that each was seen at
}

// look warns of what a state crosses.
func (w *warner) look(s *state) {
	e, r := &w.p.engine, &w.p.build.Rules
	n := e.numbers(s)
	switch {
	case s.least <= contactRoom+touch:
		text := "Squish comes to %s mm: the crown touches the head"
		if s.least > touch {
			text = "Squish comes to %s mm, no more than its doubt: the crown may touch the head"
		}
		w.least(WarnContact, "squish_least_mm", "", s.least, rule{contactRoom + 3*touch, fromGeometry}, text)
		w.stays(WarnSquish, "")
	default:
		w.least(WarnSquish, "squish_mm", "", s.least, lengthRule(r.SquishLeast, usualSquish, commonPractice),
			"Squish comes to %s mm at its least; at speed the rod stretches and the bearings give")
	}
	w.least(WarnBlowdown, build.TargetBlowdown, "", n[Blowdown], rule{findings.BlowdownNever, commonPractice},
		"Blowdown comes to %s deg: too short for any engine; below 0 the transfers open before the exhaust")
	w.most(WarnSquishVelocity, "squish_velocity_m_s", "", n[SquishVelocity], numberRule(r.SquishVelocityMost, usualSquishVelocity, "Scootering magazine, squish velocity: 20 to 30 m/s"),
		"Squish velocity comes to %s m/s")
	w.most(WarnGeometric, "geometric_ratio", "", n[GeometricRatio], numberRule(r.GeometricRatioMost, 0, ""), "The geometric ratio comes to %s")
	w.most(WarnTrapped, "trapped_ratio", "", n[TrappedRatio], numberRule(r.TrappedRatioMost, usualTrapped, commonPractice), "The trapped ratio comes to %s: look to fuel, squish and ignition")
	if e.piston {
		w.most(WarnExhaustLong, "exhaust_duration_deg", "", n[ExhaustDuration], numberRule(r.ExhaustDurationMost, usualExhaust, commonPractice),
			"An exhaust duration of %s deg costs torque at low speed on a piston-port engine without a pipe")
		w.most(WarnIntakeLong, "intake_duration_deg", "", n[IntakeDuration], numberRule(r.IntakeDurationMost, usualIntake, commonPractice),
			"An intake duration of %s deg may blow back through the carburettor")
	}
	w.least(WarnRingAtDeck, "", "", s.deck+s.ring, lengthRule(r.RingBelowDeckLeast, usualRingBelow, commonPractice), "At TDC the ring stands %s mm below the deck, chamfer included")
	for i := range e.windows {
		w.window(s, i)
	}
}

// contactRoom is how near the crown may come to the head: what a squish of 0 can
// be measured as, two standard uncertainties.
const contactRoom = 2 * SquishU // mm

// touch stands for a bound of 0: one of 0 itself is not asked.
const touch = 1e-9

// window looks at one window against bore, skirt and ring.
func (w *warner) window(s *state, i int) {
	e, r := &w.p.engine, &w.p.build.Rules
	edge := &e.windows[i]
	name := edge.doc.Name
	switch kind := edge.doc.Kind; {
	case kind == build.KindExhaust:
		w.least(WarnFreePorting, "", name, s.sealLand(i), lengthRule(r.SealLandLeast, usualLand, commonPractice),
			"At TDC the skirt covers the floor of "+name+" by %s mm; below 0 the crankcase is open to it")
	case kind == build.KindIntake && edge.skirt:
		// The intake's roof against the ring's lower edge at BDC, both below the
		// crown's edge at TDC.
		clear := s.x[i] + s.skirtIntake - s.height[i] - (e.geo.ActualStroke() + s.ring + e.ringHeight)
		w.least(WarnRingOverPort, "", name, clear, rule{touch, fromGeometry}, "At BDC the ring clears the roof of "+name+" by %s mm: safe only where its ends are pinned clear of it")
	}
	if edge.crown {
		w.most(WarnFloorShrouded, "", name, s.x[i]+s.height[i]-e.geo.ActualStroke(), lengthRule(r.FloorShroudMost, usualShroud, commonPractice),
			"At BDC the crown hides the lowest %s mm of "+name)
	}
	span, flatTop := s.chord[i], false
	if shape, ok := e.shape(s, i); ok {
		span = (shape.Chord - float64(shape.Bridges)*shape.BridgeWidth) / float64(shape.Bridges+1)
		flatTop = shape.Arch < flatArch*shape.Chord && shape.CornerTop < flatCorner*shape.Chord
	}
	bound, text := port.WidthLimit, " of the bore wide, past the limit for the ring even with an arched top and round corners"
	if flatTop {
		bound, text = port.WidthStart, " of the bore wide with a flat top: arch it and round its corners before it is widened"
	}
	w.most(WarnTooWide, "", name, span/e.bore, rule{bound, "Jennings 1973: begin at 62 %, 70 % is the limit"}, capital(name)+" is %s"+text)
}

// A top counts as flat when its arch and corners are less than these shares of
// the width. Common practice, no source.
const (
	flatArch   = 0.02
	flatCorner = 0.1
)

func (w *warner) most(code, about, window string, v float64, r rule, text string) {
	switch {
	case math.IsNaN(v):
		w.stays(code, window)
	case r.bound != 0 && v > r.bound+touch:
		w.warn(code, about, window, v, r, text)
	}
}

func (w *warner) least(code, about, window string, v float64, r rule, text string) {
	switch {
	case math.IsNaN(v):
		w.stays(code, window)
	case r.bound != 0 && v < r.bound-touch:
		w.warn(code, about, window, v, r, text)
	}
}

// stays keeps a warning that there is from being called put right: the number
// is worse than it can say, or is known no longer.
func (w *warner) stays(code, window string) {
	for i := range w.out {
		if w.out[i].Code == code && w.out[i].Window == window {
			w.seen[i] = w.step
		}
	}
}

func (w *warner) warn(code, about, window string, v float64, r rule, text string) {
	bound := tidied(r.bound)
	text = unit.Sprintf(text, unit.Plain(tidy(v), 2))
	if r.from != fromGeometry {
		text += " (" + unit.Plain(*bound, 2) + " is the rule: " + r.from + ")"
	}
	for i := range w.out {
		o := &w.out[i]
		if o.Code != code || o.Window != window {
			continue
		}
		w.seen[i] = w.step
		o.Value, o.Text = tidied(v), text+"."
		return
	}
	w.out = append(w.out, Warning{Code: code, About: about, Window: window, Step: w.step, Value: tidied(v), Bound: bound, Rule: r.from, Text: text + "."})
	w.seen = append(w.seen, w.step)
}

// done says of which warnings later steps put it right.
func (w *warner) done() []Warning {
	for i := range w.out {
		if w.seen[i] < w.step {
			w.out[i].Text += " Later steps put it right."
		}
	}
	return w.out
}

func capital(s string) string {
	if s != "" && s[0] >= 'a' && s[0] <= 'z' {
		return string(s[0]-'a'+'A') + s[1:]
	}
	return s
}
