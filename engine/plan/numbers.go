package plan

import (
	"math"

	"portwright/engine/build"
	"portwright/engine/chamber"
	"portwright/engine/port"
	"portwright/engine/timearea"
	"portwright/engine/unit"
)

// tidied takes float noise out of a number that is shown; nil when there is
// none.
func tidied(v float64) *float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return nil
	}
	t := math.Round(v*1e6)/1e6 + 0 // no minus zero
	return &t
}

// numbers describes a state.
func (e *engine) numbers(s *state) Numbers {
	n := Numbers{SquishMM: tidied(s.squish), SquishLeastMM: tidied(s.least), ChamberCC: tidied(s.clearance), BaseGasketMM: tidied(s.gasket), MufflerOutletMM2: tidied(s.outlet)}
	put := func(opens, duration **float64, kinds ...string) {
		if i := e.first(s, kinds...); i >= 0 {
			if o, c, ok := e.angles(s, i); ok {
				*opens, *duration = tidied(o), tidied(port.Duration(o, c))
			}
		}
	}
	put(&n.ExhaustOpensDeg, &n.ExhaustDurationDeg, build.KindExhaust)
	put(&n.TransferOpensDeg, &n.TransferDurationDeg, build.KindTransfer, build.KindBoost)
	put(&n.IntakeOpensDeg, &n.IntakeDurationDeg, build.KindIntake)
	if b, ok := e.blowdown(s); ok {
		n.BlowdownDeg = tidied(b)
	}
	swept := chamber.Displacement(e.bore, e.geo.ActualStroke())
	if s.clearance > 0 {
		n.GeometricRatio = tidied(chamber.GeometricRatio(swept, s.clearance))
		if i := e.first(s, build.KindExhaust); i >= 0 {
			n.TrappedRatio = tidied(chamber.TrappedRatio(e.bore, s.x[i], s.clearance))
		}
	}
	n.CrankcaseRatio = tidied(chamber.CrankcaseRatio(swept, e.crankcase))
	if v, _, ok := e.head(s).Velocity(e.geo.Mechanism, e.speed); ok {
		n.SquishVelocityMS = tidied(v)
	}
	e.timeAreas(s, &n, swept)
	return n
}

func (e *engine) head(s *state) chamber.Head {
	return chamber.Head{Bore: e.bore, Band: e.band, Squish: s.squish, Clearance: s.clearance}
}

// shape returns a window's outline as it stands; ok is false where its size is
// not known.
func (e *engine) shape(s *state, i int) (port.Shape, bool) {
	w := &e.windows[i].doc
	zero := func(l *unit.Length) float64 {
		if l == nil {
			return 0
		}
		return l.MM()
	}
	shape := port.Shape{Chord: s.chord[i], Height: s.height[i], CornerTop: zero(w.CornerTop), CornerBottom: zero(w.CornerBottom),
		Arch: zero(w.Arch), Bridges: w.Bridges, BridgeWidth: zero(w.Bridge), Count: w.Count}
	return shape, shape.Check() == nil
}

// timeAreas fills in the specific time-areas of the kinds whose windows are all
// known.
func (e *engine) timeAreas(s *state, n *Numbers, swept float64) {
	to, hasTo := math.NaN(), false
	if i := e.first(s, build.KindTransfer, build.KindBoost); i >= 0 {
		to, _, hasTo = e.angles(s, i)
	}
	sum := func(blowdown bool, kinds ...string) *float64 {
		all := 0.0
		for i := range e.windows {
			w := &e.windows[i]
			if w.doc.Kind != kinds[0] && w.doc.Kind != kinds[len(kinds)-1] {
				continue
			}
			shape, ok := e.shape(s, i)
			if !ok || math.IsNaN(s.x[i]) || !w.crown && !w.skirt {
				return nil
			}
			area := timearea.Window{Shape: shape, Travel: s.x[i], Skirt: w.skirt}
			var a float64
			var err error
			if blowdown {
				a, err = area.BlowdownArea(e.geo.Mechanism, to)
			} else {
				a, err = area.AngleArea(e.geo.Mechanism)
			}
			if err != nil {
				return nil
			}
			all += a
		}
		if !(all > 0) || !(e.speed > 0) || !(swept > 0) {
			return nil
		}
		return tidied(timearea.Specific(all, e.speed, swept))
	}
	n.ExhaustSTA = sum(false, build.KindExhaust)
	n.TransferSTA = sum(false, build.KindTransfer, build.KindBoost)
	n.IntakeSTA = sum(false, build.KindIntake)
	if hasTo {
		n.BlowdownSTA = sum(true, build.KindExhaust)
	}
}

// edge describes one window.
func (e *engine) edge(s *state, i int) Edge {
	var out Edge
	if o, c, ok := e.angles(s, i); ok {
		out.OpensDeg, out.ClosesDeg, out.DurationDeg, out.TravelMM = tidied(o), tidied(c), tidied(port.Duration(o, c)), tidied(s.x[i])
	}
	if shape, ok := e.shape(s, i); ok {
		out.AreaMM2 = tidied(shape.FullArea())
	}
	out.WidthShare = tidied(s.chord[i] / e.bore)
	return out
}

// value returns the number that a target's key names.
func (n *Numbers) value(key string) *float64 {
	switch key {
	case build.TargetSquish:
		return n.SquishMM
	case build.TargetExhaustOpens:
		return n.ExhaustOpensDeg
	case build.TargetExhaustDuration:
		return n.ExhaustDurationDeg
	case build.TargetTransferOpens:
		return n.TransferOpensDeg
	case build.TargetTransferDuration:
		return n.TransferDurationDeg
	case build.TargetIntakeOpens:
		return n.IntakeOpensDeg
	case build.TargetIntakeDuration:
		return n.IntakeDurationDeg
	case build.TargetBlowdown:
		return n.BlowdownDeg
	case build.TargetTrappedRatio:
		return n.TrappedRatio
	case build.TargetGeometricRatio:
		return n.GeometricRatio
	}
	return nil
}
