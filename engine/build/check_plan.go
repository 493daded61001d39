package build

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"portwright/engine/unit"
)

const maxMoves = 500 // and bites

// CheckPlan asks the same of targets, rooms, limits, rules, moves and bites, as
// far as this version knows them. A word that it does not know is refused where
// it is used.
func CheckPlan(b *Build) error {
	c := &checker{problems: &problems{}, build: b}
	for _, t := range b.Targets.List {
		c.target("targets."+t.Key, t)
	}
	c.targetOrder(b.Targets.List)
	for i := range b.Allowed.BaseGaskets {
		c.notNegative(unit.Sprintf("moves_allowed.base_gaskets_mm[%d]", i), &b.Allowed.BaseGaskets[i])
	}
	for _, m := range b.Allowed.Rooms() {
		if r := *m.Room; r != nil {
			c.notNegative("moves_allowed."+m.Key()+".max", r.Max)
			c.positive("moves_allowed."+m.Key()+".step", r.Step)
		}
	}
	bounds := &boundChecker{c: c, path: "limits."}
	b.Limits.fields(bounds)
	bounds.path = "rules."
	b.Rules.fields(bounds)
	if len(b.Moves) > maxMoves || len(b.Bites) > maxMoves {
		c.add("moves", strconv.Itoa(max(len(b.Moves), len(b.Bites))), "", unit.Sprintf("must be at most %d moves and as many bites", maxMoves))
		return c.problems.err()
	}
	for i := range b.Moves {
		c.move(unit.Sprintf("moves[%d]", i), &b.Moves[i])
	}
	for i := range b.Bites {
		at := unit.Sprintf("bites[%d]", i)
		c.move(at, &b.Bites[i].Move)
		c.depth(at+".by_mm", &b.Bites[i].Move)
		c.moment(at+".at", b.Bites[i].At)
		c.bitePass(at, &b.Bites[i])
	}
	return c.problems.err()
}

// target: angles where the event can be, ratios above 1.
func (c *checker) target(at string, t Target) {
	v := t.Value.Value
	least, most, name, reason := 0.0, 360.0, "deg", "must be more than 0 and less than 360"
	switch t.Key {
	case TargetSquish:
		if s := c.build.Engine.Stroke; s != nil && s.MM() > 0 && t.Value.MM() >= s.MM() {
			c.add(at, short(v), unitOf(t.Value), unit.Sprintf("must be less than the stroke, %s mm: the gap between crown and head at TDC", short(s.MM())))
			return
		}
		if mm := t.Value.MM(); !(mm > 0 && mm <= maxLengthMM) {
			c.add(at, short(v), unitOf(t.Value), "must be more than 0: the gap that is wanted between crown and head at TDC")
		}
		return
	case TargetTrappedRatio, TargetGeometricRatio:
		least, most, name, reason = 1, 100, "", "must be more than 1 and less than 100: the volume before compression over the one after it"
	case TargetExhaustOpens, TargetTransferOpens:
		most, reason = 180, "must be more than 0 and less than 180: degrees after TDC at which the piston, going down, opens it"
	case TargetIntakeOpens:
		least, reason = 180, "must be more than 180 and less than 360: degrees after TDC, so 75 before TDC is 285"
	case TargetBlowdown:
		most, reason = 180, "must be more than 0 and less than 180: degrees from the exhaust's opening to the first transfer's, which comes later"
	}
	if !(v > least && v < most) {
		c.add(at, short(v), name, reason)
	}
}

// targetOrder refuses transfers that are to open before the exhaust does.
func (c *checker) targetOrder(ts []Target) {
	var exhaust float64 // opens at
	for _, t := range ts {
		switch t.Key {
		case TargetExhaustOpens:
			if t.Value.Value < 180 { // else it is refused itself
				exhaust = t.Value.Value
			}
		case TargetExhaustDuration:
			exhaust = 180 - t.Value.Value/2
		}
	}
	for _, t := range ts {
		opens := t.Value.Value
		switch t.Key {
		case TargetTransferDuration:
			opens = 180 - opens/2
		case TargetTransferOpens:
		default:
			continue
		}
		if opens <= exhaust {
			c.add("targets."+t.Key, short(t.Value.Value), "deg", unit.Sprintf("must let the transfers open after the exhaust, which is to open at %s deg: they would at %s", short(exhaust), short(opens)))
		}
	}
}

// boundChecker looks at limits and rules, none of which can be below 0.
type boundChecker struct {
	ignore
	c    *checker
	path string
}

func (b *boundChecker) length(key string, p **unit.Length) { b.c.notNegative(b.path+key, *p) }

func (b *boundChecker) number(key string, p **float64) {
	if v := *p; v != nil && *v == 0 && b.path == "limits." && strings.Contains(key, "_max") {
		b.c.add(b.path+key, "0", "", "must be more than 0, as nothing can hold a limit of 0; leave it out when there is none")
	} else if v != nil && !(*v >= 0 && *v <= 360) {
		b.c.add(b.path+key, short(*v), "", "must be 0 to 360; leave it out when there is none")
	}
}

func (c *checker) move(at string, m *Move) {
	if !slices.Contains(MoveNames(), m.Move) {
		if m.Move == "" {
			c.add(at+".move", "", "", "must be given: "+oneOf(MoveNames()))
		}
		return
	}
	if m.Window != "" && !slices.ContainsFunc(c.build.Windows, func(w Window) bool { return w.Name == m.Window }) {
		c.add(at+".window", strconv.Quote(m.Window), "", "must be the name of one of the build's windows"+c.windowNames())
	}
	switch m.Move {
	case MoveBaseGasket:
		if m.ToMM == nil {
			c.add(at+".to_mm", "", "", "must be given: the thickness of the new gasket, 0 for none")
		}
		if m.ToMM != nil && m.ToMM.MM() < 0 {
			c.add(at+".to_mm", short(m.ToMM.Value), unitOf(*m.ToMM), "must be 0 or more: the thickness of the new gasket, 0 for none")
			return
		}
		c.notNegative(at+".to_mm", m.ToMM)
	case MoveMufflerOutlet:
		if m.ToMM2 == nil {
			c.add(at+".to_mm2", "", "", "must be given: the area of the outlet afterwards")
		}
		c.volume(at+".to_mm2", m.ToMM2, "mm2")
	default:
		if m.ByMM == nil {
			c.add(at+".by_mm", "", "", "must be given: how much comes off")
		} else if mm := m.ByMM.MM(); !(mm >= 0) || math.IsInf(mm, 1) || mm > maxLengthMM {
			c.add(at+".by_mm", short(m.ByMM.Value), unitOf(*m.ByMM), "must be 0 or more: metal that is off can't be put back")
		}
	}
}

// mostTurned is the most that is ever turned off crown, band or cylinder at once,
// and off a skirt, in mm: their walls are hardly thicker. Common practice, no source.
const mostTurned = 5.0

// depth refuses a bite that goes through the wall, or through the whole stroke:
// a slipped unit or decimal.
func (c *checker) depth(at string, m *Move) {
	if m.ByMM == nil {
		return
	}
	most, what := mostTurned, "no wall there is thicker"
	switch m.Move {
	case MoveBaseCut, MoveBandCut, MoveCrownCut:
	default:
		if most, what = maxLengthMM, ""; c.build.Engine.Stroke != nil {
			most, what = c.build.Engine.Stroke.MM(), "that is the stroke"
		}
	}
	if mm := m.ByMM.MM(); mm > most && mm <= maxLengthMM {
		c.add(at, short(m.ByMM.Value), unitOf(*m.ByMM), unit.Sprintf("must be at most %s mm: %s. Look at the unit and the decimal point", short(most), what))
	}
}

// bitePass wants the pass that a bite was made after, when it names one.
func (c *checker) bitePass(at string, b *Bite) {
	if have := max(c.build.Engine.Cylinders, 1); b.Cylinder < 0 || b.Cylinder > have {
		c.add(at+".cylinder", strconv.Itoa(b.Cylinder), "", unit.Sprintf("must be 1 to %d, the engine's cylinders", have))
	}
	if b.Pass == "" {
		return
	}
	var names []string
	for i := range c.build.Passes {
		p := &c.build.Passes[i]
		if p.Name == b.Pass && max(p.Cylinder, 1) == max(b.Cylinder, 1) {
			return
		}
		names = append(names, strconv.Quote(p.Name))
	}
	c.add(at+".pass", strconv.Quote(b.Pass), "", "must be the name of a pass of its cylinder: the last that was read before it"+listOrNone(names))
}

func listOrNone(names []string) string {
	if len(names) == 0 {
		return ", and there is none"
	}
	return ": " + strings.Join(names[:min(len(names), 8)], ", ")
}
