package sheet

import (
	"math"

	"portwright/engine/build"
	"portwright/engine/findings"
	"portwright/engine/plan"
	"portwright/engine/unit"
)

// from is the place of the pass that the plan starts from, -1 for none.
func (w *work) from(cylinder int) int {
	if w.plan == nil || w.plan.Status == plan.Impossible || max(w.plan.Cylinder, 1) != cylinder || len(w.plan.Moves) == 0 {
		return -1
	}
	from := -1
	for i := range w.results {
		if max(w.results[i].Cylinder, 1) == cylinder && w.results[i].Name == w.plan.Pass {
			from = i
		}
	}
	return from
}

// exhaust is the exhaust window of a pass that opens first, nil where its travel
// is not known.
func exhaust(r *findings.PassResult) *findings.WindowResult {
	var first *findings.WindowResult
	for i := range r.Windows {
		x := &r.Windows[i]
		if x.Kind == build.KindExhaust && x.TravelMM != nil && x.TravelU95MM != nil && (first == nil || *x.TravelMM < *first.TravelMM) {
			first = x
		}
	}
	return first
}

// planned lists the numbers after the moves of the plan, if they are cut as
// given: each edge carries the doubt in mm of the reading it starts from.
//
//	U(opens) = U(travel) da/dx,  U(duration) = 2 U(opens)
//
// with the slope after the cut. Source: JCGM 100:2008, eq. (10).
func (w *work) planned(i int) State {
	r, m := &w.results[i], &w.measured[i]
	out := State{Name: "aim, not read yet"}
	names := plan.NumberNames()
	opensU := map[string]*float64{}
	for k := range r.Windows {
		g := windowGroup(&r.Windows[k], &m.Windows[k])
		g.How = ""
		edge := w.edgeOf(r.Windows[k].Name)
		for j := range g.Numbers {
			g.Numbers[j].Value, g.Numbers[j].U95, g.Numbers[j].Missing = nil, nil, ""
		}
		if edge != nil && edge.OpensDeg != nil {
			u := r.Windows[k].TravelU95MM
			var deg, twice *float64
			if u != nil && m.Crank != nil {
				deg = ptr(*u * m.Crank.DegPerMM(*edge.OpensDeg))
			}
			if deg != nil {
				twice = ptr(2 * *deg)
			}
			opensU[r.Windows[k].Name] = deg
			values := []*float64{edge.OpensDeg, edge.ClosesDeg, edge.DurationDeg, edge.TravelMM}
			us := []*float64{deg, deg, twice, u}
			for j := range g.Numbers {
				g.Numbers[j].Value, g.Numbers[j].U95 = values[j], us[j]
			}
		}
		out.Groups = append(out.Groups, g)
	}
	after := func(place int, name, of string, decimals int) Number {
		return Number{Key: names[place].Key, Name: name, Unit: of, Decimals: decimals, Value: ptr(w.plan.After[place])}
	}
	blow := after(plan.Blowdown, "Blowdown", "°", 1)
	blow.U95 = w.blowdownDoubt(r, opensU)
	squish := after(plan.Squish, "Squish, pin axis", "mm", 2)
	squish.U95 = ptr(2 * plan.SquishU)
	geometric := after(plan.GeometricRatio, "Geometric ratio, full stroke", "", 2)
	trapped := after(plan.TrappedRatio, "Trapped ratio, from exhaust closing", "", 2)
	swept := Number{Key: "displacement", Name: "Displacement", Unit: "cc", Decimals: 2, Steady: true}
	for _, n := range w.volumes(i) {
		if n.Key == swept.Key { // no move changes it
			swept.Value, swept.U95 = n.Value, n.U95
		}
	}
	if cc := w.plan.After[plan.Clearance]; cc > 0 && m.Engine.Bore != nil && r.DisplacementCC != nil && m.Crank != nil {
		d := doubts{bore: m.Engine.Bore.MM(), geo: m.Crank, swept: *r.DisplacementCC}
		geometric.U95 = ptr(2 * d.geometricU(cc))
		if x := exhaust(r); x != nil {
			if e := w.edgeOf(x.Name); e != nil && e.TravelMM != nil {
				trapped.U95 = ptr(2 * d.trappedU(cc, *e.TravelMM, *x.TravelU95MM/2))
			}
		}
	}
	out.Groups = append(out.Groups, Group{Name: "Cylinder", Numbers: []Number{blow, squish, swept, geometric, trapped}})
	return out
}

// blowdownDoubt is that of the first exhaust's and the first transfer's opening.
func (w *work) blowdownDoubt(r *findings.PassResult, opensU map[string]*float64) *float64 {
	first := func(kinds ...string) *float64 {
		var u *float64
		least := math.Inf(1)
		for i := range w.plan.Windows {
			p := &w.plan.Windows[i]
			if (p.Kind == kinds[0] || p.Kind == kinds[len(kinds)-1]) && p.After.OpensDeg != nil && *p.After.OpensDeg < least {
				least, u = *p.After.OpensDeg, opensU[p.Name]
			}
		}
		return u
	}
	e, t := first(build.KindExhaust), first(build.KindTransfer, build.KindBoost)
	if e == nil || t == nil {
		return nil
	}
	return ptr(math.Hypot(*e, *t))
}

// edgeOf is a window after the plan's moves.
func (w *work) edgeOf(name string) *plan.Edge {
	for i := range w.plan.Windows {
		if w.plan.Windows[i].Name == name {
			return &w.plan.Windows[i].After
		}
	}
	return nil
}

// plannedPass is a pass as the plan leaves it, for the ring.
func (w *work) plannedPass(i int) *findings.PassResult {
	p := w.results[i]
	p.Name = "aim"
	p.Windows = append([]findings.WindowResult(nil), p.Windows...)
	for k := range p.Windows {
		x := &p.Windows[k]
		if e := w.edgeOf(x.Name); e != nil && e.OpensDeg != nil {
			x.OpensDeg, x.ClosesDeg, x.DurationDeg, x.TravelMM = e.OpensDeg, e.ClosesDeg, e.DurationDeg, e.TravelMM
		}
	}
	p.BlowdownDeg = ptr(w.plan.After[plan.Blowdown])
	first := math.Inf(1)
	for k := range p.Windows {
		x := &p.Windows[k]
		if (x.Kind == build.KindTransfer || x.Kind == build.KindBoost) && x.OpensDeg != nil && unit.Turn(*x.OpensDeg) < first {
			first, p.BlowdownWindow = *x.OpensDeg, x.Name
		}
	}
	return &p
}
