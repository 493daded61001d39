package plan

import (
	"math"
	"strings"

	"portwright/engine/build"
	"portwright/engine/findings"
	"portwright/engine/unit"
)

// Codes of warnings.
const (
	WarnFreePorting    = "free_porting"
	WarnRingLand       = "ring_land"
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
	WarnUnread         = "window_not_read"
	WarnSquishUnknown  = "squish_unknown"
	WarnRingUnknown    = "ring_unknown"
	WarnOdd            = "size_doubted"
	WarnRingInPort     = "ring_in_port"
	WarnPastDead       = "past_dead_centre"
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

// warner collects the warnings of the states along a cut list: each once, with
// the step that it begins at and the last value on the way.
type warner struct {
	p     *problem
	rules []Rule
	step  int
	out   []Warning
	seen  []int // the last step that each was seen at
}

// look warns of what a state crosses.
func (w *warner) look(s *state) {
	e, r := &w.p.engine, w.rules
	n := e.numbers(s)
	switch {
	case s.least <= w.p.contactRoom()+touch:
		text := "Squish comes to %s mm: the crown touches the head"
		if s.least > touch {
			text = "Squish comes to %s mm, no more than its doubt: the crown may touch the head"
		}
		w.least(WarnContact, "squish_least_mm", "", s.least, Rule{Bound: w.p.contactRoom() + 3*touch, From: fromGeometry}, text)
		w.stays(WarnSquish, "")
	default:
		w.least(WarnSquish, "squish_mm", "", s.least, r[ruleSquish],
			"Squish comes to %s mm at its least; at speed the rod stretches and the bearings give")
	}
	w.least(WarnBlowdown, build.TargetBlowdown, "", n[Blowdown], Rule{Bound: findings.BlowdownNever, From: commonPractice},
		"Blowdown comes to %s deg: too short for any engine; below 0 the transfers open before the exhaust")
	w.most(WarnSquishVelocity, "squish_velocity_m_s", "", n[SquishVelocity], r[ruleVelocity],
		"Squish velocity comes to %s m/s")
	w.most(WarnGeometric, "geometric_ratio", "", n[GeometricRatio], r[ruleGeometric], "The geometric ratio comes to %s")
	w.most(WarnTrapped, "trapped_ratio", "", n[TrappedRatio], r[ruleTrapped], "The trapped ratio comes to %s: look to fuel, squish and ignition")
	if e.piston {
		w.most(WarnExhaustLong, "exhaust_duration_deg", "", n[ExhaustDuration], r[ruleExhaust],
			"An exhaust duration of %s deg costs torque at low speed on a piston-port engine without a pipe")
		w.most(WarnIntakeLong, "intake_duration_deg", "", n[IntakeDuration], r[ruleIntake],
			"An intake duration of %s deg may blow back through the carburettor")
	}
	w.ring(s)
	for i := range e.windows {
		w.window(s, i)
	}
}

// touch stands for a bound of 0: one of 0 itself is not asked.
const touch = 1e-9

func (w *warner) most(code, about, window string, v float64, r Rule, text string) {
	switch {
	case math.IsNaN(v):
		w.stays(code, window)
	case r.Bound != 0 && v > r.Bound+touch:
		w.warn(code, about, window, v, r, text)
	}
}

func (w *warner) least(code, about, window string, v float64, r Rule, text string) {
	switch {
	case math.IsNaN(v):
		w.stays(code, window)
	case r.Bound != 0 && v < r.Bound-touch:
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

func (w *warner) warn(code, about, window string, v float64, r Rule, text string) {
	bound := tidied(r.Bound)
	text = strings.Replace(text, "%s", unit.Plain(tidy(v), 2), 1)
	if r.From != fromGeometry {
		text += " (" + unit.Plain(*bound, 2) + " is the rule: " + r.From + ")"
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
	w.out = append(w.out, Warning{Code: code, About: about, Window: window, Step: w.step, Value: tidied(v), Bound: bound, Rule: r.From, Text: text + "."})
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
