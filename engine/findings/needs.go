package findings

import (
	"strings"

	"portwright/engine/build"
	"portwright/engine/port"
)

// needs lists the numbers that are missing and what each would unlock, the most
// useful first.
func (s *state) needs(timings []timing) []Need {
	out := []Need{}
	need := func(field, unlocks, text string) { out = append(out, Need{field, unlocks, text}) }
	e := &s.engine
	hasExhaust, hasTransfer := false, false
	for i := range timings {
		if timings[i].opens == nil {
			continue
		}
		k := s.windows[i].doc.Kind
		hasExhaust = hasExhaust || k == build.KindExhaust
		hasTransfer = hasTransfer || k == build.KindTransfer || k == build.KindBoost
	}
	switch {
	case hasExhaust && !hasTransfer:
		need("transfer opens", "blowdown", "Read where a transfer opens, and blowdown follows. It also shows whether the exhaust was read from the right side of the wheel"+s.alone(timings)+".")
	case hasTransfer && !hasExhaust:
		need("exhaust opens", "blowdown", "Read where the exhaust opens, and blowdown follows.")
	}
	s.needsOfHabit(timings, need)
	if s.source != "pass" && len(s.events) > 0 {
		need("repeats", "honest doubt", "Read each event three times: the scatter is then your own and not taken from elsewhere.")
	}
	switch {
	case e.Stroke == nil && len(s.events) > 0 && s.habit != build.HabitDepth:
		need("engine.stroke_mm", "travel in mm", "With the stroke, degrees become mm: how far each edge lies, and how much 2° of opening are.")
	case e.Rod == nil && e.Stroke != nil && s.habit != build.HabitDepth:
		need("engine.rod_mm", "closer travel", "The rod is taken as 1.6 to 2.2 strokes. Measured from eye to eye it makes travel and depths of cut closer.")
	}
	if e.Bore == nil && e.Stroke != nil {
		need("engine.bore_mm", "displacement", "With the bore, displacement follows, and widths can be held against it.")
	}
	if e.Bore != nil && e.Stroke != nil && e.ChamberCC == nil {
		need("engine.chamber_cc", "compression ratios", "With the volume over the piston at TDC, both compression ratios follow.")
	}
	return out
}

// alone gives the other side of an exhaust that nothing can check.
func (s *state) alone(timings []timing) string {
	i := s.firstOf(timings, build.KindExhaust)
	if i < 0 || timings[i].paired || s.habit != build.HabitTDCZero {
		return ""
	}
	o := timings[i].opens.Value
	return ": " + degrees(o) + " could also be " + degrees(180-o) + " read from the other side, " +
		degrees(2*o) + " of duration in place of " + degrees(port.SymmetricDuration(o, port.AroundBDC))
}

func (s *state) needsOfHabit(timings []timing, need func(field, unlocks, text string)) {
	switch s.habit {
	case build.HabitDepth:
		switch {
		case len(s.events) == 0:
		case s.engine.Stroke == nil:
			need("engine.stroke_mm", "degrees", "With stroke and rod, depths become degrees.")
		case s.engine.CrownBelowDeck == nil:
			need("engine.crown_below_deck_mm", "true depths", "How far the crown's edge stands below the cylinder top at TDC (with a minus when it stands proud) belongs to every depth.")
		case s.engine.Rod == nil:
			need("engine.rod_mm", "closer degrees", "Measured from eye to eye, the rod makes degrees from depths closer.")
		}
		if s.engine.SkirtIntake == nil {
			for i := range s.windows {
				if w := &s.windows[i]; w.skirt && w.o >= 0 {
					need("engine.skirt_intake_mm", "intake timing from depth", "The intake is opened by the skirt: with the length from the crown's edge to its lower end, the floor's depth becomes degrees.")
					break
				}
			}
		}
	case build.HabitTDCZero:
		if len(s.events) == 0 {
			return
		}
		if s.zero == nil {
			text := "Without a stop check the wheel's zero may be 2° out either way, and every single angle with it."
			if s.zeroBy == "pairs" {
				text = "Without a stop check TDC is only known from openings and closings, as if the crank had no offset."
			}
			need("stops", "true TDC", text+" Two readings against a stop settle it.")
		} else if s.zero.Unsure {
			need("stops", "which numbers were read", "No 0 mark of the wheel stands near a dead centre, so it can't be told which of its equal numbers was read. Turn the wheel on the crank until its 0 is at TDC, and begin again.")
		} else if !s.zero.HasAfter {
			need("stops after", "proof that the wheel did not slip", "Repeat the stop check after the readings: it shows whether the wheel moved.")
		}
		var one []string
		for i := range timings {
			if timings[i].assumed {
				one = append(one, s.windows[i].doc.Name)
			}
		}
		if len(one) > 0 {
			need("closes", "pair sums", "With opening and closing both, "+strings.Join(one, ", ")+" can be checked against the zero, and durations lose half of their doubt.")
		}
	}
}
