// Package build is the build file: one engine's work from receipt to hand-back
// as a document (version 1). Decode and Encode lose nothing: fields that this
// version does not know are kept in Extra and written back.
//
// Lengths are millimetres unless given as {"in":x} or {"thou":x}; angles are
// degrees. A value that is not known is left out or null, here a nil pointer.
package build

import (
	"encoding/json"

	"portwright/engine/unit"
)

// Format and Version mark a build file.
const (
	Format  = "portwright-build"
	Version = 1
)

// Extra holds the fields of an object that this version does not know.
type Extra map[string]json.RawMessage

// Build is the document.
type Build struct {
	Format  string   `json:"format"`
	Version int      `json:"version"`
	ID      string   `json:"id,omitempty"`
	Number  string   `json:"number,omitempty"`
	Name    string   `json:"name,omitempty"`
	Note    string   `json:"note,omitempty"`
	Demo    bool     `json:"demo,omitempty"`  // invented data, shown as such
	State   string   `json:"state,omitempty"` // in the shop's own words, e.g. "waiting for gaskets"
	Engine  Engine   `json:"engine"`
	Windows []Window `json:"windows,omitempty"`
	Wheel   Wheel    `json:"wheel"`
	Passes  []Pass   `json:"passes,omitempty"`
	Targets Targets  `json:"targets"`
	Allowed Allowed  `json:"moves_allowed"`
	Limits  Limits   `json:"limits"`
	Rules   Rules    `json:"rules"`
	Moves   []Move   `json:"moves,omitempty"` // planned in full; with them a plan looks at what they come to, not for others
	Bites   []Bite   `json:"bites,omitempty"` // in the order made
	Extra   Extra    `json:"-"`
}

// Intake kinds.
const (
	IntakePistonPort  = "piston_port"
	IntakeReed        = "reed"
	IntakeRotaryValve = "rotary_valve"
	IntakeNone        = "none"
)

// Engine is the measured geometry. Nil means not known.
type Engine struct {
	Cylinders         int           `json:"cylinders,omitempty"` // 0 means 1
	Bore              *unit.Length  `json:"bore_mm,omitempty"`
	Stroke            *unit.Length  `json:"stroke_mm,omitempty"`
	Rod               *unit.Length  `json:"rod_mm,omitempty"`
	PinOffset         *unit.Length  `json:"pin_offset_mm,omitempty"` // handbook 1.1: positive towards the crank pin's side on the downstroke
	Intake            string        `json:"intake,omitempty"`
	BaseGasket        *unit.Length  `json:"base_gasket_mm,omitempty"`
	CrownBelowDeck    *unit.Length  `json:"crown_below_deck_mm,omitempty"` // at TDC; negative when proud
	SkirtIntake       *unit.Length  `json:"skirt_intake_mm,omitempty"`     // crown edge to skirt bottom
	SkirtExhaust      *unit.Length  `json:"skirt_exhaust_mm,omitempty"`
	Squish            []unit.Length `json:"squish_mm,omitempty"` // one per place, pin axis first
	SquishBandWidth   *unit.Length  `json:"squish_band_width_mm,omitempty"`
	SquishWire        *unit.Length  `json:"squish_wire_mm,omitempty"` // diameter of the wire that was crushed
	ChamberCC         *float64      `json:"chamber_cc,omitempty"`     // clearance volume at TDC
	CrankcaseCC       *float64      `json:"crankcase_cc,omitempty"`   // at BDC
	RingHeight        *unit.Length  `json:"ring_height_mm,omitempty"`
	RingBelowCrown    *unit.Length  `json:"ring_below_crown_mm,omitempty"`
	CarburettorBore   *unit.Length  `json:"carburettor_bore_mm,omitempty"`
	MufflerOutletMM2  *float64      `json:"muffler_outlet_mm2,omitempty"`
	MufflerVolumeCC   *float64      `json:"muffler_volume_cc,omitempty"`
	StrokeUncertainty *unit.Length  `json:"stroke_u_mm,omitempty"` // standard uncertainty; nil: 0.02 mm
	RodUncertainty    *unit.Length  `json:"rod_u_mm,omitempty"`    // standard uncertainty; nil: 0.1 mm
	SpeedRPM          *float64      `json:"speed_rpm,omitempty"`   // at which it works
	Extra             Extra         `json:"-"`
}

// Window kinds.
const (
	KindExhaust  = "exhaust"
	KindTransfer = "transfer"
	KindBoost    = "boost"
	KindIntake   = "intake"
)

// Window is one opening in the cylinder wall. The same windows are read in
// every cylinder.
type Window struct {
	ID           string       `json:"id,omitempty"` // set by the book; files written by hand go by name
	Name         string       `json:"name"`
	Kind         string       `json:"kind"`
	Chord        *unit.Length `json:"chord_mm,omitempty"`
	Height       *unit.Length `json:"height_mm,omitempty"`
	CornerTop    *unit.Length `json:"corner_top_mm,omitempty"`
	CornerBottom *unit.Length `json:"corner_bottom_mm,omitempty"`
	Count        int          `json:"count,omitempty"`
	Arch         *unit.Length `json:"arch_mm,omitempty"` // how far the middle of the roof stands above its ends
	Bridges      int          `json:"bridges,omitempty"`
	Bridge       *unit.Length `json:"bridge_mm,omitempty"`   // width of each
	AimDeg       *float64     `json:"aim_deg,omitempty"`     // duct against the radial direction
	UpsweepDeg   *float64     `json:"upsweep_deg,omitempty"` // duct against the horizontal
	Extra        Extra        `json:"-"`
}

// Wheel numberings and directions.
const (
	Numbering360  = "0-360"
	Numbering180  = "0-180-0"
	Numbering90   = "0-90-0-90"
	NumbersRise   = "rise"
	NumbersFall   = "fall"
	HabitTDCZero  = "tdc_zero"
	HabitOpenZero = "open_zero"
	HabitDepth    = "depth"
)

// Wheel is the timing wheel. The zero value means 0-360, rising, and a step
// that is not known (0.5 is assumed and said).
type Wheel struct {
	Numbering string       `json:"numbering,omitempty"`
	Numbers   string       `json:"numbers,omitempty"` // rise or fall as the engine turns its running way
	StepDeg   *float64     `json:"step_deg,omitempty"`
	Diameter  *unit.Length `json:"diameter_mm,omitempty"`
	Extra     Extra        `json:"-"`
}

// WheelOf is the wheel that a pass was read on: its own where it names one, else
// the build's. A nil pass is one that is still to come.
func (b *Build) WheelOf(p *Pass) Wheel {
	if p == nil || p.Wheel.Numbering == "" && p.Wheel.Numbers == "" && p.Wheel.StepDeg == nil && p.Wheel.Diameter == nil {
		return b.Wheel
	}
	return p.Wheel
}

// Pass is one full set of readings of one cylinder in one state.
type Pass struct {
	ID       string `json:"id,omitempty"`
	Name     string `json:"name"`
	Cylinder int    `json:"cylinder,omitempty"` // 0 means 1
	Habit    string `json:"habit,omitempty"`    // "" means tdc_zero
	Wheel    Wheel  `json:"wheel,omitempty"`    // that it was read on, where it is not the build's; see WheelOf
	// How one reading of the person's other builds scattered when the pass was
	// begun, and the degrees of freedom of that; both or neither.
	UsualScatterDeg *float64 `json:"usual_scatter_deg,omitempty"`
	UsualScatterDF  *float64 `json:"usual_scatter_df,omitempty"`

	Squish      []unit.Length `json:"squish_mm,omitempty"`  // as in Engine, measured in this state; the engine's own was measured before all bites
	ChamberCC   *float64      `json:"chamber_cc,omitempty"` // likewise
	Note        string        `json:"note,omitempty"`       // of this state: ignition, cranking pressure, jets, fuel, weather
	Stops       []StopCheck   `json:"stops,omitempty"`
	Readings    []Reading     `json:"readings,omitempty"`
	Corrections []Correction  `json:"corrections,omitempty"` // remedies consented to, in order
	Extra       Extra         `json:"-"`
}

// StopCheck is the two readings against the positive stop, in order: reached
// turning the running way, then from the other side. One reading alone is
// allowed and is a finding (single_stop).
type StopCheck struct {
	ID       string    `json:"id,omitempty"`
	When     string    `json:"when"` // "before" or "after" the readings
	Near     string    `json:"near"` // "tdc" or "bdc"
	Readings []float64 `json:"readings"`
	Way      string    `json:"way,omitempty"`    // of a single reading: "back" when the stop was reached turning back; "" and "running" are the same
	Struck   string    `json:"struck,omitempty"` // reason; a struck check does not count
	IDs      []string  `json:"ids,omitempty"`    // of the single readings, set by the book: what a strike names
	At       []string  `json:"at,omitempty"`     // RFC 3339, one per reading, "" where not known
	Device   string    `json:"device,omitempty"`
	Extra    Extra     `json:"-"`
}

// Words of a stop check.
const (
	WhenBefore = "before"
	WhenAfter  = "after"
	NearTDC    = "tdc"
	NearBDC    = "bdc"
	WayRunning = "running"
	WayBack    = "back"
)

// Events and the piston's direction.
const (
	Opens    = "opens"
	Closes   = "closes"
	SideDown = "down"
	SideUp   = "up"
)

// Reading is one number read off the wheel, or a depth. It is never altered,
// only struck out with a reason.
type Reading struct {
	ID       string       `json:"id,omitempty"`
	Window   string       `json:"window"` // the window's name
	Event    string       `json:"event"`  // "opens" or "closes"
	Value    unit.Length  `json:"value"`  // Unit "" : degrees, or mm from the cylinder top under habit "depth"
	Method   string       `json:"method,omitempty"`
	FeelerMM *unit.Length `json:"feeler_mm,omitempty"`
	Side     string       `json:"side,omitempty"`    // piston direction, overrules the event's
	Quarter  int          `json:"quarter,omitempty"` // 1 to 4, for a 0-90-0-90 wheel
	Struck   string       `json:"struck,omitempty"`
	At       string       `json:"at,omitempty"` // RFC 3339
	Device   string       `json:"device,omitempty"`
	Extra    Extra        `json:"-"`
}

// Correction kinds: what a consented remedy does to the readings when findings
// are computed. The readings themselves stay as they were read.
const (
	CorrectShiftZero    = "shift_zero"     // TDC reads ByDeg more than assumed, for every reading of the pass
	CorrectShiftAfter   = "shift_after"    // wheel moved by ByDeg: readings from index/ID After on (inclusive) are taken back by it
	CorrectMirror       = "mirror"         // the named readings are taken from the other side of the wheel: its number n becomes ByDeg - n; ByDeg 0 stands for 180
	CorrectHalfTurn     = "half_turn"      // the named readings were counted from the other dead centre
	CorrectRenumber     = "renumber"       // the wheel is numbered as Field says ("0-90-0-90"), not as it was set up
	CorrectReverse      = "reverse"        // the numbers run the other way than was set up
	CorrectStrike       = "strike"         // the named readings do not count
	CorrectScaleUnit    = "scale_unit"     // the named field or readings are divided by Factor (a slipped decimal or unit)
	CorrectDeclareSkew  = "declare_offset" // the engine is offset by ByMM: no zero error
	CorrectUnmixMethods = "unmix_methods"  // feeler readings are corrected for the feeler's thickness
)

// Correction is a remedy that was consented to.
type Correction struct {
	ID       string   `json:"id,omitempty"`
	Code     string   `json:"code"` // the finding it answers
	Kind     string   `json:"kind"`
	ByDeg    float64  `json:"by_deg,omitempty"`
	ByMM     float64  `json:"by_mm,omitempty"`
	Factor   float64  `json:"factor,omitempty"`
	Field    string   `json:"field,omitempty"`
	After    int      `json:"after,omitempty"`    // 1-based place in Readings of the first reading that moves; 0: none
	AfterID  string   `json:"after_id,omitempty"` // the same by ID when the readings carry IDs
	Readings []int    `json:"readings,omitempty"` // 1-based places
	IDs      []string `json:"ids,omitempty"`      // the same by ID
	Extra    Extra    `json:"-"`
}
