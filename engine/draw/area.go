package draw

import (
	"math"
	"strconv"
	"strings"

	"portwright/engine/build"
	"portwright/engine/unit"
)

// Sizes of the area curves in picture units.
const (
	areaWidth  = 336.0
	areaLeft   = 40.0 // numbers stand left of it
	areaRight  = 314.0
	areaTop    = 30.0
	areaBottom = 190.0
	areaStep   = 2.0 // degrees from point to point of a curve
)

// areaKinds are the curves: windows of these kinds add up.
var areaKinds = [...]struct {
	name, class string
	kinds       [2]string
}{
	{"exhaust", "exhaust", [2]string{build.KindExhaust, build.KindExhaust}},
	{"transfers", "transfer", [2]string{build.KindTransfer, build.KindBoost}},
	{"intake", "intake", [2]string{build.KindIntake, build.KindIntake}},
}

// curves are the areas of one cylinder.
type curves struct {
	c     *Cylinder
	kinds [len(areaKinds)][]*Port
	part  [len(areaKinds)]bool // a window of the kind is not known: the sum would be too small, and there is no curve
}

func curvesOf(c *Cylinder) (out curves) {
	out.c = c
	if c == nil || c.Crank == nil {
		return
	}
	for i := range c.Ports {
		p := &c.Ports[i]
		for k, kind := range areaKinds {
			switch {
			case p.Kind != kind.kinds[0] && p.Kind != kind.kinds[1] || !p.Crown && !p.Skirt:
			case p.Travel == nil || !p.sized():
				out.part[k] = true
			default:
				out.kinds[k] = append(out.kinds[k], p)
			}
		}
	}
	for k := range out.kinds {
		if out.part[k] {
			out.kinds[k] = nil
		}
	}
	return
}

// at is the open area of a kind in mm2 at an angle in degrees after TDC.
func (s *curves) at(kind int, deg float64) float64 {
	sum := 0.0
	for _, p := range s.kinds[kind] {
		sum += p.Shape.OpenArea(*s.c.Crank, *p.Travel, unit.Rad(deg), p.Skirt)
	}
	return sum
}

// opens is when the first window of a kind opens, going down.
func (s *curves) opens(kind int) (deg float64, ok bool) {
	for _, p := range s.kinds[kind] {
		down, _, err := s.c.Crank.Angles(*p.Travel)
		if err == nil && (!ok || unit.Deg(down) < deg) {
			deg, ok = unit.Deg(down), true
		}
	}
	return
}

func (s *curves) most() float64 {
	most := 0.0
	for k := range s.kinds {
		for a := 0.0; a < 360; a += areaStep {
			most = math.Max(most, s.at(k, a))
		}
	}
	return most
}

// AreaCurves shows the open area of exhaust, transfers and intake over a turn
// of the crank, and hatches what the exhaust has open before the transfers.
// before, nil for none, is drawn in thin lines. A kind of which not every window's
// size and travel is known has no curve; ok is false when none has one.
func AreaCurves(now, before *Cylinder) (svg string, ok bool) {
	s, was := curvesOf(now), curvesOf(before)
	top := nice(math.Max(s.most(), was.most()))
	if s.most() == 0 {
		return "", false
	}
	var c canvas
	title := "Open area over a turn, " + now.Name
	if before != nil {
		title += ", and in thin lines " + before.Name
	}
	c.open([4]float64{0, 0, areaWidth, areaBottom + 100}, "areas", title, areaText(&s))
	areaAxes(&c, top)
	areaBlowdown(&c, &s, top)
	for k := range areaKinds {
		if len(was.kinds[k]) > 0 {
			c.mark("before "+areaKinds[k].class, areaPath(&was, k, top, 0), 0.9, areaDash(k))
		}
		areaCurve(&c, &s, k, top)
	}
	areaLegend(&c, &s, now.Name, before)
	return c.close(), true
}

func areaX(deg float64) float64 { return areaLeft + deg/360*(areaRight-areaLeft) }

func areaY(mm2, top float64) float64 { return areaBottom - mm2/top*(areaBottom-areaTop) }

// nice is the next 1, 2, 4 or 6 times a power of ten.
func nice(v float64) float64 {
	if !(v > 0) {
		return 1
	}
	p := math.Pow(10, math.Floor(math.Log10(v)))
	for _, f := range []float64{1, 2, 4, 6} {
		if v <= f*p {
			return f * p
		}
	}
	return 10 * p
}

func areaAxes(c *canvas, top float64) {
	c.mark("axis", "M"+num(areaLeft)+" "+num(areaTop)+"V"+num(areaBottom)+"H"+num(areaRight), 1.4, "")
	for i := range 3 {
		v := top * float64(i) / 2
		y := areaY(v, top)
		if i > 0 {
			c.path("M"+num(areaLeft)+" "+num(y)+"H"+num(areaRight), 0.5, "1 4")
		}
		c.text(areaLeft-5, y+5, 13, "end", false, unit.Plain(v, 1))
	}
	c.text(areaLeft, areaTop-14, 13, "start", false, "open area, mm²")
	for a := 0; a <= 360; a += 60 {
		x := areaX(float64(a))
		c.path("M"+num(x)+" "+num(areaBottom)+"v5", 1.2, "")
		c.text(x, areaBottom+18, 13, "middle", false, strconv.Itoa(a)+"°")
	}
	c.text((areaLeft+areaRight)/2, areaBottom+35, 13, "middle", false, "crank after TDC (BDC 180°)")
}

func areaDash(kind int) string {
	if areaKinds[kind].class == "intake" {
		return "7 4"
	}
	return ""
}

// areaPath is a curve where the window is open, so many units above or below
// its place.
func areaPath(s *curves, kind int, top, shift float64) string {
	var b strings.Builder
	drawn := false
	for a := 0.0; a <= 360; a += areaStep {
		v := s.at(kind, a)
		open := v > 0 || s.at(kind, a-areaStep) > 0 && a > 0 || s.at(kind, a+areaStep) > 0 && a < 360
		switch {
		case !open:
		case drawn:
			b.WriteByte('L')
		default:
			b.WriteByte('M')
		}
		if drawn = open; open {
			b.WriteString(num(areaX(a)) + " " + num(areaY(v, top)+shift))
		}
	}
	return b.String()
}

func areaCurve(c *canvas, s *curves, kind int, top float64) {
	if len(s.kinds[kind]) == 0 {
		return
	}
	class := "curve " + areaKinds[kind].class
	if areaKinds[kind].class != "transfer" {
		c.mark(class, areaPath(s, kind, top, 0), 2.6, areaDash(kind))
		return
	}
	c.mark(class, areaPath(s, kind, top, -1.6), 1.1, "")
	c.mark(class, areaPath(s, kind, top, 1.6), 1.1, "")
}

func areaBlowdown(c *canvas, s *curves, top float64) {
	from, ok1 := s.opens(0)
	to, ok2 := s.opens(1)
	if !ok1 || !ok2 || to <= from {
		return
	}
	var b strings.Builder
	for a := from; a <= to; a += 4 {
		b.WriteString("M" + num(areaX(a)) + " " + num(areaBottom) + "V" + num(areaY(s.at(0, a), top)))
	}
	b.WriteString("M" + num(areaX(to)) + " " + num(areaBottom) + "V" + num(areaY(s.at(0, to), top)))
	c.mark("blowdown", b.String(), 0.8, "")
}

// areaLegend explains the lines, two to a row.
func areaLegend(c *canvas, s *curves, name string, before *Cylinder) {
	n := 0
	place := func() (x, y float64) {
		x, y = 8+float64(n%2)*164, areaBottom+56+float64(n/2)*17
		n++
		return
	}
	for k := range areaKinds {
		if len(s.kinds[k]) == 0 {
			if s.part[k] {
				x, y := place()
				c.text(x, y, 13, "start", false, areaKinds[k].name+": not known")
			}
			continue
		}
		x, y := place()
		if areaKinds[k].class == "transfer" {
			c.path("M"+num(x)+" "+num(y-6.6)+"h28M"+num(x)+" "+num(y-3.4)+"h28", 1.1, "")
		} else {
			c.path("M"+num(x)+" "+num(y-5)+"h28", 2.6, areaDash(k))
		}
		c.text(x+34, y, 13, "start", false, areaKinds[k].name)
	}
	from, ok1 := s.opens(0)
	if to, ok2 := s.opens(1); ok1 && ok2 && to > from {
		x, y := place()
		for i := range 8 {
			c.path("M"+num(x+float64(i)*4)+" "+num(y)+"v-10", 0.8, "")
		}
		c.text(x+34, y, 13, "start", false, "blowdown "+degrees(to-from))
	}
	if before != nil {
		n += n % 2
		x, y := place()
		c.text(x, y, 13, "start", false, clip("thick "+name+", thin "+before.Name, mapChars-2))
	}
}

// areaText says in words what the curves show.
func areaText(s *curves) string {
	var parts []string
	for k := range areaKinds {
		if len(s.kinds[k]) == 0 {
			continue
		}
		most := 0.0
		for a := 0.0; a < 360; a += areaStep {
			most = math.Max(most, s.at(k, a))
		}
		parts = append(parts, areaKinds[k].name+" up to "+unit.Fixed(most, 0)+" mm²")
	}
	return strings.Join(parts, "; ")
}
