package sheet

import (
	"math"
	"strconv"
	"strings"

	"portwright/engine/build"
	"portwright/engine/chamber"
	"portwright/engine/findings"
	"portwright/engine/plan"
	"portwright/engine/port"
	"portwright/engine/unit"
)

// work is a build with its results, while a sheet is made of it.
type work struct {
	b           *build.Build // with corrections in force
	measured    []findings.Measured
	results     []findings.PassResult
	comparisons []findings.Comparison
	plan        *plan.Result
}

func ptr(v float64) *float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return nil
	}
	return &v
}

// passesOf lists the places of a cylinder's passes.
func (w *work) passesOf(cylinder int) (out []int) {
	for i := range w.results {
		if max(w.results[i].Cylinder, 1) == cylinder {
			out = append(out, i)
		}
	}
	return
}

// state lists the numbers of a pass.
func (w *work) state(i int) State {
	r := &w.results[i]
	out := State{Name: r.Name}
	for k := range r.Windows {
		out.Groups = append(out.Groups, windowGroup(&r.Windows[k], &w.measured[i].Windows[k]))
	}
	blow := Number{Key: plan.NumberNames()[plan.Blowdown].Key, Name: "Blowdown", Unit: "°", Decimals: 1, Value: r.BlowdownDeg, U95: r.BlowdownU95Deg}
	if r.BlowdownWindow != "" {
		blow.How = "to " + r.BlowdownWindow
	}
	whole := Group{Name: "Cylinder", Numbers: append([]Number{blow}, w.volumes(i)...)}
	out.Groups = append(out.Groups, whole)
	return out
}

// windowGroup lists what a pass says of one window.
func windowGroup(r *findings.WindowResult, m *findings.MeasuredWindow) Group {
	g := Group{Name: r.Name, How: howRead(r)}
	edge := "roof"
	if m.Skirt {
		edge = "floor, met by the skirt"
	}
	g.Numbers = []Number{
		{Key: r.Name + " opens", Name: "Opens", Unit: "°", Decimals: 1, Kind: r.Kind, Value: r.OpensDeg, U95: r.OpensU95Deg},
		{Key: r.Name + " closes", Name: "Closes", Unit: "°", Decimals: 1, Kind: r.Kind, Value: r.ClosesDeg, U95: r.ClosesU95Deg},
		{Key: r.Name + " duration", Name: "Duration", Unit: "°", Decimals: 1, Value: r.DurationDeg, U95: r.DurationU95Deg},
	}
	if m.Crown || m.Skirt {
		g.Numbers = append(g.Numbers, Number{Key: r.Name + " travel", Name: "Travel to the " + edge, Unit: "mm", Decimals: 2, Value: r.TravelMM, U95: r.TravelU95MM})
	}
	if r.Repeats == 0 {
		for i := range g.Numbers {
			g.Numbers[i].Missing = "not read"
		}
	}
	return g
}

// howRead says how a window's numbers were had.
func howRead(r *findings.WindowResult) string {
	if r.Repeats == 0 {
		return "not read"
	}
	parts := []string{"method not noted"}
	if len(r.Methods) > 0 {
		parts[0] = "by " + strings.Join(r.Methods, " and ")
	}
	parts = append(parts, counted(r.Repeats, "reading"))
	if r.SpreadDeg != nil {
		parts = append(parts, "spread "+unit.Plain(*r.SpreadDeg, 2)+"°")
	}
	if r.SpreadMM != nil {
		parts = append(parts, "spread "+unit.Plain(*r.SpreadMM, 2)+" mm")
	}
	if r.SymmetryAssumed {
		parts = append(parts, "symmetry assumed")
	}
	if len(r.DoubtedBy) > 0 {
		parts = append(parts, "IN DOUBT until "+strings.ReplaceAll(strings.Join(r.DoubtedBy, ", "), "_", " ")+" is settled")
	}
	return strings.Join(parts, ", ")
}

func counted(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return strconv.Itoa(n) + " " + what + "s"
}

// volumes lists squish, displacement and ratios of a pass. Squish and chamber
// that were measured before a cut that changes them are not this state's.
func (w *work) volumes(i int) []Number {
	r, m := &w.results[i], &w.measured[i]
	e := &m.Engine
	names := plan.NumberNames()
	squish := Number{Key: names[plan.Squish].Key, Name: "Squish, pin axis", Unit: "mm", Decimals: 2, How: "not measured"}
	var gaps []float64
	for _, l := range e.Squish {
		gaps = append(gaps, l.MM())
	}
	if q, ok := chamber.MeasuredSquish(gaps); ok {
		squish.How = "not measured since the cut"
		if !findings.Stale(w.b, i, func(p *build.Pass) bool { return len(p.Squish) > 0 }) {
			squish.Value, squish.U95 = r.SquishMM, ptr(2*plan.SquishU)
			squish.How = "wire in " + counted(q.Places, "place") + ", " + unit.Fixed(q.Least, 2) + " to " + unit.Fixed(q.Most, 2)
		}
	}
	swept := Number{Key: "displacement", Name: "Displacement", Unit: "cc", Decimals: 2, Steady: true, Value: r.DisplacementCC, How: "bore and stroke"}
	geometric := Number{Key: names[plan.GeometricRatio].Key, Name: "Geometric ratio, full stroke", Decimals: 2, How: "chamber not measured"}
	trapped := Number{Key: names[plan.TrappedRatio].Key, Name: "Trapped ratio, from exhaust closing", Decimals: 2, How: "chamber not measured"}
	if r.DisplacementCC == nil || m.Crank == nil || e.Bore == nil {
		swept.Value, swept.How = nil, "bore or stroke not known"
		return []Number{squish, swept, geometric, trapped}
	}
	d := doubts{bore: e.Bore.MM(), geo: m.Crank, swept: *r.DisplacementCC}
	swept.U95 = ptr(2 * d.sweptU())
	if e.ChamberCC != nil {
		geometric.How, trapped.How = "not measured since the cut", "not measured since the cut"
		if !findings.Stale(w.b, i, func(p *build.Pass) bool { return p.ChamberCC != nil }) {
			how := "chamber " + unit.Plain(*e.ChamberCC, 2) + " cc"
			geometric.Value, geometric.U95, geometric.How = r.GeometricRatio, ptr(2*d.geometricU(*e.ChamberCC)), how
			trapped.Value, trapped.How = r.TrappedRatio, how
			if x := exhaust(r); x != nil {
				trapped.U95 = ptr(2 * d.trappedU(*e.ChamberCC, *x.TravelMM, *x.TravelU95MM/2))
			}
		}
	}
	return []Number{squish, swept, geometric, trapped}
}

// doubts propagates the doubt of bore, stroke, chamber and travel.
//
//	u^2(V_s) = V_s^2 ((2 u_B/B)^2 + (u_S/S)^2)
//	u^2(CR)  = (CR - 1)^2 (u^2(V)/V^2 + u^2(V_c)/V_c^2), V swept or trapped
//
// doubled for 95 %. Source: JCGM 100:2008, eq. (10) and (12).
type doubts struct {
	bore  float64
	geo   *port.Geometry
	swept float64
}

func (d *doubts) boreShare() float64 { return 2 * port.DefaultBoreU / d.bore }

func (d *doubts) sweptU() float64 {
	return d.swept * math.Hypot(d.boreShare(), d.geo.StrokeU/d.geo.Stroke())
}

func (d *doubts) geometricU(cc float64) float64 {
	return d.swept / cc * math.Hypot(d.sweptU()/d.swept, plan.ChamberU/cc)
}

func (d *doubts) trappedU(cc, travel, travelU float64) float64 {
	return chamber.VolumeOf(d.bore, travel) / cc * math.Hypot(math.Hypot(d.boreShare(), travelU/travel), plan.ChamberU/cc)
}
