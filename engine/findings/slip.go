package findings

import (
	"math"

	"portwright/engine/build"
	"portwright/engine/unit"
)

func (s *state) slipProblem(v *verdict) Problem {
	by := hundredths(s.wheel.Sense() * v.size)
	names, sums := s.sums()
	p := Problem{
		Code: CodeWheelSlipped, Windows: s.windowsFrom(v.read),
		Evidence: map[string]float64{"moved_deg": by, "moved_u95_deg": s.expand(v.u, s.pool.DF), "sure": v.sure},
	}
	if s.zero != nil && s.zero.HasBefore && s.zero.HasAfter {
		p.Evidence["stop_slip_deg"] = s.zero.Slip
	}
	moved := "The wheel moved by " + s.degrees(math.Abs(by))
	told := ""
	if len(names) > 0 && v.within >= 0.5 {
		told = " Pairs add up: " + s.sumWords(names, sums) + s.countedIn() + "."
	}
	if _, ok := p.Evidence["stop_slip_deg"]; ok {
		told += " The stop check after the readings differs from the one before by " + s.degrees(s.zero.Slip) + "."
	}
	n := len(s.reads)
	switch {
	case v.within < 0.5:
		p.Title = moved + " during the pass"
		p.Text = moved + " somewhere between the two stop checks; the readings don't show where." + told + " Set the wheel again and repeat the pass, openings and closings both."
		return p
	case v.read >= n:
		p.Title = moved + " after the last reading"
		p.Text = moved + " between the last reading and the stop check after it." + told + " The readings themselves agree with the check before, which they are taken from."
		return p
	}
	p.Readings = s.placesFrom(v.read)
	p.Evidence["from_reading"] = float64(s.reads[v.read].place)
	before, last := s.counted(v.read-1, -1), "before the first reading"
	if before >= 0 {
		last = "between " + s.quoted(before) + " and " + s.quoted(v.read)
		p.Evidence["before_reading"] = float64(s.reads[before].place)
	}
	p.Title = moved
	p.Text = moved + " " + last + "." + told + sureWords(v.sure)
	if v.first < v.last && v.last < n {
		p.Text += unit.Sprintf(" It may also have been anywhere from reading %d to %d.", s.reads[v.first].place, s.reads[v.last].place)
	}
	p.Text += " Tighten it before reading on."
	p.Remedy = &build.Correction{Kind: build.CorrectShiftAfter, ByDeg: by, After: s.reads[v.read].place}
	p.Action = "Correct the readings after it"
	return p
}

// counted returns the nearest reading from i on, in steps of by, that is not
// struck; -1 for none.
func (s *state) counted(i, by int) int {
	for ; i >= 0 && i < len(s.reads); i += by {
		if !s.reads[i].struck {
			return i
		}
	}
	return -1
}

func (s *state) quoted(i int) string {
	return unit.Sprintf("reading %d (%s)", s.reads[i].place, s.readName(i))
}

// placesFrom lists the counted readings from one on.
func (s *state) placesFrom(from int) []int {
	var out []int
	for i := from; i < len(s.reads); i++ {
		if !s.reads[i].struck {
			out = append(out, s.reads[i].place)
		}
	}
	return out
}

// windowsFrom lists the windows that have a counted reading from one on.
func (s *state) windowsFrom(from int) []string {
	var out []string
	for w := range s.windows {
		for i := from; i < len(s.reads); i++ {
			if r := &s.reads[i]; !r.struck && r.win == w {
				out = append(out, s.windows[w].doc.Name)
				break
			}
		}
	}
	return out
}
