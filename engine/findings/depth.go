package findings

import (
	"portwright/engine/build"
	"portwright/engine/port"
	"portwright/engine/unit"
)

// durationsOtherWay offers the one way in which durations read at closing can
// be turned: on a wheel that counts the other way they are the rest of a turn.
func (s *state) durationsOtherWay() func(outline) []reread {
	return func(base outline) []reread {
		r := reread{what: otherWay, price: 0.5, remedy: &build.Correction{Kind: build.CorrectReverse}}
		r.out = append(outline(nil), base...)
		for i := range r.out {
			w := &r.out[i]
			if w.symmetric {
				w.o = port.SymmetricOpening(360-w.duration(), w.around)
			}
		}
		return []reread{r, {what: misnamed, price: 1.5, out: misname(base)}}
	}
}

// depths looks for depths in another unit and for an order that can't be.
func (d *diagnosis) depths() bool {
	if d.now.geo == nil {
		return true
	}
	if !d.depthUnits() {
		return false
	}
	s := d.now
	o := s.outline()
	if o.order() > 0 {
		p := s.impossible(o)
		if misname(o).order() == 0 {
			p.Text = capital(s.orderComplaint(o)) + " Look whether the depths of exhaust and transfer were exchanged."
		}
		d.add(p)
		return false
	}
	return true
}

// A window's edge lies between these shares of the stroke below the crown at
// TDC. Common practice, no source: an exhaust at 70 degrees has a third of the
// stroke, and no edge lies below BDC.
const (
	highestEdge = 0.25
	lowestEdge  = 1.02
)

// depthUnits finds depths that the piston's edge does not reach, or that lie
// where no window is, and that another unit or a decimal puts right.
func (d *diagnosis) depthUnits() bool {
	s := d.now
	var bad []int
	for i := range s.reads {
		if r := &s.reads[i]; !r.struck && s.windows[r.win].doc.Kind != build.KindIntake && !s.reaches(r.value) {
			bad = append(bad, i)
		}
	}
	if len(bad) == 0 {
		return true
	}
	first := &s.reads[bad[0]]
	given := first.doc.Value
	if given.Unit == "" {
		given.Unit = unit.MM
	}
	places := make([]int, len(bad))
	names := []string{}
	for k, i := range bad {
		places[k] = s.reads[i].place
		if n := s.reads[i].doc.Window; len(names) == 0 || names[len(names)-1] != n {
			names = append(names, n)
		}
	}
	p := Problem{Code: CodeUnitSlip, Windows: names, Readings: places,
		Evidence: map[string]float64{"given_mm": first.value, "stroke_mm": s.geo.Stroke()}}
	for _, to := range s.otherUnits(given) {
		factor := given.MM() / to.MM()
		all := true
		for _, i := range bad {
			all = all && s.reaches(s.reads[i].value/factor)
		}
		if !all {
			continue
		}
		p.Title = unit.Sprintf("%s: did you mean %s?", given.String(), to.String())
		p.Text = unit.Sprintf("No window's edge lies %s below the cylinder top when the stroke is %s. Did you mean %s?",
			inMM(given), millimetres(s.geo.Stroke()), inMM(to))
		p.Evidence["meant_mm"], p.Evidence["factor"] = to.MM(), factor
		p.Remedy = &build.Correction{Kind: build.CorrectScaleUnit, Factor: factor, Readings: places}
		p.Action = "Take it as " + to.String()
		d.add(p)
		return d.out[len(d.out)-1].Remedy != nil
	}
	p.Title = "The piston's edge does not get there"
	p.Text = unit.Sprintf("A depth of %s from the cylinder top can't be an edge that the piston uncovers: the stroke is %s. Measure it again, and the crown's depth at TDC.",
		given.String(), millimetres(s.geo.Stroke()))
	d.add(p)
	return false
}

// inMM says a length, in mm too where it was given otherwise.
func inMM(l unit.Length) string {
	if l.Unit == unit.MM {
		return l.String()
	}
	return l.String() + " (" + millimetres(l.MM()) + ")"
}

// reaches says whether a window's edge can lie at a depth in mm.
func (s *state) reaches(depth float64) bool {
	x := (depth - s.deckMM()) / s.geo.Stroke()
	return x >= highestEdge && x <= lowestEdge
}

// otherUnits lists what a length may have been meant as: the same digits in
// another unit, then with the decimal elsewhere.
func (s *state) otherUnits(l unit.Length) []unit.Length {
	var out []unit.Length
	for _, u := range [3]unit.LengthUnit{unit.MM, unit.Inch, unit.Thou} {
		if u != l.Unit {
			out = append(out, unit.Length{Value: l.Value, Unit: u})
		}
	}
	for _, by := range [3]float64{10, 100, 1000} {
		out = append(out, unit.Length{Value: l.Value / by, Unit: l.Unit}, unit.Length{Value: l.Value * by, Unit: l.Unit})
	}
	return out
}
