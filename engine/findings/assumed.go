package findings

import (
	"math"

	"portwright/engine/build"
	"portwright/engine/unit"
	"portwright/engine/wheel"
)

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
					Text: unit.Sprintf("The stop was met at %s from one side only. TDC is the middle of the two sides: turn back onto the stop from the other side and read again.",
						degrees(st.Readings[0])),
					Evidence: map[string]float64{"reading_deg": st.Readings[0]},
				})
			}
		}
	}
	if z := s.zero; z != nil && z.Least < wheel.ShortArc {
		d.add(Problem{
			Code: CodeShortStopArc, Title: "The stop stands too near the dead centre",
			Text: unit.Sprintf("The two readings against the stop lie only %s apart; at least %s is wanted. So near the dead centre a hair of give in the stop turns the wheel a long way: screw it further in and repeat.",
				degrees(z.Least), degrees(wheel.ShortArc)),
			Evidence: map[string]float64{"arc_deg": z.Least, "least_deg": wheel.ShortArc},
		})
	}
}

// checks says whether the stop checks of one time agree well enough for their
// zero to tell which side of the wheel a number is of.
func (d *diagnosis) checks() bool {
	const rough = 10 // degrees; beyond it nothing can be laid on the zero
	z := d.now.zero
	if z == nil || !z.Disagree {
		return true
	}
	d.add(Problem{
		Code: CodeWheelSlipped, Windows: d.now.windowsFrom(0), Title: "Stop checks don't agree",
		Text: unit.Sprintf("Stop checks made one after the other put TDC up to %s apart on the wheel. The wheel moved between them, a number was misread, or one of them was near the other dead centre. Tighten the wheel, repeat the stop check, and strike out the one that is wrong.",
			d.now.degrees(z.Apart)),
		Evidence: map[string]float64{"stop_checks_apart_deg": z.Apart},
	})
	return z.Apart < rough
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
				Text: unit.Sprintf("Of %s only one event was read. The other is taken as its mirror image about the dead centre, so a zero that is out counts twice in the duration and nothing would show it. Read openings and closings both.",
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
		p.Text = unit.Sprintf("Depths are from the cylinder top, and how far the crown's edge stands below it at TDC is not given: it is taken as flush, give or take %s.", millimetres(crownUnknown))
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
		p.Text += unit.Sprintf(" Durations are good to %s only.", degrees(p.Evidence["duration_u95_deg"]))
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
			p.Text += unit.Sprintf(" At %s %s is worth %s of duration.", d.now.windows[i].doc.Name,
				millimetres(by), degrees(2*d.now.geo.DegPerMM(t.opens.Value)*by))
			return
		}
	}
}
