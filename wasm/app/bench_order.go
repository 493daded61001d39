package app

import (
	"math"

	"portwright/engine/build"
	"portwright/engine/findings"
	"portwright/engine/unit"
	"portwright/engine/wheel"
)

// doubtOrder asks about the first reading of a question when it does not go
// with what is kept of the others: the exhaust is uncovered before transfers
// and boost and covered after them, and one window opens and closes about as
// far from TDC (common practice, no source).
func (m *Model) doubtOrder(q Question, v float64) string {
	b := m.Open.Build
	here := m.fromTop(q.Kind, q.Event, m.inHand(v))
	_, limit := m.zeroed()
	for _, w := range b.Windows {
		event := q.Event
		if w.ID == q.Window {
			event = map[string]string{build.Opens: build.Closes, build.Closes: build.Opens}[event]
		}
		there := m.meanFromTop(w, event)
		exhaust := q.Kind == build.KindExhaust
		switch {
		case w.ID == q.Window:
			if valve := b.Engine.Intake; w.Kind == build.KindIntake && valve != "" && valve != build.IntakePistonPort {
				continue
			}
			if math.Abs(here-there) > 2*limit {
				return q.Name + " would open and close " + unit.Plain(here, 1) + "° and " + unit.Plain(there, 1) + "° from TDC, which should be about the same. Another event, or another scale of the wheel?"
			}
		case q.Kind == build.KindIntake || w.Kind == build.KindIntake || exhaust == (w.Kind == build.KindExhaust):
		case exhaust && here > there || !exhaust && here < there:
			first, then := w.Name, q.Name
			if !exhaust {
				first, then = then, first
			}
			return "By " + m.Bench.Text + " " + first + " would be uncovered before " + then + "; the exhaust comes first. Another window, or the other side of the wheel?"
		}
	}
	return ""
}

// unusualDeg is how far outside what is usual an event is asked about: common
// practice, no source. The wheel's zero may be a few degrees off at a first look.
const unusualDeg = 10.0

// doubtUsual asks about the first reading of a question where no two-stroke has
// the event: a digit left out, or another window.
func (m *Model) doubtUsual(q Question, v float64) string {
	if m.Habit() != build.HabitTDCZero || m.Bench.Side != "" {
		return ""
	}
	valve := m.Open.Build.Engine.Intake
	least, most, ok := findings.Usual(q.Kind, q.Event, valve == "" || valve == build.IntakePistonPort)
	at := m.afterTDC(q.Kind, q.Event, m.inHand(v))
	if !ok || math.IsNaN(at) || at >= least-unusualDeg && at <= most+unusualDeg {
		return ""
	}
	side := func(deg float64) (float64, string) {
		if deg > 180 {
			return 360 - deg, "° before TDC"
		}
		return deg, "° after TDC"
	}
	here, words := side(at)
	from, usual := side(least)
	to, _ := side(most)
	return q.Name + " " + q.Event + " " + unit.Plain(here, 1) + words + ", where " + unit.Plain(math.Min(from, to), 0) + "° to " + unit.Plain(math.Max(from, to), 0) + usual +
		" is usual. Is a digit missing, or was it another window?"
}

// inHand is the value in hand as a reading, with what was chosen for it.
func (m *Model) inHand(v float64) Reading {
	return Reading{Value: unit.Length{Value: v, Unit: m.lengthUnit()}, Side: m.Bench.Side, Quarter: m.Bench.Quarter}
}

// fromTop says where a reading stands in the order in which windows are
// uncovered: degrees from TDC, mm from the cylinder top, or degrees open,
// counted down.
func (m *Model) fromTop(kind, event string, r Reading) float64 {
	switch m.Habit() {
	case build.HabitDepth:
		return r.Value.MM()
	case build.HabitOpenZero:
		return -r.Value.Value
	}
	return math.Abs(unit.Signed(m.afterTDC(kind, event, r)))
}

// afterTDC is the angle of a reading on a wheel zeroed at TDC; not a number
// when its number is not on the wheel.
func (m *Model) afterTDC(kind, event string, r Reading) float64 {
	w := m.Wheel()
	scale, err := wheel.New(w.Numbering, w.Numbers)
	if err != nil {
		return math.NaN()
	}
	down := GoingDown(kind, event)
	if r.Side != "" {
		down = r.Side == build.SideDown
	}
	tdc, _ := m.zeroed()
	spot, err := scale.Resolve(r.Value.Value, tdc, wheel.Hint{Up: !down, NearTop: kind == build.KindIntake, Quarter: r.Quarter})
	if err != nil {
		return math.NaN()
	}
	return spot.Angle
}

// meanFromTop is not a number where there is no reading that counts.
func (m *Model) meanFromTop(w build.Window, event string) float64 {
	sum, n := 0.0, 0.0
	for _, r := range m.Open.Tally.Of(w.ID, event) {
		if r.Struck == "" {
			sum += m.fromTop(w.Kind, event, r)
			n++
		}
	}
	return sum / n
}
