package draw

import (
	"math"

	"portwright/engine/build"
)

// Sizes of the section in picture units: the cut on the left, the wheel and
// the words on the right.
const (
	sectionWidth  = 336.0
	sectionHeight = 310.0
	cutWidth      = 188.0
	wheelX        = 262.0
	wheelY        = 83.0
	faceR         = 68.0
	wordsX        = 200.0
	balloon       = 7.5             // radius of the circle round a window's number
	numberRoom    = 2*balloon + 2.0 // beside a duct for its window's number
)

// layout is where the still things of the cut stand, in mm, and its scale. x
// grows to the right and y upwards from the crank's middle.
type layout struct {
	k, cx, cy    float64 // units per mm, and the crank's middle in units
	axis         float64 // the cylinder's middle
	pinTop       float64 // the gudgeon pin at TDC
	top          float64 // the crown's edge at TDC
	deck, squish float64 // depth of the cylinder's top, and of the squish band, below the crown's edge at TDC; above it below 0
	bottom       float64 // depth of the cylinder's lower end
	head         float64 // depth of the head's top
	wall, duct   float64
	web, inside  float64 // radii of the crank's web and of the case
	meet         [2]float64

	crank, rod, piston, wheel, blowdown int // places in Parts
}

func (l *layout) x(mm float64) float64 { return l.cx + mm*l.k }
func (l *layout) y(mm float64) float64 { return l.cy - mm*l.k }

// depth is y of what lies so far below the crown's edge at TDC.
func (l *layout) depth(mm float64) float64 { return l.y(l.top - mm) }

// bore is x of the cylinder's wall, side -1 left and 1 right, so many mm into
// the metal.
func (s *Section) boreX(side, in float64) float64 {
	return s.at.x(s.at.axis + side*(s.bore/2+in))
}

// pinDown is the usual distance from the crown's edge to the gudgeon pin, less
// where a short skirt would end above it.
func (s *Section) pinDown() float64 {
	a, _ := s.skirt(false)
	b, _ := s.skirt(true)
	return math.Min(usualPin*s.bore, 0.8*math.Min(a, b))
}

// setLayout measures the cut and fits it into its room.
func (s *Section) setLayout() {
	l := &s.at
	stroke, rod, e := s.m.Stroke(), s.m.Rod(), s.m.Offset()
	l.axis = s.way * e
	l.pinTop = math.Sqrt((rod + stroke/2 - e) * (rod + stroke/2 + e)) // (L + r)^2 - e^2
	l.top = l.pinTop + s.pinDown()
	l.wall, l.duct = usualWall*s.bore, usualDuct*s.bore
	if s.c.Deck != nil && s.length {
		l.deck = -*s.c.Deck
	}
	l.squish = -usualSquish
	if s.c.Squish != nil && s.length {
		l.squish = -math.Max(*s.c.Squish, 0)
	}
	l.head = math.Min(l.squish, l.deck) - (usualBowl+usualHead)*s.bore
	l.bottom = 1.15 * s.m.ActualStroke()
	for i := range s.Windows {
		if w := &s.Windows[i]; w.Drawn && (w.port.Crown || w.port.Skirt) {
			l.bottom = math.Max(l.bottom, w.floor+l.wall)
		}
	}
	l.web = stroke/2 + usualWeb*stroke
	l.inside = math.Max(l.web+0.05*stroke, s.bore/2+math.Abs(l.axis))
	for i, side := range [2]float64{-1, 1} {
		x := l.axis + side*s.bore/2
		l.meet[i] = math.Sqrt(math.Max(l.inside*l.inside-x*x, 0))
		l.bottom = math.Min(l.bottom, l.top-l.meet[i])
	}
	out := math.Max(math.Abs(l.axis)+s.bore/2+l.wall+l.duct, l.inside+l.wall+s.valveRoom())
	high := l.top - l.head + l.inside + l.wall
	l.k = math.Min((cutWidth-2*numberRoom)/(2*out), (sectionHeight-12)/high)
	l.cx = cutWidth / 2
	l.cy = sectionHeight - 6 - (l.inside+l.wall)*l.k
}

// valveRoom is the length of a duct into the case.
func (s *Section) valveRoom() float64 {
	if s.intoCase() {
		return s.at.duct
	}
	return 0
}

// intoCase says whether the intake leads into the case by a valve.
func (s *Section) intoCase() bool {
	return s.sees.valve || s.c.Intake == build.IntakeReed || s.c.Intake == build.IntakeRotaryValve
}
