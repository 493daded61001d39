package plan

import (
	"math"
	"strings"

	"portwright/engine/build"
	"portwright/engine/chamber"
	"portwright/engine/port"
	"portwright/engine/unit"
)

// A form is a number of a state that is linear in the moves; blowdown's is so
// about the state that it was made at.
type form func(s *state) float64

// goal is one target: each of its parts is to come to 0, and no floor may come
// lower than the first part.
type goal struct {
	key    string
	parts  []form
	floors []form
}

// limit is a form that must not rise above 0.
type limit struct {
	name string // as its key stands in the file
	f    form
}

// wanted is one target as given, in its own unit.
type wanted struct {
	key    string
	value  float64
	others bool // of the windows of the kind but the first, which the target itself is about
}

// travelFor returns the travel at which a window that opens and closes by one
// edge, the skirt's or the crown's, has a duration D in degrees:
//
//	x = travel at 180 - D/2 + M(x), D the skirt's from 360
//
// M is how far an offset moves the middle, port.Geometry.Midpoint. Each round
// leaves less than a tenth of the error, so that 16 are exact.
func travelFor(g *port.Geometry, duration float64, skirt bool) (x float64) {
	if skirt {
		duration = 360 - duration
	}
	for range 16 {
		was := x
		if x = g.Travel(unit.Rad(180 - duration/2 + g.Midpoint(x))); x == was {
			break
		}
	}
	return x
}

// kindsOf returns the kinds of window that a target or limit is about.
func kindsOf(key string) []string {
	switch {
	case strings.HasPrefix(key, "exhaust"):
		return []string{build.KindExhaust}
	case strings.HasPrefix(key, "transfer"):
		return []string{build.KindTransfer}
	case strings.HasPrefix(key, "intake"):
		return []string{build.KindIntake}
	}
	return nil
}

// goals returns the targets as forms about a state: each of the window of its
// kind that opens first. The other transfers come next, as near to it as they can.
func (p *problem) goals(at *state) []goal {
	out := make([]goal, 0, len(p.wanted))
	for _, w := range p.wanted {
		g := goal{key: w.key}
		kinds := kindsOf(w.key)
		switch {
		case w.key == build.TargetSquish:
			g.parts = []form{func(s *state) float64 { return s.squish - w.value }}
		case w.key == build.TargetBlowdown:
			to := p.blowdownTo
			if to < 0 {
				to = p.engine.first(at, build.KindTransfer, build.KindBoost)
			}
			g.parts = []form{p.blowdownForm(at, w.value, to)}
			for _, i := range p.fromCrankcase(at) {
				if i != to {
					g.floors = append(g.floors, p.blowdownForm(at, w.value, i))
				}
			}
		case w.key == build.TargetGeometricRatio:
			g.parts = []form{p.geometricForm(w.value)}
		case w.key == build.TargetTrappedRatio:
			g.parts = []form{p.trappedForm(at, w.value)}
		case kinds[0] == build.KindTransfer:
			first := p.first(at, kinds...)
			for i := range p.windows {
				switch {
				case p.windows[i].doc.Kind != build.KindTransfer || math.IsNaN(at.x[i]):
				case (i != first) == w.others:
					g.parts = append(g.parts, p.travelForm(i, w))
				case !w.others: // must not open before the first
					g.floors = append(g.floors, p.travelForm(i, w))
				}
			}
		default:
			first := p.first(at, kinds...)
			g.parts = []form{p.travelForm(first, w)}
			for i := range p.windows { // a second exhaust must not open before the first
				if p.windows[i].doc.Kind == build.KindExhaust && kinds[0] == build.KindExhaust && i != first && !math.IsNaN(at.x[i]) {
					g.floors = append(g.floors, p.travelForm(i, w))
				}
			}
		}
		out = append(out, g)
	}
	return out
}

// travelForm is how far a window's edge lies from where a target has it.
func (p *problem) travelForm(i int, w wanted) form {
	var x float64
	switch skirt := p.windows[i].skirt; {
	case strings.HasSuffix(w.key, "duration_deg"):
		x = travelFor(&p.geo, w.value, skirt)
	default:
		x = p.geo.Travel(unit.Rad(w.value))
	}
	return func(s *state) float64 { return s.x[i] - x }
}

// blowdownForm is the blowdown to one window less what is wanted, along the
// slope at a state, as a depth at the slope that the exhaust has now: one scale
// for all states.
func (p *problem) blowdownForm(at *state, want float64, tr int) form {
	ex := p.engine.first(at, build.KindExhaust)
	eo, to := p.opening(at, ex), p.opening(at, tr)
	b := port.Blowdown(eo, to)
	perE, perT := finite(p.geo.DegPerMM(eo)), finite(p.geo.DegPerMM(to))
	xe, xt := at.x[ex], at.x[tr]
	scale := p.scale
	return func(s *state) float64 {
		return (b - want + (s.x[tr]-xt)*perT - (s.x[ex]-xe)*perE) / scale
	}
}

// fromCrankcase returns the windows that blowdown may count to.
func (p *problem) fromCrankcase(at *state) (out []int) {
	for i := range p.windows {
		kind := p.windows[i].doc.Kind
		if (kind == build.KindTransfer || kind == build.KindBoost) && !math.IsNaN(at.x[i]) {
			out = append(out, i)
		}
	}
	return out
}

// finite keeps a slope usable next to a dead centre.
func finite(perMM float64) float64 { return math.Min(perMM, 100) }

// geometricForm:
//
//	V_c - V_s/(CR - 1), as a depth over the bore
func (p *problem) geometricForm(ratio float64) form {
	perMM := chamber.VolumeOf(p.bore, 1)
	vs := chamber.Displacement(p.bore, p.geo.ActualStroke())
	return func(s *state) float64 { return (s.clearance - chamber.ClearanceFor(ratio, vs)) / perMM }
}

// trappedRow:
//
//	(A_p x_E + V_c)/V_c = CR, so A_p x_E - (CR - 1) V_c = 0, as a depth
func (p *problem) trappedRow(at *state, ratio float64) form {
	perMM := chamber.VolumeOf(p.bore, 1)
	ex := p.engine.first(at, build.KindExhaust)
	return func(s *state) float64 { return s.x[ex] - (ratio-1)*s.clearance/perMM }
}

// trappedForm is the trapped ratio less what is wanted, along its slope at a
// state, as a depth at the volume that there is now: one scale for all states.
// Two states that miss a ratio alike then count alike, whatever their volumes.
//
//	CR - want = (CR_at - want) + (A_p x_E - (CR_at - 1) V_c)/V_c,at
//
// Source: Dinkelbach, Management Science 13, 1967, 492-498, from memory: the
// best of a quotient is where the row at its own value comes to 0.
func (p *problem) trappedForm(at *state, want float64) form {
	ex := p.engine.first(at, build.KindExhaust)
	is := chamber.TrappedRatio(p.bore, at.x[ex], at.clearance)
	row, scale := p.trappedRow(at, is), p.now.clearance/chamber.VolumeOf(p.bore, 1)
	return func(s *state) float64 { return (is-want)*scale + row(s)*p.now.clearance/at.clearance }
}

// Names of limits that nobody gave: windows that should open together are cut
// together, the crown stays off the head and out of the ring's groove, the ring
// stays in the bore, and no transfer opens before the exhaust.
const (
	ringLand     = "ring_land"
	ringInBore   = "ring_in_bore"
	sideToSide   = "side_to_side"
	contact      = "contact"
	exhaustFirst = "exhaust_opens_first"
)

// limits returns what must not be crossed as forms about a state.
func (p *problem) limits(at *state) []limit {
	l := &p.build.Limits
	var out []limit
	add := func(name string, f form) { out = append(out, limit{name, f}) }
	gap := func(name string, least float64) {
		add(name, func(s *state) float64 { return least - s.least })
	}
	if !math.IsNaN(at.least) {
		if l.SquishMin != nil {
			gap("squish_min_mm", l.SquishMin.MM())
		}
		// Crown on head, a step more than what is warned of. Between the two it may
		// stay where it is; nearer it has to be put right.
		least := p.contactRoom() + latheStep
		if p.now.least > p.contactRoom()+touch {
			least = math.Min(least, p.now.least)
		}
		gap(contact, least)
	}
	if !math.IsNaN(at.ring) { // the same of the ring: no nearer to its groove than the land is known
		land := math.Min(groove, p.now.ring)
		add(ringLand, func(s *state) float64 { return land - s.ring })
		if !math.IsNaN(at.deck) {
			deck := math.Min(0, p.now.deck+p.now.ring)
			add(ringInBore, func(s *state) float64 { return deck - s.deck - s.ring })
		}
	}
	p.inStroke(add)
	duration := func(name string, most *float64, kinds ...string) {
		for i := range p.windows {
			w := &p.windows[i]
			if most == nil || math.IsNaN(at.x[i]) || !w.crown && !w.skirt || w.doc.Kind != kinds[0] && w.doc.Kind != kinds[len(kinds)-1] {
				continue
			}
			x, sign := travelFor(&p.geo, *most, w.skirt), 1.0
			if w.skirt {
				sign = -1
			}
			add(name, func(s *state) float64 { return sign * (x - s.x[i]) })
		}
	}
	duration("exhaust_duration_max_deg", l.ExhaustDurationMax, build.KindExhaust)
	duration("transfer_duration_max_deg", l.TransferDurationMax, build.KindTransfer, build.KindBoost)
	duration("intake_duration_max_deg", l.IntakeDurationMax, build.KindIntake)
	if l.BlowdownMin != nil {
		for _, i := range p.fromCrankcase(at) {
			f := p.blowdownForm(at, *l.BlowdownMin, i)
			add("blowdown_min_deg", func(s *state) float64 { return -f(s) })
		}
	}
	if l.GeometricRatioMax != nil {
		f := p.geometricForm(*l.GeometricRatioMax)
		add("geometric_ratio_max", func(s *state) float64 { return -f(s) })
	}
	if l.TrappedRatioMax != nil {
		add("trapped_ratio_max", p.trappedRow(at, *l.TrappedRatioMax))
	}
	if ex := p.engine.first(at, build.KindExhaust); ex >= 0 {
		for _, i := range p.fromCrankcase(at) { // what opens before the exhaust already may go on so
			already := math.Max(0, p.now.x[ex]-p.now.x[i])
			add(exhaustFirst, func(s *state) float64 { return s.x[ex] - s.x[i] - already })
		}
	}
	for _, pair := range p.pairs { // what they differ by is kept or made less
		a, b := pair[0], pair[1]
		d := p.now.x[a] - p.now.x[b]
		owed := p.owed(a, b, d)
		most, least := math.Max(d-owed, 0), math.Min(d-owed, 0)
		add(sideToSide, func(s *state) float64 { return s.x[a] - s.x[b] - most })
		add(sideToSide, func(s *state) float64 { return least - s.x[a] + s.x[b] })
	}
	if l.SealLandMin != nil {
		for i := range p.windows {
			if p.windows[i].doc.Kind == build.KindExhaust {
				land := l.SealLandMin.MM()
				add("seal_land_min_mm", func(s *state) float64 { return land - s.sealLand(i) })
			}
		}
	}
	return out
}

// owed returns how much of the difference d of a pair's travels comes of bites
// that were made at one side alone and can still be made at the other: half of a
// cut for both must not become the cut.
func (p *problem) owed(a, b int, d float64) float64 {
	ahead := 0.0 // of d, by bites
	for _, c := range p.base.taken {
		by := c.by
		if p.windows[a].crown {
			by = -by
		}
		switch c.window {
		case a:
			ahead += by
		case b:
			ahead -= by
		}
	}
	behind := a // which is cut to bring d nearer to 0
	if (d > 0) != p.windows[a].crown {
		behind = b
	}
	for j := range p.vars {
		if v := &p.vars[j]; v.window == behind && v.allowed && ahead*d > 0 {
			return math.Copysign(math.Min(math.Min(math.Abs(ahead), math.Abs(d)), v.most), d)
		}
	}
	return 0
}

// sealLand returns how far the skirt reaches below an exhaust's floor at TDC.
//
//	H - (x_E + height)
func (s *state) sealLand(i int) float64 { return s.skirtExhaust - s.x[i] - s.height[i] }

// need says what a target or limit can't do without, as *unit.InputError.
func (p *problem) need(at, key string) error {
	missing := ""
	want := func(known bool, field string) {
		if !known {
			if missing != "" {
				missing += " and "
			}
			missing += field
		}
	}
	is := func(start string) bool { return strings.HasPrefix(key, start) }
	land := key == "seal_land_min_mm"
	for _, kind := range [3]string{build.KindExhaust, build.KindTransfer, build.KindIntake} {
		if is(kind) || is("blowdown") && kind != build.KindIntake || (is("trapped") || land) && kind == build.KindExhaust {
			first := p.engine.first(&p.now, kind)
			if is("blowdown") && kind == build.KindTransfer {
				first = p.engine.first(&p.now, kind, build.KindBoost)
			}
			want(first >= 0, "readings of the "+kind)
		}
	}
	want(!is("squish") || !math.IsNaN(p.now.squish), "engine.squish_mm")
	ratio := is("geometric") || is("trapped")
	want(!ratio || !math.IsNaN(p.bore), "engine.bore_mm")
	want(!ratio || !math.IsNaN(p.now.clearance), "engine.chamber_cc")
	want(!land || !math.IsNaN(p.now.skirtExhaust), "engine.skirt_exhaust_mm")
	for i := range p.windows {
		want(!land || p.windows[i].doc.Kind != build.KindExhaust || !math.IsNaN(p.now.height[i]), "height_mm of "+p.windows[i].doc.Name)
	}
	if missing == "" {
		return nil
	}
	return bad(at, "", "needs "+missing)
}
