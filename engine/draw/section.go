package draw

import (
	"math"
	"strconv"
	"strings"

	"portwright/engine/build"
	"portwright/engine/crank"
	"portwright/engine/findings"
	"portwright/engine/wheel"
)

// Section is a cut through crank, rod, piston, cylinder and case at right
// angles to the crankshaft, to scale, with the wheel beside it. Its parts are
// drawn once; Frame says where they stand at an angle.
//
// The crown's edge at TDC is where depths begin. What nobody measures (crown
// to gudgeon pin, walls, ducts, case, webs) stands there in usual proportions,
// thin and grey; what could be measured and was not is dashed besides.
type Section struct {
	Title   string
	Text    string   // the still picture in words
	Notes   []string // what is not measured
	Parts   []Part   // from back to front
	Words   []Words  // texts that change
	Events  []Event  // in running order from TDC
	Windows []SectionWindow

	c        *Cylinder
	m        crank.Mechanism
	bore     float64
	sized    bool // bore and stroke are known: areas, volumes and the scale bar
	length   bool // the stroke is known: travel in mm
	wheel    wheel.Wheel
	tdc      float64
	zeroed   bool // the readings were counted from the wheel's TDC
	way      float64
	bdc      float64 // degrees
	sees     sight   // which kinds of window are known
	mirrored bool    // a closing was not read
	at       layout
}

// Part is a group of the picture: SVG elements without a group round them.
type Part struct {
	ID  string // of what moves or hides; "" stands still
	SVG string
}

// Words is a text of the picture that changes.
type Words struct {
	X, Y, Size float64
	Bold       bool
}

// SectionWindow is one window with its number in the picture, from 1.
type SectionWindow struct {
	Number     int
	Name, Kind string
	Drawn      bool // false: when it opens is not known, or by what

	port         Port    // with usual sizes where they are not known
	opens, open  float64 // degrees after TDC, degrees open
	roof, floor  float64 // mm below the crown's edge at TDC
	height, wide bool    // known
	doubted      bool
	cut          bool      // the cut goes through it
	flow, back   int       // places of its arrows in Parts; below 1: none
	far          bool      // it stands in the far wall
	middles      []float64 // x in the picture of each of its openings there
	wideU        float64   // width of one there, in units
}

// Dial is how the wheel stands on the crank.
type Dial struct {
	Wheel  wheel.Wheel
	TDC    float64 // place under the pointer at TDC
	Zeroed bool    // false: the readings were not counted from TDC
}

// Usual proportions where a length is not known or never measured. Common
// practice, no source; they only place ink.
const (
	usualStroke  = 40.0
	usualBore    = 1.3  // strokes
	usualRod     = 1.9  // strokes
	usualPin     = 0.55 // bores from the crown's edge to the gudgeon pin
	usualSkirt   = 1.05 // strokes from the crown's edge
	usualWall    = 0.1  // bores
	usualDuct    = 0.3  // bores
	usualSquish  = 1.0  // mm
	usualBand    = 0.12 // bores
	usualBowl    = 0.16 // bores
	usualHead    = 0.14 // bores
	usualIntake  = 0.28 // strokes, height of an intake window
	usualWeb     = 0.3  // strokes beyond the crank pin's middle
	usualCrown   = 0.1  // bores, its thickness
	usualInside  = 0.07 // bores, the skirt's thickness
	usualGudgeon = 0.11 // bores, radius
)

// NewSection returns the section of a cylinder in the state of a pass. Windows
// are matched by name. ok is false when no window's opening is known.
func NewSection(c *Cylinder, p *findings.PassResult, d Dial) (s *Section, ok bool) {
	s = &Section{c: c, wheel: d.Wheel, tdc: d.TDC, zeroed: d.Zeroed, way: -1}
	if d.Wheel.Falls {
		s.way = 1
	}
	s.setEngine()
	for i := range c.Ports {
		s.addWindow(&c.Ports[i], p)
		ok = ok || s.Windows[i].Drawn
	}
	if !ok {
		return nil, false
	}
	s.setEvents(p)
	s.setNotes()
	s.setLayout()
	s.Title = "Section, " + p.Name
	s.Text = s.say()
	s.setParts()
	return s, true
}

// setEngine fills in the mechanism and the bore, usual ones where they are not
// known.
func (s *Section) setEngine() {
	s.length = s.c.Crank != nil
	s.sized = s.length && s.c.Bore != nil && *s.c.Bore > 0
	if s.length {
		s.m = *s.c.Crank
	} else {
		s.m, _ = crank.New(usualStroke, usualRod*usualStroke, 0) // these lengths turn
	}
	s.bore = usualBore * s.m.Stroke()
	if s.c.Bore != nil && *s.c.Bore > 0 && s.length {
		s.bore = *s.c.Bore
	}
	s.bdc = s.m.BDC() * 180 / math.Pi
}

// rod says whether the rod's length is known.
func (s *Section) rod() bool { return s.length && s.c.RodKnown }

// skirt is the length from the crown's edge to the skirt's end on one side.
func (s *Section) skirt(intake bool) (mm float64, known bool) {
	v := s.c.SkirtExhaust
	if intake {
		v = s.c.SkirtIntake
	}
	if v != nil && *v > 0 && s.length {
		return *v, true
	}
	return usualSkirt * s.m.Stroke(), false
}

// addWindow places a window: its edge where the piston meets it, its size as
// known, else as usual.
func (s *Section) addWindow(p *Port, r *findings.PassResult) {
	w := SectionWindow{Number: len(s.Windows) + 1, Name: p.Name, Kind: p.Kind, port: *p}
	for i := range r.Windows {
		if x := &r.Windows[i]; x.Name == p.Name && x.OpensDeg != nil && x.DurationDeg != nil && *x.DurationDeg > 0 && *x.DurationDeg < 360 {
			w.opens, w.open, w.Drawn = *x.OpensDeg, *x.DurationDeg, finite(*x.OpensDeg)
			w.doubted = len(x.DoubtedBy) > 0
			s.mirrored = s.mirrored || x.SymmetryAssumed
		}
	}
	if w.Drawn {
		s.size(&w)
	}
	s.Windows = append(s.Windows, w)
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

// size fills in where a drawn window lies.
func (s *Section) size(w *SectionWindow) {
	p := &w.port
	stroke := s.m.ActualStroke()
	travel := s.m.Travel(w.opens * math.Pi / 180)
	if p.Travel != nil && s.length {
		travel = math.Min(math.Max(*p.Travel, 0), stroke)
	}
	w.height = p.sized() && s.length
	w.wide = w.height && s.sized && p.Shape.Chord <= s.bore
	if !w.height {
		p.Shape.Height = math.Max(stroke-travel, 0.08*stroke)
		if p.Kind == build.KindIntake {
			p.Shape.Height = usualIntake * stroke
		}
	}
	if !w.wide {
		share := map[string]float64{build.KindExhaust: 0.6, build.KindIntake: 0.5}[p.Kind]
		if share == 0 {
			share = 0.28
		}
		h := p.Shape.Height
		p.Shape.Chord, p.Shape.CornerTop, p.Shape.CornerBottom, p.Shape.Arch, p.Shape.Bridges = share*s.bore, 0, 0, 0, 0
		p.Shape.Height = h
	}
	p.Travel = &travel
	w.roof = travel
	if p.Skirt {
		skirt, _ := s.skirt(true)
		w.roof = travel + skirt - p.Shape.Height
	}
	w.floor = w.roof + p.Shape.Height
}

// SVG is the whole picture at an angle in degrees after TDC.
func (s *Section) SVG(deg float64) string {
	f := s.Frame(deg)
	var c canvas
	c.open([4]float64{0, 0, sectionWidth, sectionHeight}, "section", s.Title, s.Text+". "+f.Title+": "+f.Text)
	for i, p := range s.Parts {
		if p.ID == "" {
			c.b.WriteString("<g>" + p.SVG + "</g>")
			continue
		}
		c.b.WriteString(`<g id="` + p.ID + `" transform="` + f.Poses[i].Transform + `" visibility="` + f.Poses[i].Visibility() + `">` + p.SVG + "</g>")
	}
	for i, w := range s.Words {
		c.text(w.X, w.Y, w.Size, "start", w.Bold, f.Words[i])
	}
	return c.close()
}

// setNotes says what is not measured, and so never to be read off the picture.
func (s *Section) setNotes() {
	_, left := s.skirt(true)
	_, right := s.skirt(false)
	for _, n := range [...]struct {
		is   bool
		text string
	}{
		{!s.length, "Stroke not known: nothing here is to scale"},
		{s.length && !s.sized, "Bore not known: it is drawn as usual for the stroke"},
		{!s.zeroed, "The wheel was not read from TDC: it is drawn as if it showed 0 there"},
		{s.length && !s.rod(), "Rod not known: drawn 1.9 strokes long; travel is about right only"},
		{s.sees.exhaust && !right, "Skirt on the exhaust side not known: drawn as usual"},
		{s.sees.skirt && !left, "Skirt on the intake side not known: drawn as usual"},
		{s.length && s.c.Deck == nil, "Deck not known"},
		{s.length && s.c.Squish == nil, "Squish not known"},
		{s.sized && s.c.ChamberCC == nil, "Chamber not known: the volume above is what the piston has swept"},
		{s.sized && s.c.CaseCC == nil, "Case not known: shown is how much more it holds than at bottom dead centre"},
		{s.mirrored, "Where only one of opening and closing was read, the other is taken as its mirror image"},
		{true, "Thin and grey is not measured: the crown above the gudgeon pin, walls, ducts, chamber, case and webs"},
		{true, "Where windows sit round the bore was not measured: exhaust right, intake left, the rest on the far wall"},
	} {
		if n.is {
			s.Notes = append(s.Notes, n.text)
		}
	}
	for i := range s.Windows {
		w := &s.Windows[i]
		if w.doubted {
			s.Notes = append(s.Notes, upper(w.Name)+" is in doubt until the problem in Findings is settled")
		}
		switch {
		case !w.Drawn:
			s.Notes = append(s.Notes, "Not drawn: "+w.Name+", opening not known")
		case !w.height && s.length && (w.port.Crown || w.port.Skirt):
			s.Notes = append(s.Notes, "Height of "+w.Name+" not known: drawn as usual")
		}
	}
}

// say is the still picture in words.
func (s *Section) say() string {
	var b strings.Builder
	way := "anticlockwise"
	if s.way > 0 {
		way = "clockwise"
	}
	b.WriteString("Cut through crank, rod, piston, cylinder and case, the wheel beside it; the crank turns " + way)
	if e := s.m.Offset(); e != 0 {
		b.WriteString("; the gudgeon pin's line stands off the crank's middle")
	}
	for i := range s.Windows {
		if w := &s.Windows[i]; w.Drawn {
			b.WriteString("; " + strconv.Itoa(w.Number) + " is " + w.Name)
		}
	}
	for _, n := range s.Notes {
		b.WriteString("; " + n)
	}
	return b.String()
}
