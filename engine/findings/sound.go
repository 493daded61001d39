package findings

import (
	"fmt"
	"math"

	"portwright/engine/build"
	"portwright/engine/chamber"
	"portwright/engine/unit"
	"portwright/engine/wheel"
)

// squishUneven is by how much squish may differ from place to place, in mm.
// Common practice, no source: about 0.006 in.
const squishUneven = 0.15

// engine looks at the engine's own numbers. Lengths in a doubtful unit are
// looked past as they were probably meant.
func (d *diagnosis) engine() {
	d.units()
	d.squish()
	d.shapes()
}

// units finds lengths that are likely in another unit or a decimal off.
func (d *diagnosis) units() {
	now := *d.now.b
	now.Engine, now.Windows, now.Passes, now.Wheel = d.now.engine, d.now.shapes, nil, build.Wheel{}
	var waiting []Problem
	for _, doubt := range build.Doubts(&now) {
		p, ok := unitProblem(doubt)
		switch {
		case !ok: // unlikely, but no slip of unit or decimal explains it
		case d.as.turns(p.Remedy):
			d.add(p)
		default:
			waiting = append(waiting, p)
		}
	}
	// Stroke and rod may both be in inches: the one that can't be put right by
	// itself waits until the other was.
	if len(d.out) == 0 {
		for _, p := range waiting {
			d.add(p)
		}
	}
}

// turns says whether the crank turns with a correction in force.
func (s *state) turns(c *build.Correction) bool {
	_, err := s.with(*c)
	return err == nil
}

func unitProblem(doubt build.Doubt) (Problem, bool) {
	if doubt.Suggest == nil {
		return Problem{}, false
	}
	given, meant := doubt.Given, *doubt.Suggest
	factor := given.MM() / meant.MM()
	return Problem{
		Code: CodeUnitSlip, Windows: []string{},
		Title:    fmt.Sprintf("%s: did you mean %s?", given.String(), meant.String()),
		Text:     doubt.Text + " Until then it is taken as given.",
		Evidence: map[string]float64{"given_mm": given.MM(), "meant_mm": meant.MM(), "factor": factor},
		Remedy:   &build.Correction{Kind: build.CorrectScaleUnit, Field: doubt.Field, Factor: factor},
		Action:   "Take it as " + meant.String(),
	}, true
}

// squish looks at the gaps taken with wire.
func (d *diagnosis) squish() {
	q, ok := chamber.MeasuredSquish(d.now.squish())
	if !ok {
		return
	}
	// The wire's size is its nominal one; its own tolerance is some hundredths.
	const tolerance = 0.03
	if wire := mm(d.now.engine.SquishWire); wire > 0 && q.Most >= wire-tolerance {
		d.add(Problem{
			Code: CodeWireNotCrushed, Title: "The wire was not crushed",
			Text: fmt.Sprintf("A squish of %s is as much as the wire's own %s: it was not squeezed there, and the gap may be any amount larger. Use thicker wire.",
				millimetres(q.Most), millimetres(wire)),
			Evidence: map[string]float64{"squish_mm": q.Most, "wire_mm": wire},
		})
		return
	}
	if q.Spread() > squishUneven {
		d.add(Problem{
			Code: CodeSquishUneven, Title: "Squish differs by " + millimetres(q.Spread()) + " round the bore",
			Text: fmt.Sprintf("Squish is %s at the least and %s at the most. Up to %s is usual (common practice). Look for a burr or dirt under the cylinder, a bent or uneven gasket, and piston rock if the wire lay off the pin axis; the least counts for safety.",
				millimetres(q.Least), millimetres(q.Most), millimetres(squishUneven)),
			Evidence: map[string]float64{"least_mm": q.Least, "most_mm": q.Most, "spread_mm": q.Spread()},
		})
	}
}

// widest is the share of the bore beyond which a window is too wide for its
// ring, and startAt where widening should begin.
//
// Source: Jennings, Two-Stroke Tuner's Handbook, 1973, exhaust port widening:
// begin at 62 % of the bore, 70 % is the limit.
const (
	startAt = 0.62
	widest  = 0.70
)

// freePortLand is how much skirt has to stay below the exhaust floor at TDC to
// seal, in mm. Common practice, no source.
const freePortLand = 0.5

// shapes looks at windows against bore, skirt and ring, where their sizes were
// given.
func (d *diagnosis) shapes() {
	for i := range d.now.windows {
		w := &d.now.windows[i]
		d.width(w)
		t := d.now.timing(i)
		if t.travel == nil || w.doc.Height == nil {
			continue
		}
		switch {
		case w.doc.Kind == build.KindExhaust:
			d.freePort(w, t.travel.Value)
		case w.doc.Kind == build.KindIntake && w.skirt:
			d.ring(w, t.travel.Value)
		}
	}
}

func (d *diagnosis) width(w *window) {
	bore, chord := mm(d.now.engine.Bore), mm(w.doc.Chord)
	if bore <= 0 || chord <= widest*bore {
		return
	}
	d.add(Problem{
		Code: CodePortTooWide, Windows: []string{w.doc.Name},
		Title: fmt.Sprintf("%s is %s %% of the bore wide", capital(w.doc.Name), unit.Plain(100*chord/bore, 0)),
		Text: fmt.Sprintf("%s is %s wide across the chord, %s %% of the bore. 70 %% (%s) is the limit for the ring and only with an arched top and round corners; widening begins at 62 %% (Jennings 1973).",
			capital(w.doc.Name), millimetres(chord), unit.Plain(100*chord/bore, 1), millimetres(widest*bore)),
		Evidence: map[string]float64{"chord_mm": chord, "bore_mm": bore, "share_of_bore": chord / bore, "start_at": startAt, "limit": widest},
	})
}

// freePort: at TDC the skirt's lower edge stands H below the crown's edge, the
// window's floor x_E + height below it.
//
//	margin = H - (x_E + height)
func (d *diagnosis) freePort(w *window, travel float64) {
	if d.now.engine.SkirtExhaust == nil {
		return
	}
	margin := mm(d.now.engine.SkirtExhaust) - (travel + mm(w.doc.Height))
	if margin >= freePortLand {
		return
	}
	p := Problem{
		Code: CodeFreePorting, Windows: []string{w.doc.Name},
		Title:    "The skirt uncovers " + w.doc.Name + " at TDC",
		Evidence: map[string]float64{"margin_mm": margin, "floor_below_crown_mm": travel + mm(w.doc.Height), "skirt_mm": mm(d.now.engine.SkirtExhaust)},
		Text: fmt.Sprintf("At TDC the skirt ends %s above the floor of %s: the crankcase is open to the exhaust by that much.",
			millimetres(-margin), w.doc.Name),
	}
	if margin >= 0 {
		p.Title = "The skirt hardly covers " + w.doc.Name + " at TDC"
		p.Text = fmt.Sprintf("At TDC the skirt reaches %s below the floor of %s; about %s is wanted to seal (common practice). Lowering the cylinder takes it away.",
			millimetres(margin), w.doc.Name, millimetres(freePortLand))
	}
	d.add(p)
}

// ring: at BDC the ring's lower edge stands S + a + h below the crown's edge at
// TDC; the intake's roof x_I + H - height below it.
func (d *diagnosis) ring(w *window, travel float64) {
	e := &d.now.engine
	if e.SkirtIntake == nil || e.RingBelowCrown == nil || e.RingHeight == nil || d.now.geo == nil {
		return
	}
	ring := d.now.geo.ActualStroke() + mm(e.RingBelowCrown) + mm(e.RingHeight)
	roof := travel + mm(e.SkirtIntake) - mm(w.doc.Height)
	if roof >= ring {
		return
	}
	d.add(Problem{
		Code: CodeRingOverPort, Windows: []string{w.doc.Name},
		Title: "The ring runs over " + w.doc.Name + " at BDC",
		Text: fmt.Sprintf("At BDC the ring's lower edge stands %s below the roof of %s. That is safe only where the ring's ends are pinned clear of it.",
			millimetres(ring-roof), w.doc.Name),
		Evidence: map[string]float64{"over_mm": ring - roof, "ring_mm": ring, "roof_mm": roof},
	})
}

// stops looks at stop checks that are too little to stand on.
func (d *diagnosis) stops() {
	s := d.now
	if s.habit != build.HabitTDCZero {
		return
	}
	singles := 0
	for i := range s.p.Stops {
		if st := &s.p.Stops[i]; st.Struck == "" && len(st.Readings) == 1 {
			singles++
			if singles == 1 && s.zero == nil {
				d.add(Problem{
					Code: CodeSingleStop, Title: "Only one reading against the stop",
					Text: fmt.Sprintf("The stop was met at %s from one side only. TDC is the middle of the two sides: turn back onto the stop from the other side and read again.",
						degrees(st.Readings[0])),
					Evidence: map[string]float64{"reading_deg": st.Readings[0]},
				})
			}
		}
	}
	if z := s.zero; z != nil && z.Least < wheel.ShortArc {
		d.add(Problem{
			Code: CodeShortStopArc, Title: "The stop stands too near the dead centre",
			Text: fmt.Sprintf("The two readings against the stop lie only %s apart; at least %s is wanted. So near the dead centre a hair of give in the stop turns the wheel a long way: screw it further in and repeat.",
				degrees(z.Least), degrees(wheel.ShortArc)),
			Evidence: map[string]float64{"arc_deg": z.Least, "least_deg": wheel.ShortArc},
		})
	}
}

// assumed says what stands on symmetry or on a geometry that is not known.
func (d *diagnosis) assumed() {
	s := d.now
	if s.habit == build.HabitTDCZero {
		var names []string
		for i := range s.windows {
			if t := s.timing(i); t.assumed {
				names = append(names, s.windows[i].doc.Name)
			}
		}
		if len(names) > 0 {
			d.add(Problem{
				Code: CodeSymmetryAssumed, Windows: names,
				Title: "Symmetry is assumed",
				Text: fmt.Sprintf("Of %s only one event was read. The other is taken as its mirror image about the dead centre, so a zero that is out counts twice in the duration and nothing would show it. Read openings and closings both.",
					list(names)),
				Evidence: map[string]float64{"windows": float64(len(names))},
			})
		}
	}
	d.unknown()
}

// unknown: numbers of the engine that a pass can't do without.
func (d *diagnosis) unknown() {
	s := d.now
	e := &s.engine
	if s.habit != build.HabitDepth || len(s.events) == 0 {
		if mm(e.PinOffset) != 0 && e.Stroke == nil {
			d.add(Problem{Code: CodeGeometryUnknown, Title: "The stroke is needed for the offset",
				Text:     "An offset is given, but without the stroke it can't be counted in.",
				Evidence: map[string]float64{"pin_offset_mm": mm(e.PinOffset)}})
		}
		return
	}
	var names []string
	for i := range s.windows {
		if s.windows[i].o >= 0 {
			names = append(names, s.windows[i].doc.Name)
		}
	}
	p := Problem{Code: CodeGeometryUnknown, Windows: names, Evidence: map[string]float64{}}
	switch {
	case e.Stroke == nil:
		p.Title = "Depths need the stroke"
		p.Text = "A depth becomes degrees by stroke and rod. Give the stroke; the rod too if it can be measured."
	case e.CrownBelowDeck == nil:
		p.Title = "How deep the piston stands at TDC is needed"
		p.Text = fmt.Sprintf("Depths are from the cylinder top, and how far the crown's edge stands below it at TDC is not given: it is taken as flush, give or take %s.", millimetres(crownUnknown))
		p.Evidence["assumed_mm"], p.Evidence["either_way_mm"] = 0, crownUnknown
		d.worth(&p, crownUnknown)
	case e.Rod == nil:
		p.Title = "The rod's length is not known"
		p.Text = "Anything from 1.6 to 2.2 strokes is possible, and the degrees carry that doubt."
		p.Evidence["rod_mm"], p.Evidence["rod_u_mm"] = s.geo.Rod(), s.geo.RodU
		for i := range s.windows {
			if t := s.timing(i); t.duration != nil {
				p.Evidence["duration_u95_deg"] = math.Max(p.Evidence["duration_u95_deg"], s.u95(t.duration))
			}
		}
		p.Text += fmt.Sprintf(" Durations are good to %s only.", degrees(p.Evidence["duration_u95_deg"]))
	default:
		return
	}
	d.add(p)
}

// worth adds what a length in doubt is worth in duration at the first window.
func (d *diagnosis) worth(p *Problem, by float64) {
	for i := range d.now.windows {
		if t := d.now.timing(i); t.opens != nil {
			p.Evidence["duration_per_mm_deg"] = 2 * d.now.geo.DegPerMM(t.opens.Value)
			p.Text += fmt.Sprintf(" At %s %s is worth %s of duration.", d.now.windows[i].doc.Name,
				millimetres(by), degrees(2*d.now.geo.DegPerMM(t.opens.Value)*by))
			return
		}
	}
}
