package build

import "portwright/engine/unit"

// Target is one number that the work is to reach. A bare value is degrees, a
// ratio or, under a key that ends in _mm, millimetres.
type Target struct {
	Key   string
	Value unit.Length
}

// Targets are wishes in the user's order, the first the most important: the
// order in which they stand in the file.
type Targets struct {
	List  []Target
	Extra Extra
}

// Keys of targets. Angles are degrees after TDC; a duration and an opening of
// one window are two ways to say the same.
const (
	TargetSquish           = "squish_mm"
	TargetExhaustOpens     = "exhaust_opens_deg"
	TargetExhaustDuration  = "exhaust_duration_deg"
	TargetTransferOpens    = "transfer_opens_deg"
	TargetTransferDuration = "transfer_duration_deg"
	TargetIntakeOpens      = "intake_opens_deg"
	TargetIntakeDuration   = "intake_duration_deg"
	TargetBlowdown         = "blowdown_deg"
	TargetTrappedRatio     = "trapped_ratio"
	TargetGeometricRatio   = "geometric_ratio"
)

// TargetKeys returns every key of a target.
func TargetKeys() []string {
	return []string{TargetSquish, TargetExhaustOpens, TargetExhaustDuration, TargetTransferOpens, TargetTransferDuration,
		TargetIntakeOpens, TargetIntakeDuration, TargetBlowdown, TargetTrappedRatio, TargetGeometricRatio}
}

// Names of moves.
const (
	MoveBaseGasket    = "base_gasket"
	MoveBaseCut       = "base_cut"
	MoveBandCut       = "band_cut"
	MoveCrownCut      = "crown_cut"
	MoveExhaustRoof   = "exhaust_roof"
	MoveTransferRoof  = "transfer_roof"
	MoveIntakeFloor   = "intake_floor"
	MoveIntakeSkirt   = "intake_skirt"
	MoveExhaustWidth  = "exhaust_width"
	MoveMufflerOutlet = "muffler_outlet"
)

// MoveNames returns the name of every move, in the order of work: what moves
// all windows first.
func MoveNames() []string {
	return []string{MoveBaseGasket, MoveBaseCut, MoveBandCut, MoveCrownCut, MoveExhaustRoof, MoveTransferRoof, MoveIntakeFloor,
		MoveIntakeSkirt, MoveExhaustWidth, MoveMufflerOutlet}
}

// Room is how much of a move is allowed.
type Room struct {
	Max   *unit.Length // from the engine as it was received, bites made already counted; nil: no limit but the rest
	Step  *unit.Length // the least that the tool takes off for certain; nil: 0.05 mm for ports, 0.01 mm for the lathe
	Extra Extra
}

// Allowed says which moves may be used; one that is nil may not.
type Allowed struct {
	BaseGaskets  []unit.Length // thicknesses at hand, 0 for none; empty: the gasket stays
	BaseCut      *Room
	BandCut      *Room
	CrownCut     *Room
	ExhaustRoof  *Room
	TransferRoof *Room
	IntakeFloor  *Room
	IntakeSkirt  *Room
	Extra        Extra
}

// Limits must never be crossed, whatever the targets. Nil: none.
type Limits struct {
	SquishMin           *unit.Length
	ExhaustDurationMax  *float64 // deg
	TransferDurationMax *float64 // deg
	IntakeDurationMax   *float64 // deg
	BlowdownMin         *float64 // deg
	GeometricRatioMax   *float64
	TrappedRatioMax     *float64
	SealLandMin         *unit.Length // of the skirt under the exhaust's floor at TDC
	Extra               Extra
}

// Rules are rules of thumb: they warn and never stop anything. Nil: the usual
// value of package plan; 0: not asked.
type Rules struct {
	SquishLeast         *unit.Length
	ExhaustDurationMost *float64 // deg; of a piston-port engine
	IntakeDurationMost  *float64 // deg; of a piston-port intake
	GeometricRatioMost  *float64
	TrappedRatioMost    *float64
	SquishVelocityMost  *float64 // m/s at the engine's speed
	SealLandLeast       *unit.Length
	RingBelowDeckLeast  *unit.Length
	FloorShroudMost     *unit.Length
	RingLandLeast       *unit.Length // of crown above the ring, once it was cut
	Extra               Extra
}

// Move is one operation in full: a planned cut, or a what-if. ByMM is what
// comes off; a gasket is given by ToMM, the outlet of a muffler by ToMM2.
type Move struct {
	Move   string       `json:"move"`
	Window string       `json:"window,omitempty"` // the window's name; "" where there is one of the kind, or all alike
	ByMM   *unit.Length `json:"by_mm,omitempty"`
	ToMM   *unit.Length `json:"to_mm,omitempty"`
	ToMM2  *float64     `json:"to_mm2,omitempty"`
	Extra  Extra        `json:"-"`
}

// Bite is metal that was taken off, or a part that was changed, as measured.
// It is never altered, only struck out with a reason.
type Bite struct {
	ID string `json:"id,omitempty"`
	Move
	Pass     string `json:"pass,omitempty"`     // name of the last pass read before it; "": before all passes
	Cylinder int    `json:"cylinder,omitempty"` // 0 means 1
	Struck   string `json:"struck,omitempty"`
	At       string `json:"at,omitempty"` // RFC 3339
	Device   string `json:"device,omitempty"`
}

func (t *Targets) extra() *Extra { return &t.Extra }
func (r *Room) extra() *Extra    { return &r.Extra }
func (a *Allowed) extra() *Extra { return &a.Extra }
func (l *Limits) extra() *Extra  { return &l.Extra }
func (r *Rules) extra() *Extra   { return &r.Extra }
func (m *Move) extra() *Extra    { return &m.Extra }

func (t *Targets) fields(v visitor) { v.targets(&t.List) }

func (r *Room) fields(v visitor) {
	v.length("max", &r.Max)
	v.length("step", &r.Step)
}

func (a *Allowed) fields(v visitor) {
	v.lengths("base_gaskets_mm", &a.BaseGaskets)
	for _, m := range a.Rooms() {
		v.room(m.Key(), m.Room)
	}
}

// RoomOf is the room of one move.
type RoomOf struct {
	Move string
	Room **Room
}

// Key is the field's key in the file.
func (r RoomOf) Key() string { return r.Move + "_mm" }

// Rooms lists the rooms of all moves that have one, in the order of work.
func (a *Allowed) Rooms() []RoomOf {
	return []RoomOf{{MoveBaseCut, &a.BaseCut}, {MoveBandCut, &a.BandCut}, {MoveCrownCut, &a.CrownCut}, {MoveExhaustRoof, &a.ExhaustRoof},
		{MoveTransferRoof, &a.TransferRoof}, {MoveIntakeFloor, &a.IntakeFloor}, {MoveIntakeSkirt, &a.IntakeSkirt}}
}

func (l *Limits) fields(v visitor) {
	v.length("squish_min_mm", &l.SquishMin)
	v.number("exhaust_duration_max_deg", &l.ExhaustDurationMax)
	v.number("transfer_duration_max_deg", &l.TransferDurationMax)
	v.number("intake_duration_max_deg", &l.IntakeDurationMax)
	v.number("blowdown_min_deg", &l.BlowdownMin)
	v.number("geometric_ratio_max", &l.GeometricRatioMax)
	v.number("trapped_ratio_max", &l.TrappedRatioMax)
	v.length("seal_land_min_mm", &l.SealLandMin)
}

func (r *Rules) fields(v visitor) {
	v.length("squish_least_mm", &r.SquishLeast)
	v.number("exhaust_duration_most_deg", &r.ExhaustDurationMost)
	v.number("intake_duration_most_deg", &r.IntakeDurationMost)
	v.number("geometric_ratio_most", &r.GeometricRatioMost)
	v.number("trapped_ratio_most", &r.TrappedRatioMost)
	v.number("squish_velocity_most_m_s", &r.SquishVelocityMost)
	v.length("seal_land_least_mm", &r.SealLandLeast)
	v.length("ring_below_deck_least_mm", &r.RingBelowDeckLeast)
	v.length("floor_shroud_most_mm", &r.FloorShroudMost)
	v.length("ring_land_least_mm", &r.RingLandLeast)
}

func (m *Move) fields(v visitor) {
	v.text("move", &m.Move)
	v.text("window", &m.Window)
	v.length("by_mm", &m.ByMM)
	v.length("to_mm", &m.ToMM)
	v.number("to_mm2", &m.ToMM2)
}

func (b *Bite) fields(v visitor) {
	v.text("id", &b.ID)
	b.Move.fields(v)
	v.text("pass", &b.Pass)
	v.whole("cylinder", &b.Cylinder)
	v.text("struck", &b.Struck)
	v.text("at", &b.At)
	v.text("device", &b.Device)
}

func (k keySet) targets(*[]Target) {
	for _, key := range TargetKeys() {
		k[key] = true
	}
}

// targets reads the fields that are targets in the order in which they stand.
func (r *reader) targets(p *[]Target) {
	keys := TargetKeys()
	for i, f := range r.fs {
		for _, key := range keys {
			if f.Key == key {
				r.used[i] = true
				r.target(key, f.Value, p)
			}
		}
	}
}

// target sets one target; null takes it out. One that is there keeps its place.
func (r *reader) target(key string, raw []byte, p *[]Target) {
	at := len(*p)
	for i := range *p {
		if (*p)[i].Key == key {
			at = i
		}
	}
	var v unit.Length
	switch ok := true; {
	case kindOf(raw) == 'n':
		if at < len(*p) {
			*p = append((*p)[:at:at], (*p)[at+1:]...)
		}
		return
	case isMM(key):
		if v, ok = r.lengthOf(key, raw, unit.MM, lengthWanted); !ok {
			return
		}
	default:
		if v.Value, ok = r.numberOf(key, raw); !ok {
			return
		}
	}
	if at == len(*p) {
		*p = append(*p, Target{Key: key})
	}
	(*p)[at].Value = v
}

func isMM(key string) bool { return len(key) > 3 && key[len(key)-3:] == "_mm" }

func (w *writer) targets(p *[]Target) {
	for _, t := range *p {
		if w.writable(t.Key, t.Value) {
			w.put(t.Key, LengthJSON(t.Value))
		}
	}
}

func (r *reader) room(key string, p **Room) {
	raw, ok := r.take(key)
	if !ok {
		return
	}
	*p = nil
	if kindOf(raw) == '0' {
		r.problems.add(r.path(key), clip(raw), "must be an object; write {\"max\": "+clip(raw)+"} for a bound of that, {} for none")
		return
	}
	if kindOf(raw) != 'n' {
		*p = &Room{}
		sub := &reader{problems: r.problems, parent: r, name: key, place: -1}
		sub.readPart(raw, *p)
	}
}

func (w *writer) room(key string, p **Room) {
	if *p != nil {
		sub := &writer{problems: w.problems, path: w.at(key)}
		w.put(key, object(sub.withExtra(*p)))
	}
}

func (k keySet) room(key string, _ **Room) { k[key] = true }
