package port

import (
	"math"

	"portwright/engine/crank"
	"portwright/engine/unit"
)

// Shape is the outline of an opening in the cylinder wall, flattened onto its
// chord. The roof may be arched, the corners rounded, bridges may stand from
// roof to floor. Lengths in mm; the zero value of what is not needed is right.
type Shape struct {
	Chord        float64 // width across, bridges included
	Height       float64 // from the highest point of the roof to the floor
	CornerTop    float64 // radius
	CornerBottom float64 // radius
	Arch         float64 // how far the middle of the roof stands above its ends
	Bridges      int     // evenly spaced
	BridgeWidth  float64 // of each
	Count        int     // equal openings that work as one; 0 means 1
	AimDeg       float64 // duct against the radial direction, sideways
	SweepDeg     float64 // duct against the horizontal, upwards
}

// Check says what of a shape can't be, as *unit.InputError with the fields
// named as in a build file.
func (s Shape) Check() error {
	bad := func(field string, v float64, reason string) error {
		return &unit.InputError{Field: field, Value: unit.Plain(v, 3), Unit: "mm", Reason: reason}
	}
	for _, n := range [...]struct {
		field string
		v     float64
	}{{"chord_mm", s.Chord}, {"height_mm", s.Height}, {"corner_top_mm", s.CornerTop}, {"corner_bottom_mm", s.CornerBottom}, {"arch_mm", s.Arch}, {"bridge_mm", s.BridgeWidth}} {
		if !(n.v >= 0) || math.IsInf(n.v, 1) {
			return bad(n.field, n.v, "must be 0 or more")
		}
	}
	clear := s.Chord - float64(s.Bridges)*s.BridgeWidth
	switch {
	case s.Chord == 0 || s.Height == 0:
		return bad("height_mm", s.Height, "width and height must be above 0")
	case s.Arch > s.Chord/2:
		return bad("arch_mm", s.Arch, "must be at most half the width, "+unit.Plain(s.Chord/2, 3)+" mm")
	case 2*s.CornerTop > s.Chord || 2*s.CornerBottom > s.Chord:
		return bad("corner_top_mm", math.Max(s.CornerTop, s.CornerBottom), "must be at most half the width, "+unit.Plain(s.Chord/2, 3)+" mm")
	case s.roofEnd()+s.CornerBottom > s.Height*(1+1e-12):
		return bad("height_mm", s.Height, "must hold the roof's corners and arch and the floor's corners, "+unit.Plain(s.roofEnd()+s.CornerBottom, 3)+" mm")
	case s.Bridges < 0 || clear <= 0:
		return bad("bridge_mm", s.BridgeWidth, "must leave some of the width open")
	}
	return nil
}

// FullArea returns the whole area in mm2.
func (s Shape) FullArea() float64 { return s.Area(s.Height) }

// StreamFactor returns what the area is worth along the stream of a duct that
// is aimed sideways and upwards, to first order.
//
//	cos(aim) cos(sweep)
//
// Published area figures are plain areas without it. Source: plane geometry;
// Blair corrects by the jet's angle in a like way, from memory.
func (s Shape) StreamFactor() float64 {
	return math.Cos(unit.Rad(s.AimDeg)) * math.Cos(unit.Rad(s.SweepDeg))
}

// Area returns the area in mm2 that is open when all above a depth in mm below
// the highest point of the roof is uncovered, 0 to the height, with every
// opening of Count.
//
//	A(u) = integral over the width of min(u, floor(s)) - roof(s), where positive
//
// in closed form: roof and floor are arcs of circles and straight lines.
// Source: plane geometry.
func (s Shape) Area(depth float64) float64 {
	u := math.Min(math.Max(depth, 0), s.Height)
	if u == 0 {
		return 0
	}
	o := s.outline()
	half := o.halfWidth(u)
	sum := 2 * o.integral(half, u)
	for i := range s.Bridges {
		low, high := s.bridgeAt(i)-s.BridgeWidth/2, s.bridgeAt(i)+s.BridgeWidth/2
		low, high = math.Min(math.Max(low, -half), half), math.Min(math.Max(high, -half), half)
		sum -= o.signed(high, u) - o.signed(low, u)
	}
	return sum * float64(max(s.Count, 1))
}

// AreaFromFloor returns the area that is open when all below a height in mm
// above the floor is uncovered, as a rising skirt does.
func (s Shape) AreaFromFloor(height float64) float64 {
	return s.FullArea() - s.Area(s.Height-math.Min(math.Max(height, 0), s.Height))
}

// OpenArea returns the area that is open at an angle after TDC in radians,
// when the window's edge stands at a travel in mm: the roof, met by the crown,
// or, under skirt, the floor, met by the skirt's lower edge.
func (s Shape) OpenArea(m crank.Mechanism, travel, a float64, skirt bool) float64 {
	x := m.Travel(a)
	if skirt {
		return s.AreaFromFloor(travel - x)
	}
	return s.Area(x - travel)
}

// Breaks returns the depths below the roof, from 0 to the height, at which the
// outline changes its kind: where an integral over the opening has to be cut.
func (s Shape) Breaks() []float64 {
	o := s.outline()
	out := []float64{0, o.tangent, o.end, s.Height - s.CornerBottom, s.Height}
	for i := range s.Bridges {
		for _, edge := range [2]float64{-0.5, 0.5} {
			at := math.Abs(s.bridgeAt(i) + edge*s.BridgeWidth)
			if at < s.Chord/2 {
				out = append(out, o.roof(at))
			}
		}
	}
	return out
}

// bridgeAt returns the middle of a bridge: the openings between are equal.
func (s Shape) bridgeAt(i int) float64 {
	gap := (s.Chord - float64(s.Bridges)*s.BridgeWidth) / float64(s.Bridges+1)
	return -s.Chord/2 + float64(i+1)*gap + (float64(i)+0.5)*s.BridgeWidth
}

// roofEnd is the depth at which the sides begin.
func (s Shape) roofEnd() float64 { return s.outline().end }
