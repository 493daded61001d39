package app

import (
	"math"
	"strconv"
	"strings"

	"portwright/engine/build"
	"portwright/engine/findings"
	"portwright/engine/unit"
	"portwright/engine/wheel"
)

// Limits of what is asked about; none of them blocks. Common practice, no
// source: a careful reading repeats within a degree, a careless one within
// two or three.
const (
	oddDeg      = 3.0  // a repeat further from the others than this is asked about
	oddMM       = 0.5  // the same for a depth
	sideDeg     = 10.0 // a reading this far on the wrong side of a dead centre is asked about
	unzeroedDeg = 30.0 // the same while no stop check says where TDC is
	quarterDeg  = 6.0  // nearer to a quarter's end than this the quarter is asked
	deepestMM   = 300.0
)

// Wheel is the wheel that the pass in hand is read on.
func (m *Model) Wheel() build.Wheel { return m.Open.Build.WheelOf(m.PassInHand()) }

// WheelMost is the highest number on the wheel.
func (m *Model) WheelMost() float64 {
	if m.Open == nil || m.Open.Build == nil {
		return 360
	}
	switch m.Wheel().Numbering {
	case build.Numbering180:
		return 180
	case build.Numbering90:
		return 90
	}
	return 360
}

// Refusal says why the typed value can't be kept; it speaks as soon as the
// number is typed.
func (m *Model) Refusal() string {
	v, ok := m.typed()
	if !ok {
		return ""
	}
	if m.Habit() != build.HabitDepth {
		if most := m.WheelMost(); v > most {
			return m.Bench.Text + " is more than the wheel's " + unit.Plain(most, 0) + "."
		}
		return ""
	}
	mm := m.asLength(v).MM()
	switch {
	case mm > deepestMM:
		d, _ := build.DoubtDepth(m.asLength(v), nil, false)
		return d.Text
	case v == 0 && !strings.HasSuffix(m.Bench.Text, ".") && m.Bench.Text != "0":
		return "A window's edge lies below the cylinder top: the depth is more than 0."
	}
	return ""
}

// UnitName names the unit of the value in hand.
func (m *Model) UnitName() string {
	if m.Habit() != build.HabitDepth {
		return "°"
	}
	if m.Bench.Unit == "" {
		return "mm"
	}
	return m.Bench.Unit
}

// needsQuarter says whether the quarter has to be asked: on a 0-90-0-90 wheel
// a value close to a quarter's end fits two of them.
func (m *Model) needsQuarter(q Question, v float64) bool {
	if q.Stop() || m.Bench.Quarter != 0 || m.Habit() == build.HabitDepth || m.WheelMost() != 90 {
		return false
	}
	return v < quarterDeg || v > 90-quarterDeg
}

// doubt says what is odd about a value, or "".
func (m *Model) doubt(q Question, v float64) string {
	if past := m.Bench.past; past != "" {
		return "After the half " + past + " was typed, which is not in " + m.Bench.Text + ". Is it right?"
	}
	if d := m.doubtStep(v); d != "" {
		return d
	}
	switch {
	case q.Stop():
		return m.doubtStop(q, v)
	case m.Habit() == build.HabitDepth:
		if d := m.doubtDepth(q, v); d != "" {
			return d
		}
	default:
		if d := m.doubtSide(q, v); d != "" {
			return d
		}
	}
	return m.doubtRepeat(q, v)
}

// doubtStep asks about a value that is finer than half the wheel's step, which
// is what the eye divides (common practice, no source).
func (m *Model) doubtStep(v float64) string {
	step := m.Wheel().StepDeg
	if step == nil || *step <= 0 || m.Habit() == build.HabitDepth {
		return ""
	}
	if n := 2 * v / *step; math.Abs(n-math.Round(n)) < 1e-6 {
		return ""
	}
	return m.Bench.Text + "° is finer than a wheel read in steps of " + unit.Plain(*step, 3) + "° shows. Is that right?"
}

// doubtSide asks when the piston moves the other way at a reading than it must:
// the wrong event, window or scale. Without a stop check the wheel's zero is
// taken for TDC and more is let pass. Only a 0-360 wheel
// can say so; a valve that the crank turns may be open anywhere.
func (m *Model) doubtSide(q Question, v float64) string {
	if m.Habit() != build.HabitTDCZero || m.WheelMost() != 360 || m.Bench.Side != "" {
		return ""
	}
	tdc, limit := m.zeroed()
	intake := m.Open.Build.Engine.Intake
	if q.Kind == build.KindIntake && intake != "" && intake != build.IntakePistonPort {
		return ""
	}
	w := m.Wheel()
	scale, err := wheel.New(w.Numbering, w.Numbers)
	if err != nil {
		return ""
	}
	a := unit.Signed(scale.Angle(v, tdc)) // going down 0 to 180, going up -180 to 0
	down := GoingDown(q.Kind, q.Event)
	past := math.Min(math.Abs(a), 180-math.Abs(a)) // from the nearer dead centre
	if down == (a >= 0) || past <= limit {
		return ""
	}
	way, must := "up", "down"
	if !down {
		way, must = must, way
	}
	return m.Bench.Text + " is where the piston goes " + way + "; " + q.Name + " " + q.Event + " as it goes " + must + ". Another event, or another scale of the wheel?"
}

// zeroed is what the wheel reads at TDC, as far as is known, and how far off
// that a reading may be before it is asked about.
func (m *Model) zeroed() (tdc, limit float64) {
	if p := m.ResultInHand(); p != nil && p.Zero != nil {
		return p.Zero.TDCReadsDeg, sideDeg
	}
	return 0, unzeroedDeg
}

// ResultInHand is what the findings say of the pass in hand; nil when they
// say nothing.
func (m *Model) ResultInHand() *findings.PassResult {
	if m.Open == nil || m.Open.Results == nil {
		return nil
	}
	for i := range m.Open.Results.Passes {
		if p := &m.Open.Results.Passes[i]; p.ID == m.Open.Pass {
			return p
		}
	}
	return nil
}

// asLength is a depth of v in the unit in hand.
func (m *Model) asLength(v float64) unit.Length { return unit.Length{Value: v, Unit: m.lengthUnit()} }

// doubtDepth asks about a depth where no window's edge lies, and says what was
// likely meant.
func (m *Model) doubtDepth(q Question, v float64) string {
	d, _ := build.DoubtDepth(m.asLength(v), m.Open.Build.Engine.Stroke, q.Kind == build.KindIntake)
	m.Bench.Likely = d.Suggest
	return d.Text
}

// doubtRepeat compares with the readings that count for the same question.
func (m *Model) doubtRepeat(q Question, v float64) string {
	others := Counted(m.Open.Tally.Of(q.Window, q.Event))
	if len(others) == 0 {
		if d := m.doubtOrder(q, v); d != "" {
			return d
		}
		return m.doubtUsual(q, v)
	}
	depth := m.Habit() == build.HabitDepth
	limit, name := oddDeg, "°"
	if depth {
		limit, name = oddMM, " mm"
	}
	value := m.asLength(v)
	apart := math.Inf(1)
	for _, o := range others {
		apart = math.Min(apart, m.apart(value, o))
	}
	if apart <= limit {
		return ""
	}
	other := "the other reading"
	if len(others) > 1 {
		other = "the nearest of the other " + strconv.Itoa(len(others))
	}
	return m.Bench.Text + " is " + unit.Plain(apart, 2) + name + " from " + other + "."
}

// apart is how far two readings of one question lie apart: mm for depths,
// degrees the short way round for angles.
func (m *Model) apart(a, b unit.Length) float64 {
	switch {
	case m.Habit() == build.HabitDepth:
		return math.Abs(a.MM() - b.MM())
	case m.WheelMost() == 360:
		return math.Abs(unit.Signed(a.Value - b.Value))
	}
	return math.Abs(a.Value - b.Value)
}

// Spread is the largest minus the smallest of the readings that count, in
// degrees or mm; ok is false below two.
func (m *Model) Spread(rs []Reading) (spread float64, ok bool) {
	values := Counted(rs)
	for i, a := range values {
		for _, b := range values[i+1:] {
			spread = math.Max(spread, m.apart(a, b))
		}
	}
	return spread, len(values) > 1
}
