package build

import "portwright/engine/unit"

// A Part is an object of the document: Build, Engine, Window, Wheel, Pass,
// StopCheck, Reading, Correction, or of the plan. Each lists its fields once, in the order
// in which they stand in a file; the same list reads and writes.
type Part interface {
	fields(v visitor)
	extra() *Extra
}

// A visitor is handed every known field of a part, in order.
type visitor interface {
	text(key string, p *string)
	flag(key string, p *bool)
	whole(key string, p *int) // 0 is the same as not given
	number(key string, p **float64)
	plain(key string, p *float64) // 0 is the same as not given
	length(key string, p **unit.Length)
	value(key string, p *unit.Length) // a reading: must be given; a bare number has no unit
	lengths(key string, p *[]unit.Length)
	numbers(key string, p *[]float64)
	wholes(key string, p *[]int)
	texts(key string, p *[]string)
	part(key string, p Part)
	some(key string, p Part) // left out when there is nothing in it
	own(key string, p Part)  // likewise, and set as a whole
	list(key string, l list)
	rows(key string, l list) // a list that is set as a whole
	targets(p *[]Target)
	room(key string, p **Room)
}

// list is a slice of parts seen without its element type.
type list interface {
	size() int
	at(i int) Part
	grow() Part
	clear()
}

type listOf[T any, P interface {
	*T
	Part
}] struct{ s *[]T }

func (l listOf[T, P]) size() int     { return len(*l.s) }
func (l listOf[T, P]) clear()        { *l.s = nil }
func (l listOf[T, P]) at(i int) Part { return P(&(*l.s)[i]) }
func (l listOf[T, P]) grow() Part {
	var zero T
	*l.s = append(*l.s, zero)
	return l.at(len(*l.s) - 1)
}

func (b *Build) extra() *Extra      { return &b.Extra }
func (e *Engine) extra() *Extra     { return &e.Extra }
func (w *Window) extra() *Extra     { return &w.Extra }
func (w *Wheel) extra() *Extra      { return &w.Extra }
func (p *Pass) extra() *Extra       { return &p.Extra }
func (s *StopCheck) extra() *Extra  { return &s.Extra }
func (r *Reading) extra() *Extra    { return &r.Extra }
func (c *Correction) extra() *Extra { return &c.Extra }

func (b *Build) fields(v visitor) {
	v.text("format", &b.Format)
	v.whole("version", &b.Version)
	v.text("id", &b.ID)
	v.text("number", &b.Number)
	v.text("name", &b.Name)
	v.text("note", &b.Note)
	v.flag("demo", &b.Demo)
	v.text("state", &b.State)
	v.part("engine", &b.Engine)
	v.list("windows", listOf[Window, *Window]{&b.Windows})
	v.part("wheel", &b.Wheel)
	v.list("passes", listOf[Pass, *Pass]{&b.Passes})
	v.some("targets", &b.Targets)
	v.some("moves_allowed", &b.Allowed)
	v.some("limits", &b.Limits)
	v.some("rules", &b.Rules)
	v.rows("moves", listOf[Move, *Move]{&b.Moves})
	v.list("bites", listOf[Bite, *Bite]{&b.Bites})
}

func (e *Engine) fields(v visitor) {
	v.whole("cylinders", &e.Cylinders)
	v.length("bore_mm", &e.Bore)
	v.length("stroke_mm", &e.Stroke)
	v.length("rod_mm", &e.Rod)
	v.length("pin_offset_mm", &e.PinOffset)
	v.text("intake", &e.Intake)
	v.length("base_gasket_mm", &e.BaseGasket)
	v.length("crown_below_deck_mm", &e.CrownBelowDeck)
	v.length("skirt_intake_mm", &e.SkirtIntake)
	v.length("skirt_exhaust_mm", &e.SkirtExhaust)
	v.lengths("squish_mm", &e.Squish)
	v.length("squish_band_width_mm", &e.SquishBandWidth)
	v.length("squish_wire_mm", &e.SquishWire)
	v.number("chamber_cc", &e.ChamberCC)
	v.number("crankcase_cc", &e.CrankcaseCC)
	v.length("ring_height_mm", &e.RingHeight)
	v.length("ring_below_crown_mm", &e.RingBelowCrown)
	v.length("carburettor_bore_mm", &e.CarburettorBore)
	v.number("muffler_outlet_mm2", &e.MufflerOutletMM2)
	v.number("muffler_volume_cc", &e.MufflerVolumeCC)
	v.length("stroke_u_mm", &e.StrokeUncertainty)
	v.length("rod_u_mm", &e.RodUncertainty)
	v.number("speed_rpm", &e.SpeedRPM)
}

func (w *Window) fields(v visitor) {
	v.text("id", &w.ID)
	v.text("name", &w.Name)
	v.text("kind", &w.Kind)
	v.length("chord_mm", &w.Chord)
	v.length("height_mm", &w.Height)
	v.length("corner_top_mm", &w.CornerTop)
	v.length("corner_bottom_mm", &w.CornerBottom)
	v.whole("count", &w.Count)
	v.length("arch_mm", &w.Arch)
	v.whole("bridges", &w.Bridges)
	v.length("bridge_mm", &w.Bridge)
	v.number("aim_deg", &w.AimDeg)
	v.number("upsweep_deg", &w.UpsweepDeg)
}

func (w *Wheel) fields(v visitor) {
	v.text("numbering", &w.Numbering)
	v.text("numbers", &w.Numbers)
	v.number("step_deg", &w.StepDeg)
	v.length("diameter_mm", &w.Diameter)
}

func (p *Pass) fields(v visitor) {
	v.text("id", &p.ID)
	v.text("name", &p.Name)
	v.whole("cylinder", &p.Cylinder)
	v.text("habit", &p.Habit)
	v.own("wheel", &p.Wheel)
	v.number("usual_scatter_deg", &p.UsualScatterDeg)
	v.number("usual_scatter_df", &p.UsualScatterDF)
	v.lengths("squish_mm", &p.Squish)
	v.number("chamber_cc", &p.ChamberCC)
	v.text("note", &p.Note)
	v.list("stops", listOf[StopCheck, *StopCheck]{&p.Stops})
	v.list("readings", listOf[Reading, *Reading]{&p.Readings})
	v.list("corrections", listOf[Correction, *Correction]{&p.Corrections})
}

func (s *StopCheck) fields(v visitor) {
	v.text("id", &s.ID)
	v.text("when", &s.When)
	v.text("near", &s.Near)
	v.numbers("readings", &s.Readings)
	v.text("way", &s.Way)
	v.text("struck", &s.Struck)
	v.texts("ids", &s.IDs)
	v.texts("at", &s.At)
	v.text("device", &s.Device)
}

func (r *Reading) fields(v visitor) {
	v.text("id", &r.ID)
	v.text("window", &r.Window)
	v.text("event", &r.Event)
	v.value("value", &r.Value)
	v.text("method", &r.Method)
	v.length("feeler_mm", &r.FeelerMM)
	v.text("side", &r.Side)
	v.whole("quarter", &r.Quarter)
	v.text("struck", &r.Struck)
	v.text("at", &r.At)
	v.text("device", &r.Device)
}

func (c *Correction) fields(v visitor) {
	v.text("id", &c.ID)
	v.text("code", &c.Code)
	v.text("kind", &c.Kind)
	v.plain("by_deg", &c.ByDeg)
	v.plain("by_mm", &c.ByMM)
	v.plain("factor", &c.Factor)
	v.text("field", &c.Field)
	v.whole("after", &c.After)
	v.text("after_id", &c.AfterID)
	v.wholes("readings", &c.Readings)
	v.texts("ids", &c.IDs)
}

// knownKeys returns the keys that this version knows in a part.
func knownKeys(p Part) map[string]bool {
	k := keySet{}
	p.fields(k)
	return k
}

type keySet map[string]bool

func (k keySet) text(key string, _ *string)           { k[key] = true }
func (k keySet) flag(key string, _ *bool)             { k[key] = true }
func (k keySet) whole(key string, _ *int)             { k[key] = true }
func (k keySet) number(key string, _ **float64)       { k[key] = true }
func (k keySet) plain(key string, _ *float64)         { k[key] = true }
func (k keySet) length(key string, _ **unit.Length)   { k[key] = true }
func (k keySet) value(key string, _ *unit.Length)     { k[key] = true }
func (k keySet) lengths(key string, _ *[]unit.Length) { k[key] = true }
func (k keySet) numbers(key string, _ *[]float64)     { k[key] = true }
func (k keySet) wholes(key string, _ *[]int)          { k[key] = true }
func (k keySet) texts(key string, _ *[]string)        { k[key] = true }
func (k keySet) part(key string, _ Part)              { k[key] = true }
func (k keySet) some(key string, _ Part)              { k[key] = true }
func (k keySet) own(key string, _ Part)               { k[key] = true }
func (k keySet) list(key string, _ list)              { k[key] = true }
func (k keySet) rows(key string, _ list)              { k[key] = true }

// ignore is a visitor that does nothing, for others to build on.
type ignore struct{}

func (ignore) text(string, *string)           {}
func (ignore) flag(string, *bool)             {}
func (ignore) whole(string, *int)             {}
func (ignore) number(string, **float64)       {}
func (ignore) plain(string, *float64)         {}
func (ignore) length(string, **unit.Length)   {}
func (ignore) value(string, *unit.Length)     {}
func (ignore) lengths(string, *[]unit.Length) {}
func (ignore) numbers(string, *[]float64)     {}
func (ignore) wholes(string, *[]int)          {}
func (ignore) texts(string, *[]string)        {}
func (ignore) part(string, Part)              {}
func (ignore) some(string, Part)              {}
func (ignore) own(string, Part)               {}
func (ignore) list(string, list)              {}
func (ignore) rows(string, list)              {}
func (ignore) targets(*[]Target)              {}
func (ignore) room(string, **Room)            {}
