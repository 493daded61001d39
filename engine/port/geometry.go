package port

import (
	"errors"
	"math"

	"portwright/engine/crank"
	"portwright/engine/stat"
	"portwright/engine/unit"
)

// Standard uncertainties of measured lengths where none is given, in mm, and
// the rod lengths that are possible when none was measured.
const (
	DefaultBoreU   = 0.02 // bore gauge
	DefaultStrokeU = 0.02 // dial gauge from dead centre to dead centre
	DefaultRodU    = 0.1  // centre to centre, taken from the outside
	DefaultOffsetU = 0.05 // from the drawing or by a dial gauge
	rodLeast       = 1.6  // strokes; common practice, no source
	rodMost        = 2.2  // strokes; common practice, no source
)

// Names of the sources of doubt that a geometry brings into a result.
const (
	strokeName = "stroke"
	rodName    = "rod"
	offsetName = "offset"
)

// IsGeometry says whether a source of doubt is one of a geometry's lengths,
// which all readings of an engine share.
func IsGeometry(source string) bool {
	return source == strokeName || source == rodName || source == offsetName
}

// Geometry is a crank mechanism whose lengths carry their doubt.
type Geometry struct {
	crank.Mechanism
	StrokeU, RodU, OffsetU float64 // standard uncertainties, mm
	RodKnown               bool
}

// Known returns the geometry of measured lengths in mm. An uncertainty that is
// 0 or below takes its default; that of the offset stays 0 when the offset is.
func Known(stroke, rod, offset, strokeU, rodU, offsetU float64) (Geometry, error) {
	m, err := crank.New(stroke, rod, offset)
	if err != nil {
		return Geometry{}, err
	}
	g := Geometry{Mechanism: m, StrokeU: strokeU, RodU: rodU, RodKnown: true}
	if !(strokeU > 0) {
		g.StrokeU = DefaultStrokeU
	}
	if !(rodU > 0) {
		g.RodU = DefaultRodU
	}
	g.OffsetU = offsetDoubt(offset, offsetU)
	return g, nil
}

// RodUnknown returns the geometry of an engine whose rod was not measured:
// anything from 1.6 to 2.2 strokes, so 1.9 strokes with a standard uncertainty
// of 0.3/sqrt(3) strokes. Source of the rule for the doubt: JCGM 100:2008,
// 4.3.7; of the range: common practice, no source.
func RodUnknown(stroke, offset, strokeU, offsetU float64) (Geometry, error) {
	g, err := Known(stroke, stroke*(rodLeast+rodMost)/2, offset, strokeU,
		stat.Rectangular(stroke*(rodMost-rodLeast)/2), offsetU)
	g.RodKnown = false
	return g, err
}

func offsetDoubt(offset, u float64) float64 {
	switch {
	case u > 0:
		return u
	case offset != 0:
		return DefaultOffsetU
	}
	return 0
}

// TravelAt returns the travel in mm, and its doubt, at an angle in degrees
// after TDC.
//
//	u^2(x) = (dx/da u(a))^2 + (dx/dS u(S))^2 + (dx/dL u(L))^2 + (dx/de u(e))^2
//
// Source: JCGM 100:2008, eq. (10).
func (g Geometry) TravelAt(angle stat.Estimate) stat.Estimate {
	a := unit.Rad(angle.Value)
	s := g.TravelSensitivity(a)
	return angle.Through(g.Travel(a), s.Angle*math.Pi/180, g.parts(s.Stroke, s.Rod, s.Offset)...)
}

// ErrNoSlope says that a travel lies so near to a dead centre that its angle
// has no finite doubt.
var ErrNoSlope = errors.New("port: too near to a dead centre to turn a depth into degrees")

// AngleAt returns the angle in degrees after TDC, and its doubt, at which the
// piston stands at a travel in mm going down, or going up. A travel outside 0
// to the stroke gives crank.ErrTravel, one at a dead centre ErrNoSlope.
func (g Geometry) AngleAt(travel stat.Estimate, up bool) (stat.Estimate, error) {
	a, rising, err := g.Angles(travel.Value)
	if err != nil {
		return stat.Estimate{}, err
	}
	if up {
		a = rising
	}
	s, err := g.AngleSensitivity(a)
	if err != nil {
		return stat.Estimate{}, ErrNoSlope
	}
	return travel.Through(unit.Deg(a), unit.Deg(s.Travel),
		g.parts(unit.Deg(s.Stroke), unit.Deg(s.Rod), unit.Deg(s.Offset))...), nil
}

func (g Geometry) parts(stroke, rod, offset float64) []stat.Component {
	parts := []stat.Component{
		{Name: strokeName, U: g.StrokeU, C: stroke},
		{Name: rodName, U: g.RodU, C: rod},
	}
	if g.OffsetU > 0 {
		parts = append(parts, stat.Component{Name: offsetName, U: g.OffsetU, C: offset})
	}
	return parts
}

// DegPerMM returns how many degrees one mm of piston travel is worth at an
// angle in degrees after TDC: what a roof moved by a little moves the timing
// by. It is +Inf at a dead centre.
func (g Geometry) DegPerMM(angle float64) float64 {
	rate := math.Abs(g.TravelRate(unit.Rad(angle))) * math.Pi / 180
	if rate == 0 {
		return math.Inf(1)
	}
	return 1 / rate
}

// MMForDegrees returns how much travel lies between an opening and the same
// opening earlier by so many degrees: how far a roof has to be raised, or a
// piston-port intake's floor lowered. It is not by times a slope, which
// changes on the way.
func (g Geometry) MMForDegrees(opens, earlier float64) float64 {
	return math.Abs(g.Travel(unit.Rad(opens)) - g.Travel(unit.Rad(opens-earlier)))
}

// Midpoint returns how far the middle of a window's open time lies after the
// dead centre as half a turn counts it, in degrees, for the edge that the
// piston reaches at a travel: 0 without offset.
//
//	M = atan(e/(y_T - x)) - atan(e/y_T)
//
// Opening and closing then add to 360 + 2M. Source: plane geometry.
func (g Geometry) Midpoint(travel float64) float64 {
	m, err := g.StopMidpointError(math.Min(math.Max(travel, 0), g.ActualStroke()))
	if err != nil {
		return 0
	}
	return unit.Deg(m)
}

// MidpointPerMM returns dM/de at no offset in degrees per mm: how far each mm
// of offset moves the middle of a window's open time.
//
//	dM/de = 1/(y_T - x) - 1/y_T, y_T = L + r
func (g Geometry) MidpointPerMM(travel float64) float64 {
	top := g.Rod() + g.Stroke()/2
	x := math.Min(math.Max(travel, 0), g.Stroke())
	return unit.Deg(1/(top-x) - 1/top)
}

// Partner returns the angle of the other event of a window's edge: the closing
// for an opening, the opening for a closing, in degrees after TDC.
//
//	C = 360 - O + 2M
func (g Geometry) Partner(angle float64) float64 {
	return unit.Turn(360 - angle + 2*g.Midpoint(g.Travel(unit.Rad(angle))))
}

// Feeler returns the angle at which an edge was really reached, in degrees,
// when a feeler of the given thickness was nipped at the angle read. The
// feeler is nipped while the window still stands open by its thickness, so the
// opening is read late and the closing early.
//
//	x(true) = x(read) - h      closed by the crown
//	x(true) = x(read) + h      closed by the skirt
func (g Geometry) Feeler(read, thickness float64, skirt bool) (float64, error) {
	h := thickness
	if skirt {
		h = -h
	}
	a := unit.Rad(unit.Turn(read))
	down, up, err := g.Angles(g.Travel(a) - h)
	if err != nil {
		return 0, err
	}
	if a > g.BDC() {
		return unit.Deg(up), nil
	}
	return unit.Deg(down), nil
}
