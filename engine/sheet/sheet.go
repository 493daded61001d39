package sheet

import (
	"strconv"
	"strings"

	"portwright/engine/build"
	"portwright/engine/draw"
	"portwright/engine/findings"
	"portwright/engine/plan"
	"portwright/engine/port"
	"portwright/engine/unit"
)

// Options say what goes on a sheet beside the build itself.
type Options struct {
	Findings findings.Options
	Plan     *plan.Result // of the same build; nil: nothing is planned
	NoPlan   string       // why there is none though the build has targets
	Date     string       // as it is to be printed; "": left out
	Device   string       // that made the sheet; "": those that took the readings
	Digest   string       // of the build file, with the name of its method; "": left out
}

// Sheet is the record, worded and ready to be set.
type Sheet struct {
	Number, Name, Note, State string
	Demo                      bool
	Date, Device, Digest      string
	Readings, Struck          int // that count, and that were struck out
	Engine                    []Pair
	WindowSizes               []Pair
	Cylinders                 []Cylinder
	Plan                      *Cuts
	NoPlan                    string
	Made                      []Bite
	Wheel                     Picture
}

// Pair is a name and what is known of it.
type Pair struct{ Name, Value string }

// Picture is a drawing with its words. WidthMM, where above 0, is how wide it
// is at full size.
type Picture struct {
	SVG, Caption string
	Rows         []string // its key
	Wide         bool     // takes a row of its own
	WidthMM      float64
}

// Cylinder is what is known of one cylinder: its states side by side, what is
// to be settled, pictures.
type Cylinder struct {
	Number   int
	States   []State // first, last and the aim, as far as there are such
	Table    Table   // the same side by side
	Problems []Problem
	Applied  []string
	Needs    []string
	Notes    []Pair // of the passes, as somebody wrote them
	Pictures []Picture
}

// Problem is an open finding of a pass.
type Problem struct{ Pass, Title, Text string }

// New collects the sheet of a build. Errors are those of findings.Run.
func New(b *build.Build, opt Options) (*Sheet, error) {
	r, err := findings.Run(b, opt.Findings)
	if err != nil {
		return nil, err
	}
	measured, b, err := findings.Measure(b, opt.Findings)
	if err != nil {
		return nil, err
	}
	s := &Sheet{Number: b.Number, Name: b.Name, Note: b.Note, State: b.State, Demo: b.Demo,
		Date: opt.Date, Device: opt.Device, Digest: opt.Digest, NoPlan: opt.NoPlan, Made: bitesOf(b)}
	s.count(b)
	engine, geo := b.Engine, (*port.Geometry)(nil)
	if len(measured) > 0 {
		engine, geo = measured[0].Engine, measured[0].Crank
	}
	s.Engine = engineRows(&engine, geo)
	s.WindowSizes = windowRows(b)
	s.Wheel = Picture{SVG: draw.Wheel(b.Wheel), Caption: draw.WheelText(b.Wheel) + "."}
	w := &work{b: b, measured: measured, results: r.Passes, comparisons: r.Comparisons, plan: opt.Plan}
	for n := 1; n <= max(b.Engine.Cylinders, 1); n++ {
		s.Cylinders = append(s.Cylinders, w.cylinder(n))
	}
	if opt.Plan != nil {
		s.Plan = cutsOf(opt.Plan)
	}
	return s, nil
}

// count counts readings and names the devices that took them.
func (s *Sheet) count(b *build.Build) {
	var devices []string
	from := func(device string) {
		for _, d := range devices {
			if d == device {
				return
			}
		}
		if device != "" {
			devices = append(devices, device)
		}
	}
	for i := range b.Passes {
		for k := range b.Passes[i].Stops {
			c := &b.Passes[i].Stops[k]
			from(c.Device)
			if c.Struck == "" {
				s.Readings += len(c.Readings)
			} else {
				s.Struck += len(c.Readings)
			}
		}
		for k := range b.Passes[i].Readings {
			from(b.Passes[i].Readings[k].Device)
			if b.Passes[i].Readings[k].Struck == "" {
				s.Readings++
			} else {
				s.Struck++
			}
		}
	}
	if s.Device == "" {
		s.Device = strings.Join(devices, ", ")
	}
}

const notKnown = "not known"

// sizesNote says what holds of the sizes without a doubt beside them.
const sizesNote = "Where no ± stands, the doubt of a size is not known."

// engineRows lists the engine as measured before all work, what is not known
// included. Bore, stroke, rod, offset, squish and chamber carry the doubt that
// results are worked out with, and where nobody gave that doubt it says so; geo
// is nil where the stroke is not known.
func engineRows(e *build.Engine, geo *port.Geometry) []Pair {
	with := func(known bool, text string, u float64, of string, given *unit.Length) string {
		if !known || !(u > 0) {
			return text
		}
		text += " " + draw.Doubt(2*u, 2) + of
		if given == nil || !(given.Value > 0) {
			text += ", doubt assumed"
		}
		return text
	}
	strokeU, rodU, offsetU := 0.0, 0.0, 0.0
	if geo != nil {
		strokeU, rodU, offsetU = geo.StrokeU, geo.RodU, geo.OffsetU
	}
	length := func(l *unit.Length) string {
		switch {
		case l == nil:
			return notKnown
		case l.Unit == "" || l.Unit == unit.MM:
			return unit.Plain(l.Value, 3) + " mm"
		}
		return l.String() + " (" + unit.Plain(l.MM(), 2) + " mm)"
	}
	number := func(v *float64, of string) string {
		if v == nil {
			return notKnown
		}
		return unit.Plain(*v, 2) + " " + of
	}
	squish := notKnown
	if len(e.Squish) > 0 {
		var all []string
		for _, l := range e.Squish {
			all = append(all, unit.Plain(l.MM(), 2))
		}
		squish = strings.Join(all, ", ") + " mm"
	}
	intake := map[string]string{build.IntakePistonPort: "piston port", build.IntakeReed: "reed", build.IntakeRotaryValve: "rotary valve", build.IntakeNone: "none"}[e.Intake]
	if intake == "" {
		intake = notKnown
	}
	return []Pair{{"Bore", with(e.Bore != nil, length(e.Bore), port.DefaultBoreU, " mm", nil)}, {"Stroke", with(e.Stroke != nil, length(e.Stroke), strokeU, " mm", e.StrokeUncertainty)},
		{"Rod", with(e.Rod != nil, length(e.Rod), rodU, " mm", e.RodUncertainty)}, {"Pin offset", with(e.PinOffset != nil, length(e.PinOffset), offsetU, " mm", nil)},
		{"Intake", intake}, {"Base gasket", length(e.BaseGasket)}, {"Crown below the deck at TDC", length(e.CrownBelowDeck)},
		{"Skirt, intake side", length(e.SkirtIntake)}, {"Skirt, exhaust side", length(e.SkirtExhaust)},
		{"Squish, pin axis first", with(len(e.Squish) > 0, squish, plan.SquishU, " mm", nil)}, {"Squish band", length(e.SquishBandWidth)}, {"Chamber at TDC", with(e.ChamberCC != nil, number(e.ChamberCC, "cc"), plan.ChamberU, " cc", nil)},
		{"Crankcase at BDC", number(e.CrankcaseCC, "cc")}, {"Ring height", length(e.RingHeight)}, {"Ring below the crown", length(e.RingBelowCrown)},
		{"Carburettor bore", length(e.CarburettorBore)}, {"Muffler outlet", number(e.MufflerOutletMM2, "mm²")}, {"Muffler volume", number(e.MufflerVolumeCC, "cc")},
		{"Working speed", number(e.SpeedRPM, "rpm")}}
}

// windowRows lists the windows' sizes before all cuts.
func windowRows(b *build.Build) []Pair {
	var out []Pair
	for i := range b.Windows {
		w := &b.Windows[i]
		text := notKnown
		if w.Chord != nil && w.Height != nil {
			text = unit.Plain(w.Chord.MM(), 2) + " × " + unit.Plain(w.Height.MM(), 2) + " mm, corners " + orNot(w.CornerTop) + " above, " + orNot(w.CornerBottom) + " below"
			if w.Bridges > 0 {
				text += ", bridges: " + strconv.Itoa(w.Bridges)
			}
			if w.Count > 1 {
				text = strconv.Itoa(w.Count) + " of " + text
			}
		}
		out = append(out, Pair{w.Name, text})
	}
	return out
}

func orNot(l *unit.Length) string {
	if l == nil {
		return notKnown
	}
	return unit.Plain(l.MM(), 2) + " mm"
}
