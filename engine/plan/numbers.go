package plan

import (
	"math"

	"portwright/engine/build"
	"portwright/engine/chamber"
	"portwright/engine/port"
	"portwright/engine/timearea"
	"portwright/engine/unit"
)

// Numbers are one state of the engine; NaN is not known. Exhaust, transfer and
// intake are the windows of their kind that open first; blowdown counts to the
// first transfer or boost. Squish velocity and the specific time-areas, which are of
// all windows of a kind, are at the engine's speed.
type Numbers [numberCount]float64

// Places in Numbers.
const (
	ExhaustOpens = iota
	ExhaustDuration
	TransferOpens
	TransferDuration
	Blowdown
	IntakeOpens
	IntakeDuration
	Squish
	SquishLeast
	SquishVelocity
	Clearance
	GeometricRatio
	TrappedRatio
	CrankcaseRatio
	BaseGasket
	MufflerOutlet
	ExhaustSTA
	BlowdownSTA
	TransferSTA
	IntakeSTA
	numberCount
)

// A Number names one of Numbers: its key in a result, for a person, its unit.
type Number struct{ Key, Name, Unit string }

// NumberNames names all of Numbers in their order.
func NumberNames() [numberCount]Number {
	return [numberCount]Number{
		{build.TargetExhaustOpens, "exhaust opens", "deg"}, {build.TargetExhaustDuration, "exhaust duration", "deg"},
		{build.TargetTransferOpens, "first transfer opens", "deg"}, {build.TargetTransferDuration, "first transfer duration", "deg"},
		{build.TargetBlowdown, "blowdown", "deg"}, {build.TargetIntakeOpens, "intake opens", "deg"}, {build.TargetIntakeDuration, "intake duration", "deg"},
		{build.TargetSquish, "squish, pin axis", "mm"}, {"squish_least_mm", "squish, least", "mm"}, {"squish_velocity_m_s", "squish velocity", "m/s"},
		{"chamber_cc", "chamber", "cc"}, {build.TargetGeometricRatio, "geometric ratio", ""}, {build.TargetTrappedRatio, "trapped ratio", ""},
		{"crankcase_ratio", "crankcase ratio", ""}, {"base_gasket_mm", "base gasket", "mm"}, {"muffler_outlet_mm2", "muffler outlet", "mm2"},
		{"exhaust_sta_s_per_m", "exhaust time-area", "s/m"}, {"blowdown_sta_s_per_m", "blowdown time-area", "s/m"},
		{"transfer_sta_s_per_m", "transfer time-area", "s/m"}, {"intake_sta_s_per_m", "intake time-area", "s/m"},
	}
}

// Value returns a number by its key, NaN when it is not known.
func (n *Numbers) Value(key string) float64 {
	for i, name := range NumberNames() {
		if name.Key == key {
			return n[i]
		}
	}
	return math.NaN()
}

// MarshalJSON writes what is known as an object by key.
func (n Numbers) MarshalJSON() ([]byte, error) {
	out := []byte{'{'}
	for i, name := range NumberNames() {
		if math.IsNaN(n[i]) {
			continue
		}
		if len(out) > 1 {
			out = append(out, ',')
		}
		out = append(append(append(out, build.TextJSON(name.Key)...), ':'), build.NumberJSON(n[i])...)
	}
	return append(out, '}'), nil
}

// tidy takes float noise out of a number that is shown; what is not finite is
// not known.
func tidy(v float64) float64 {
	if math.IsInf(v, 0) {
		return math.NaN()
	}
	return unit.Tidy(v)
}

// tidied is tidy; nil when the number is not known.
func tidied(v float64) *float64 {
	if v = tidy(v); math.IsNaN(v) {
		return nil
	}
	return &v
}

// numbers describes a state.
func (e *engine) numbers(s *state) Numbers {
	var n Numbers
	for i := range n {
		n[i] = math.NaN()
	}
	n[Squish], n[SquishLeast], n[Clearance], n[BaseGasket], n[MufflerOutlet] = s.squish, s.least, s.clearance, s.gasket, s.outlet
	exhaust := e.first(s, build.KindExhaust)
	transfer := e.first(s, build.KindTransfer)
	for place, i := range [3]int{exhaust, transfer, e.first(s, build.KindIntake)} {
		if i < 0 {
			continue
		}
		if o, c, ok := e.angles(s, i); ok {
			at := [3]int{ExhaustOpens, TransferOpens, IntakeOpens}[place]
			n[at], n[at+1] = o, port.Duration(o, c)
		}
	}
	if b, ok := e.blowdown(s); ok {
		n[Blowdown] = b
	}
	swept := chamber.Displacement(e.bore, e.geo.ActualStroke())
	if s.clearance > 0 {
		n[GeometricRatio] = chamber.GeometricRatio(swept, s.clearance)
		if exhaust >= 0 {
			n[TrappedRatio] = chamber.TrappedRatio(e.bore, s.x[exhaust], s.clearance)
		}
	}
	n[CrankcaseRatio] = chamber.CrankcaseRatio(swept, e.crankcase)
	if v, _, ok := e.head(s).Velocity(e.geo.Mechanism, e.speed); ok {
		n[SquishVelocity] = v
	}
	if e.speed > 0 && swept > 0 {
		n[ExhaustSTA] = e.timeArea(s, swept, 360, build.KindExhaust)
		n[TransferSTA] = e.timeArea(s, swept, 360, build.KindTransfer, build.KindBoost)
		n[IntakeSTA] = e.timeArea(s, swept, 360, build.KindIntake)
		if i := e.first(s, build.KindTransfer, build.KindBoost); i >= 0 {
			to, _, _ := e.angles(s, i)
			n[BlowdownSTA] = e.timeArea(s, swept, to, build.KindExhaust)
		}
	}
	for i := range n {
		n[i] = tidy(n[i])
	}
	return n
}

func (e *engine) head(s *state) chamber.Head {
	return chamber.Head{Bore: e.bore, Band: e.band, Squish: s.squish, Clearance: s.clearance}
}

// shape returns a window's outline as it stands; ok is false where its size is
// not known.
func (e *engine) shape(s *state, i int) (port.Shape, bool) {
	w := &e.windows[i].doc
	shape := port.Shape{Chord: s.chord[i], Height: s.height[i], CornerTop: mmOr(w.CornerTop, 0), CornerBottom: mmOr(w.CornerBottom, 0),
		Arch: mmOr(w.Arch, 0), Bridges: w.Bridges, BridgeWidth: mmOr(w.Bridge, 0), Count: w.Count}
	return shape, shape.Check() == nil
}

// timeArea returns the specific time-area of all windows of some kinds until an
// angle, NaN where one of them is not known or there is none.
func (e *engine) timeArea(s *state, swept, until float64, kinds ...string) float64 {
	all := 0.0
	for i := range e.windows {
		w := &e.windows[i]
		if w.doc.Kind != kinds[0] && w.doc.Kind != kinds[len(kinds)-1] {
			continue
		}
		shape, ok := e.shape(s, i)
		if !ok || math.IsNaN(s.x[i]) || math.IsNaN(until) || !w.crown && !w.skirt {
			return math.NaN()
		}
		area := timearea.Window{Shape: shape, Travel: s.x[i], Skirt: w.skirt}
		from, to, err := area.Span(e.geo.Mechanism)
		if err != nil {
			return math.NaN()
		}
		all += area.Between(e.geo.Mechanism, from, math.Min(to, until))
	}
	if all == 0 {
		return math.NaN()
	}
	return timearea.Specific(all, e.speed, swept)
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

// mmOr returns a length in mm, or another number when it is not known.
func mmOr(l *unit.Length, otherwise float64) float64 {
	if l == nil {
		return otherwise
	}
	return l.MM()
}
