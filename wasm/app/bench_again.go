package app

import (
	"math"
	"strconv"

	"portwright/engine/build"
	"portwright/engine/unit"
)

// Intents that start from the reading before.
type (
	// BenchSame keeps the last reading's value once more.
	BenchSame struct{}

	// BenchNudge takes the value in hand, or while there is none the last
	// reading's, one step down (-1) or up (+1).
	BenchNudge struct{ By int }

	// BenchLikely puts into the field what was likely meant.
	BenchLikely struct{}
)

func (BenchSame) msg()   {}
func (BenchNudge) msg()  {}
func (BenchLikely) msg() {}

// againMS is how long after a Keep the same value is not kept again: the crank
// has to be turned back and up to the edge in between.
const againMS = 1000

// Last is the value of the last reading that counts for the question in hand,
// of a stop check the last one reached the same way, as it would be typed now.
// The check after looks for a slip and starts from nothing.
func (m *Model) Last() (text string, ok bool) {
	q, ok := m.Question()
	if !ok {
		return "", false
	}
	last := unit.Length{Value: math.NaN()}
	for _, s := range m.Open.Tally.Stops {
		if q.Stop() && s.Struck == "" && s.When == q.When && s.Near == q.Near && s.Way == q.Way {
			last.Value = s.Value
		}
	}
	for _, r := range m.Open.Tally.Readings {
		if !q.Stop() && r.Struck == "" && r.Window == q.Window && r.Event == q.Event && (m.Habit() != build.HabitDepth || sameUnit(r.Value.Unit, m.lengthUnit())) {
			last = r.Value
		}
	}
	if math.IsNaN(last.Value) {
		return "", false
	}
	return strconv.FormatFloat(last.Value, 'f', -1, 64), true
}

func sameUnit(a, b unit.LengthUnit) bool {
	return a == b || a+b == unit.MM // none is mm
}

// Nudged says whether plus and minus stand on the keypad: the value in hand is
// theirs, or there is none and they have a reading to start from.
func (m *Model) Nudged() bool {
	_, ok := m.Last()
	return ok && m.Bench.Text == "" || m.Bench.Text != "" && m.Bench.Text == m.Bench.nudged
}

// NudgeStep is the step of plus and minus: of a wheel its reading step, of a
// depth what a gauge shows: 0.1 mm, a thousandth of an inch.
func (m *Model) NudgeStep() float64 {
	switch {
	case m.Habit() != build.HabitDepth:
		if step := m.Wheel().StepDeg; step != nil && *step > 0 {
			return *step
		}
		return 0.5
	case m.lengthUnit() == unit.Inch:
		return 0.001
	case m.lengthUnit() == unit.Thou:
		return 1
	}
	return 0.1
}

func (m *Model) benchNudge(by int) {
	b := &m.Bench
	text := b.Text
	if text == "" {
		text, _ = m.Last()
	}
	l, err := unit.ParseLength(text, m.lengthUnit())
	if err != nil || b.Sending != "" || m.Save.Failed {
		return
	}
	v, most := l.Value+float64(by)*m.NudgeStep(), m.WheelMost()
	switch {
	case m.Habit() == build.HabitDepth:
		if v <= 0 {
			return
		}
	case most == 360:
		v = unit.Turn(v)
	default:
		v = min(max(v, 0), most)
	}
	b.Text, b.Refuse, b.Quarter = unit.Plain(v, 4), "", 0
	b.nudged = b.Text
}

// benchSame keeps the last value once more, with the same doubts as when it is
// typed.
func (m *Model) benchSame(in Input) []Effect {
	b := &m.Bench
	text, ok := m.Last()
	if !ok || b.Text != "" || b.Panel != PanelNone || in.NowMS-b.keptMS < againMS || m.writing() {
		return nil
	}
	b.Text, b.ID, b.keepMS = text, in.Fresh, 0
	return m.benchKeep(false, in)
}

// benchLikely puts what was likely meant into the field, to be kept.
func (m *Model) benchLikely() {
	b := &m.Bench
	if l := b.Likely; l != nil && b.Panel == PanelOdd {
		b.Text, b.Unit = strconv.FormatFloat(l.Value, 'f', -1, 64), string(l.Unit)
		if l.Unit == unit.MM {
			b.Unit = ""
		}
		b.Panel, b.Likely, b.Refuse = PanelNone, nil, ""
	}
}
