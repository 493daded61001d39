package draw

import (
	"math"

	"portwright/engine/unit"
)

// Frame is the section at one angle.
type Frame struct {
	Deg     float64 // after TDC, 0 <= Deg < 360
	Poses   []Pose  // one for each of the section's Parts
	Words   []string
	Windows []WindowAt // one for each of the section's Windows
	Event   int        // the event that the crank stands at, within half a degree; -1: none

	Title, Text string // the event, else what goes on
	Below       string // what goes on under the piston, "" at an event

	Travel  float64  // mm below TDC; meaningless without a stroke
	Shows   float64  // what the wheel shows
	SweptCC float64  // above the piston without the chamber
	AboveCC *float64 // with it; nil: chamber or bore not known
	CaseCC  *float64 // nil: case or bore not known
	AddCC   float64  // how much more than at BDC the case holds
}

// Pose is where a part stands.
type Pose struct {
	Transform string // "" as it is drawn
	Hidden    bool
}

// Visibility is the value of the SVG attribute.
func (p Pose) Visibility() string {
	if p.Hidden {
		return "hidden"
	}
	return "visible"
}

// WindowAt is one window at an angle.
type WindowAt struct {
	Open   bool
	Height float64 // uncovered, mm
	Area   float64 // uncovered, mm2
	Known  bool    // the height is measured, not usual
	Sized  bool    // the area too
}

// Frame returns the section at an angle in degrees after TDC; any number of
// turns will do. Crank pin and gudgeon pin, the crank's middle at 0, y upwards:
//
//	pin = (r sin(theta), r cos(theta)), theta = a + theta_T
//	gudgeon pin = (e, y_T - x)
//
// Volumes: V = V_c + A_p x above, V_case + A_p (S - x) below, V_case at BDC.
// Source: plane geometry.
func (s *Section) Frame(deg float64) Frame {
	if !finite(deg) {
		deg = 0
	}
	deg = unit.Turn(deg)
	x := s.m.Travel(unit.Rad(deg))
	f := Frame{Deg: deg, Travel: x, Event: s.eventAt(deg), Windows: make([]WindowAt, len(s.Windows))}
	for i := range s.Windows {
		f.Windows[i] = s.windowAt(&s.Windows[i], deg, x)
	}
	f.Shows = s.wheel.Shows(deg, s.tdc)
	s.volumes(&f)
	s.tell(&f)
	s.pose(&f)
	s.fill(&f)
	return f
}

// open says whether a window is open: at its opening it is, at its closing no
// more. The angles are those that were read.
func (w *SectionWindow) isOpen(deg float64) bool {
	const slip = 1e-9 // so that the event's own angle counts, whatever its last digit
	return w.Drawn && unit.Turn(deg-w.opens+slip) < w.open
}

func (s *Section) windowAt(w *SectionWindow, deg, x float64) WindowAt {
	out := WindowAt{Open: w.isOpen(deg), Known: w.height, Sized: w.wide}
	if !out.Open || !w.port.Crown && !w.port.Skirt {
		return out
	}
	out.Height = math.Min(math.Max(x-*w.port.Travel, 0), w.port.Shape.Height)
	if w.port.Skirt {
		out.Height = math.Min(math.Max(*w.port.Travel-x, 0), w.port.Shape.Height)
	}
	out.Area = w.port.Shape.OpenArea(s.m, *w.port.Travel, unit.Rad(deg), w.port.Skirt)
	return out
}

func (s *Section) volumes(f *Frame) {
	piston := math.Pi * s.bore * s.bore / 4 / 1000 // cm3 per mm
	f.SweptCC = piston * f.Travel
	f.AddCC = piston * (s.m.ActualStroke() - f.Travel)
	if !s.sized {
		return
	}
	if s.c.ChamberCC != nil {
		v := *s.c.ChamberCC + f.SweptCC
		f.AboveCC = &v
	}
	if s.c.CaseCC != nil {
		v := *s.c.CaseCC + f.AddCC
		f.CaseCC = &v
	}
}

// pose places the moving parts.
func (s *Section) pose(f *Frame) {
	l := &s.at
	f.Poses = make([]Pose, len(s.Parts))
	theta := f.Deg + unit.Deg(s.m.TDCSkew())
	sin, cos := math.Sincos(unit.Rad(theta))
	r := s.m.Stroke() / 2
	px, py := s.way*r*sin, r*cos // crank pin
	gx, gy := s.way*s.m.Offset(), l.pinTop-f.Travel
	lean := unit.Deg(math.Atan2(gx-px, gy-py))
	f.Poses[l.crank].Transform = move(l.x(0), l.y(0)) + turn(s.way*theta)
	f.Poses[l.rod].Transform = move(l.x(px), l.y(py)) + turn(lean)
	f.Poses[l.piston].Transform = move(l.x(gx), l.depth(f.Travel))
	f.Poses[l.wheel].Transform = move(wheelX, wheelY) + turn(s.face(f.Deg))
	f.Poses[l.blowdown].Hidden = !s.blowdownAt(f)
	for i := range s.Windows {
		w := &s.Windows[i]
		if w.flow == 0 {
			continue
		}
		f.Poses[w.flow].Hidden = !f.Windows[i].Open
		if w.back > 0 {
			f.Poses[w.back].Hidden = !f.Windows[i].Open || f.Deg >= s.bdc
		}
	}
}

// face is how far the wheel's face, its numbers growing clockwise, is turned
// clockwise. On a face that repeats its numbers both halves are alike, and it
// turns the way the engine was said to.
func (s *Section) face(deg float64) float64 {
	place := s.wheel.Place(deg, s.tdc)
	if s.wheel.Repeats() {
		return s.way * place
	}
	return -place
}

func move(x, y float64) string { return lay("translate(# #)", x, y) }

func turn(deg float64) string { return "rotate(" + num(unit.Turn(deg)) + ")" }

// fill writes the words beside the picture: what the wheel shows, the angle and
// its side of TDC, travel and volumes.
func (s *Section) fill(f *Frame) {
	side, after := f.Deg, "after TDC"
	if f.Deg > 180 {
		side, after = 360-f.Deg, "before TDC"
	}
	f.Words = []string{unit.Fixed(f.Shows, 1), degrees(side), after, "", "", ""}
	about := ""
	if !s.rod() {
		about = "≈"
	}
	if s.length {
		f.Words[3] = about + unit.Fixed(f.Travel, 2) + " mm down"
	}
	if !s.sized {
		return
	}
	above, swept := f.SweptCC, " cc swept"
	if f.AboveCC != nil {
		above, swept = *f.AboveCC, " cc above"
	}
	f.Words[4] = about + unit.Fixed(above, 1) + swept
	below, more := f.AddCC, "+"
	if f.CaseCC != nil {
		below, more = *f.CaseCC, ""
	}
	f.Words[5] = "case " + about + more + unit.Fixed(below, 1) + " cc"
}
