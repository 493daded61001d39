package findings

import (
	"portwright/engine/build"
	"portwright/engine/chamber"
	"portwright/engine/port"
	"portwright/engine/unit"
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
		Title:    unit.Sprintf("%s: did you mean %s?", given.String(), meant.String()),
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
			Text: unit.Sprintf("A squish of %s is as much as the wire's own %s: it was not squeezed there, and the gap may be any amount larger. Use thicker wire.",
				millimetres(q.Most), millimetres(wire)),
			Evidence: map[string]float64{"squish_mm": q.Most, "wire_mm": wire},
		})
		return
	}
	if q.Spread() > squishUneven {
		d.add(Problem{
			Code: CodeSquishUneven, Title: "Squish differs by " + millimetres(q.Spread()) + " round the bore",
			Text: unit.Sprintf("Squish is %s at the least and %s at the most. Up to %s is usual (common practice). Look for a burr or dirt under the cylinder, a bent or uneven gasket, and piston rock if the wire lay off the pin axis; the least counts for safety.",
				millimetres(q.Least), millimetres(q.Most), millimetres(squishUneven)),
			Evidence: map[string]float64{"least_mm": q.Least, "most_mm": q.Most, "spread_mm": q.Spread()},
		})
	}
}

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
	if n := float64(w.doc.Bridges); n > 0 && chord > n*mm(w.doc.Bridge) { // each opening between them
		chord = (chord - n*mm(w.doc.Bridge)) / (n + 1)
	}
	if bore <= 0 || chord <= port.WidthLimit*bore {
		return
	}
	d.add(Problem{
		Code: CodePortTooWide, Windows: []string{w.doc.Name},
		Title: unit.Sprintf("%s is %s %% of the bore wide", capital(w.doc.Name), unit.Plain(100*chord/bore, 0)),
		Text: unit.Sprintf("%s is %s wide across the chord, %s %% of the bore. 70 %% (%s) is the limit for the ring and only with an arched top and round corners; widening begins at 62 %% (Jennings 1973).",
			capital(w.doc.Name), millimetres(chord), unit.Plain(100*chord/bore, 1), millimetres(port.WidthLimit*bore)),
		Evidence: map[string]float64{"chord_mm": chord, "bore_mm": bore, "share_of_bore": chord / bore, "start_at": port.WidthStart, "limit": port.WidthLimit},
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
		Text: unit.Sprintf("At TDC the skirt ends %s above the floor of %s: the crankcase is open to the exhaust by that much.",
			millimetres(-margin), w.doc.Name),
	}
	if margin >= 0 {
		p.Title = "The skirt hardly covers " + w.doc.Name + " at TDC"
		p.Text = unit.Sprintf("At TDC the skirt reaches %s below the floor of %s; about %s is wanted to seal (common practice). Lowering the cylinder takes it away.",
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
		Text: unit.Sprintf("At BDC the ring's lower edge stands %s below the roof of %s. That is safe only where the ring's ends are pinned clear of it.",
			millimetres(ring-roof), w.doc.Name),
		Evidence: map[string]float64{"over_mm": ring - roof, "ring_mm": ring, "roof_mm": roof},
	})
}
