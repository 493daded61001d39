package findings

import (
	"math"

	"portwright/engine/build"
	"portwright/engine/unit"
)

// faultProblem puts a verdict in words.
func (s *state) faultProblem(v *verdict) Problem {
	switch v.what {
	case zeroOut:
		return s.zeroProblem(v)
	case slipped:
		return s.slipProblem(v)
	case skewed:
		return s.skewProblem(v)
	case onePair:
		return s.pairProblem(s.reads[v.read].win, v)
	}
	return s.wildProblem(v)
}

// sums returns the windows of which opening and closing were read, and what
// they add to.
func (s *state) sums() (names []string, sums []float64) {
	for i := range s.windows {
		if off, ok := s.halfExcess(i); ok {
			names = append(names, s.windows[i].doc.Name)
			sums = append(sums, 360+2*off)
		}
	}
	return names, sums
}

// sumWords is "exhaust to 364° and transfer to 363.5°". A known offset is counted
// in, see countedIn.
func (s *state) sumWords(names []string, sums []float64) string {
	parts := make([]string, len(names))
	for i := range names {
		parts[i] = names[i] + " to " + s.degrees(sums[i])
	}
	return list(parts)
}

// countedIn says that sums are not those of the bare numbers.
func (s *state) countedIn() string {
	if s.skew == nil {
		return ""
	}
	return ", the offset counted in"
}

func (s *state) zeroProblem(v *verdict) Problem {
	names, sums := s.sums()
	by := s.wheel.Sense() * v.size
	stood := "The wheel was set without a stop check."
	if s.zero != nil {
		stood = "The stop check gave " + s.degrees(s.tdc) + " at TDC; the ports say " + s.degrees(unit.Turn(s.tdc+by)) +
			". The stop may have given way, or the wheel was touched after it."
	}
	same := "the same everywhere, so it is the zero and not the ports"
	if len(names) == 1 {
		same = "with one pair alone a misread number would look the same"
	}
	return Problem{
		Code: CodeZeroError, Windows: names,
		Title: "The wheel's zero is " + s.degrees(math.Abs(v.size)) + " out",
		Text: unit.Sprintf("Opening and closing should add to 360°: %s. That is %s too %s, %s. %s%s Openings are %s out; durations and blowdown are not.",
			s.sumWords(names, sums), s.degrees(math.Abs(2*v.size)), moreOrLess(v.size), same, stood, sureWords(v.sure), s.degrees(math.Abs(v.size))),
		Evidence: map[string]float64{"pair_sum_excess_deg": 2 * v.size, "zero_off_deg": v.size, "zero_off_u95_deg": s.expand(v.u, s.pool.DF),
			"pairs": float64(len(names)), "sure": v.sure},
		Remedy: &build.Correction{Kind: build.CorrectShiftZero, ByDeg: hundredths(by)},
		Action: "Shift the zero by " + s.degrees(math.Abs(v.size)),
	}
}

func moreOrLess(v float64) string {
	if v > 0 {
		return "much"
	}
	return "little"
}

// hundredths rounds what a remedy shifts by: finer than any wheel is read.
func hundredths(v float64) float64 { return math.Round(v*100) / 100 }

func (s *state) skewProblem(v *verdict) Problem {
	names, sums := s.sums()
	p := Problem{
		Code: CodeOffset, Windows: names,
		Title:    "Looks like an offset crank, not a fault",
		Evidence: map[string]float64{"sure": v.sure, "pairs": float64(len(names))},
	}
	least, most := math.Inf(1), 0.0
	for _, sum := range sums {
		least, most = math.Min(least, math.Abs(sum-360)), math.Max(most, math.Abs(sum-360))
	}
	p.Evidence["least_excess_deg"], p.Evidence["largest_excess_deg"] = least, most
	p.Text = "Opening and closing add to a little off 360°, the more the nearer to BDC: " + s.sumWords(names, sums) +
		". A zero that is out would show the same everywhere."
	if s.geo == nil {
		p.Evidence["offset_strokes"] = v.size
		p.Text += unit.Sprintf(" An offset of about %s %% of the stroke explains it. With the stroke given it can be counted in.", unit.Plain(math.Abs(100*v.size), 1))
		return p
	}
	total := mm(s.engine.PinOffset) + v.size
	side := " towards the side the crank pin is on going down"
	if total < 0 {
		side = " towards the side the crank pin is on coming up"
	}
	p.Evidence["offset_mm"], p.Evidence["offset_u95_mm"] = total, s.expand(v.u, s.pool.DF)
	says := unit.Plain(math.Abs(total), 1) + " ± " + unit.Up(p.Evidence["offset_u95_mm"], 1) + " mm"
	if math.Abs(total) > p.Evidence["offset_u95_mm"] { // else it may lie on either side
		says += side
	}
	if given := mm(s.engine.PinOffset); given != 0 {
		p.Title = "The readings don't fit the given offset"
		p.Evidence["offset_given_mm"] = given
		p.Text = unit.Sprintf("An offset of %s is given. With it counted in, opening and closing should add to 360°, and come for %s. By the readings the offset is %s.%s Measure it again, and mind its side. Durations and blowdown stand as they are.",
			millimetres(given), s.sumWords(names, sums), says, sureWords(v.sure))
	} else {
		p.Text += unit.Sprintf(" A cylinder or gudgeon pin offset by %s explains it.%s Durations and blowdown stand as they are.", says, sureWords(v.sure))
	}
	p.Remedy = &build.Correction{Kind: build.CorrectDeclareSkew, ByMM: hundredths(total)}
	p.Action = "Count in an offset of " + unit.Plain(math.Abs(total), 1) + " mm"
	return p
}
