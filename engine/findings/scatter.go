package findings

import (
	"math"

	"portwright/engine/build"
	"portwright/engine/stat"
)

// expectedDF is the weight, in degrees of freedom, of the scatter that was to
// be expected beside the repeats of a pass: two readings that agree within a
// step neither make the doubt explode (Student's t at one degree of freedom)
// nor two equal ones make it vanish, and nine events read three times decide
// for themselves. A convention.
const expectedDF = 3

// scatter settles the scatter of one reading: that of the repeats of the pass,
// weighted with what was to be expected of them,
//
//	s^2 = (nu_0 s_0^2 + nu s_p^2) / (nu_0 + nu)
//
// with nu_0 + nu degrees of freedom; s_0 is the book's, else assumed. A repeat
// that stands apart (stat.Wild) does not widen the other events: it is left out
// of s_p, stays in the mean of its own, and how far it pulls that is part of
// its doubt. Readings of one event that were seen by different methods are
// different things, each with its own mean.
//
// Source: Gelman et al., Bayesian Data Analysis, scaled inverse chi-square as
// conjugate prior of a variance (from memory).
func (s *state) scatter() error {
	expected := s.expected()
	groups, owner := s.repeated()
	floor := assumedScatter
	if s.habit == build.HabitDepth {
		floor = assumedDepth
	}
	apart, err := stat.Wild(groups, floor)
	if err != nil {
		return err
	}
	for _, w := range apart {
		e, n := &s.events[owner[w.Group]], float64(len(s.events[owner[w.Group]].xs))
		e.pulled += math.Abs(w.Off) / n
		groups[w.Group][w.Index] = math.NaN()
	}
	for i, g := range groups {
		groups[i] = numbers(g)
	}
	if s.repeats, err = stat.Pooled(groups); err != nil {
		return err
	}
	if s.repeats.DF == 0 {
		s.pool = expected
		return nil
	}
	weight := math.Min(expectedDF, expected.DF)
	df := weight + s.repeats.DF
	square := (weight*expected.SD*expected.SD + s.repeats.DF*s.repeats.SD*s.repeats.SD) / df
	s.pool, s.source = stat.Pool{SD: math.Sqrt(square), DF: df}, "pass"
	return nil
}

// expected returns the scatter to expect without a look at the pass, and says
// where it is from.
func (s *state) expected() stat.Pool {
	switch sd, df := s.p.UsualScatterDeg, s.p.UsualScatterDF; {
	case s.habit == build.HabitDepth:
		s.source = "assumed"
		return stat.Pool{SD: assumedDepth, DF: assumedDF}
	case sd != nil && df != nil:
		s.source = "book"
		return stat.Pool{SD: math.Max(*sd, stat.Resolution(s.step)), DF: *df}
	}
	s.source = "assumed"
	return stat.Pool{SD: assumedScatter, DF: assumedDF}
}

// repeated returns copies of the readings that share a mean, and the event of
// each group.
func (s *state) repeated() (groups [][]float64, owner []int) {
	for i := range s.events {
		for _, g := range s.byMethod(&s.events[i]) {
			groups, owner = append(groups, append([]float64(nil), g...)), append(owner, i)
		}
	}
	return groups, owner
}

// numbers returns xs without NaN.
func numbers(xs []float64) []float64 {
	kept := xs[:0]
	for _, x := range xs {
		if !math.IsNaN(x) {
			kept = append(kept, x)
		}
	}
	return kept
}
