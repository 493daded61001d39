package draw

import (
	"math"
	"sort"
	"strings"

	"portwright/engine/build"
	"portwright/engine/crank"
	"portwright/engine/findings"
	"portwright/engine/port"
	"portwright/engine/unit"
)

// Cylinder is one cylinder in one state, as far as a picture needs it. Lengths
// in mm; nil: not known.
type Cylinder struct {
	Name         string // of the state: "as received"
	Crank        *crank.Mechanism
	Bore         *float64
	Deck         *float64 // the crown's edge below the cylinder's top at TDC
	SkirtIntake  *float64 // crown's edge to the skirt's end
	SkirtExhaust *float64
	RingBelow    *float64 // crown's edge to the top ring
	RingHeight   *float64
	Ports        []Port

	// What the section shows besides.
	RodKnown  bool     // else Crank's rod is a guess
	Squish    *float64 // between the crown's edge and the head at TDC
	Band      *float64 // the squish band's width
	ChamberCC *float64 // clearance volume at TDC, cm3
	CaseCC    *float64 // the case's volume at BDC, cm3
	Intake    string   // build.IntakeReed and its like; "" is not known
}

// Port is one window of a cylinder. Travel is the piston's at the edge that it
// meets: the roof's under the crown, the floor's at the skirt.
type Port struct {
	Name, Kind   string
	Crown, Skirt bool // which edge of the piston works it; neither: a valve does
	Travel       *float64
	TravelU95    *float64
	Shape        port.Shape // zero: its size is not known
	RoofCut      float64    // planned, mm
	FloorCut     float64
	WidthCut     float64 // over both sides
}

// sized says whether the window's outline is known.
func (p *Port) sized() bool { return p.Shape.Check() == nil }

// roof returns how far the roof's highest point lies below the crown's edge at
// TDC, with the intake skirt's length where the skirt works the window.
func (p *Port) roof(c *Cylinder) (mm float64, ok bool) {
	switch {
	case p.Travel == nil || !p.sized():
		return 0, false
	case p.Crown:
		return *p.Travel, true
	case p.Skirt && c.SkirtIntake != nil:
		return *p.Travel + *c.SkirtIntake - p.Shape.Height, true
	}
	return 0, false
}

// along returns half a chord's length as it lies on the wall of the bore.
//
//	arc = R asin(s/R)
//
// Source: plane geometry.
func along(bore, s float64) float64 {
	r := bore / 2
	return r * math.Asin(math.Min(math.Max(s/r, -1), 1))
}

// order lists the windows from left to right: what is named left, the exhaust,
// what is named right, the rest, boost and intake.
func (c *Cylinder) order() []int {
	rank := func(p *Port) int {
		switch name := strings.ToLower(p.Name); {
		case p.Kind == build.KindExhaust:
			return 1
		case p.Kind == build.KindIntake:
			return 5
		case p.Kind == build.KindBoost:
			return 4
		case strings.Contains(name, "left"):
			return 0
		case strings.Contains(name, "right"):
			return 2
		}
		return 3
	}
	out := make([]int, len(c.Ports))
	for i := range out {
		out[i] = i
	}
	sort.SliceStable(out, func(a, b int) bool { return rank(&c.Ports[out[a]]) < rank(&c.Ports[out[b]]) })
	return out
}

// Doubt writes an expanded uncertainty, rounded up to so many decimals: it is
// never said smaller than it is.
func Doubt(u float64, decimals int) string {
	return "±" + unit.Up(u, decimals)
}

// pm is a doubt as it is written behind a number.
func pm(u *float64, decimals int) string {
	if u == nil {
		return " ± not known"
	}
	return " " + Doubt(*u, decimals)
}

// wrap breaks a line between words so that none is longer than so many
// characters, a single long word apart, which is cut.
func wrap(s string, most int) []string {
	var out []string
	line := ""
	for _, w := range strings.Fields(s) {
		if r := []rune(w); len(r) > most {
			w = string(r[:most-1]) + "…"
		}
		switch {
		case line == "":
			line = w
		case len([]rune(line))+1+len([]rune(w)) > most:
			out, line = append(out, line), w
		default:
			line += " " + w
		}
	}
	if line != "" {
		out = append(out, line)
	}
	return out
}

// MapAngle is the angle at which a port map shows the piston: where the first
// transfer opens, else the exhaust, else BDC.
func MapAngle(r *findings.PassResult) float64 {
	for _, kinds := range [][2]string{{build.KindTransfer, build.KindBoost}, {build.KindExhaust, build.KindExhaust}} {
		best, ok := 180.0, false
		for k := range r.Windows {
			x := &r.Windows[k]
			if (x.Kind == kinds[0] || x.Kind == kinds[1]) && x.OpensDeg != nil && *x.OpensDeg < best {
				best, ok = *x.OpensDeg, true
			}
		}
		if ok {
			return best
		}
	}
	return 180
}
