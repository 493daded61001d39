package findings

import (
	"portwright/engine/build"
	"portwright/engine/port"
	"portwright/engine/stat"
	"portwright/engine/wheel"
)

// Measured is what a pass says with its doubt still in parts, for what is
// worked out further.
type Measured struct {
	Pass    *build.Pass
	Engine  build.Engine   // with corrections in force
	Crank   *port.Geometry // nil: the stroke is not known
	Windows []MeasuredWindow
	Wheel   wheel.Wheel
	TDC     float64 // place of the wheel under the pointer at TDC
	Habit   string
	Scatter stat.Pool // of one reading, as it counts
	state   *state
}

// MeasuredWindow is one window of a pass.
type MeasuredWindow struct {
	Doc    build.Window   // with corrections in force
	Crown  bool           // worked by the crown's edge
	Skirt  bool           // worked by the skirt; neither: a valve's, which no cut moves
	Travel *stat.Estimate // of the piston at the edge, mm; nil: not known
	Paired bool           // both opening and closing were read
}

// Measure returns the passes of a build with the remedies named in opt in force,
// and the build as it is with them. Errors are those of Run.
func Measure(b *build.Build, opt Options) ([]Measured, *build.Build, error) {
	if err := build.Check(b); err != nil {
		return nil, nil, err
	}
	j := &job{Options: opt}
	b, err := applyAll(b, j)
	if err != nil {
		return nil, nil, err
	}
	out := make([]Measured, 0, len(b.Passes))
	for i := range b.Passes {
		s, err := newState(b, i, j, nil)
		if err != nil {
			return nil, nil, err
		}
		m := Measured{Pass: s.p, Engine: s.engine, Crank: s.geo, Wheel: s.wheel, TDC: s.tdc, Habit: s.habit, Scatter: s.pool, state: s}
		for k := range s.windows {
			w, t := &s.windows[k], s.timing(k)
			m.Windows = append(m.Windows, MeasuredWindow{Doc: *w.doc, Crown: w.around == port.AroundBDC, Skirt: w.skirt, Travel: t.travel, Paired: t.paired})
		}
		out = append(out, m)
	}
	return out, b, nil
}

// U95 returns the expanded uncertainty at 95 % of something worked out from
// the pass's numbers.
func (m *Measured) U95(e stat.Estimate) float64 { return m.state.u95(&e) }

// Result is what the pass says, with its problems.
func (m *Measured) Result() PassResult { return m.state.result() }
