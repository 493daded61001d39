package stat

import "math"

// WildReading is a repeat that does not belong to its group.
type WildReading struct {
	Group, Index int     // places in what was given, from 0
	Others       float64 // mean of the group's other readings
	Off          float64 // the reading minus Others
	Limit        float64 // |Off| that would still have been taken as chance
}

// wildLevel is the chance that one step names a reading of a pass that has no
// wild one. One in twenty, spread over all readings, is the usual level of
// Grubbs' and Rosner's tests. Simulated over all steps, with five events of
// three repeats read to half a degree, it is 1.5 % at a scatter of half a
// degree and 8 % at one of 1.5 degrees, where the step no longer helps.
const wildLevel = 0.05

// Wild names the repeats that lie farther from the rest of their group than
// scatter explains. Groups share one scatter and have their own means. floor
// is the scatter below which readings cannot be told apart (the wheel's step):
// without it three equal readings would make a fourth, one step off, wild.
//
// Each step looks at the reading with the largest deleted residual
//
//	t_i = (x_i - m_(i)) / (s_(i) sqrt(1 + 1/(n - 1)))
//
// where m_(i) is the mean of the others in its group and s_(i) the pooled
// scatter without it, takes it out and goes on; the readings up to the last
// one whose t passes Student's t at level/(2 N) are wild. With one group this
// is Grubbs' test (one step) and Rosner's generalised ESD (several), which
// keeps two wild readings from hiding each other. The same reading must pass
// the normal value at that level with floor for s.
//
// A group of two that disagrees is not named: it can't be said which of them
// is wrong. At most a third of all readings are looked at.
//
// Source: NIST/SEMATECH e-Handbook 1.3.5.17.1 (Grubbs) and 1.3.5.17.3 (Rosner,
// Technometrics 25, 1983); Stefansky, Technometrics 14, 1972, for several
// groups. Level: convention.
func Wild(groups [][]float64, floor float64) ([]WildReading, error) {
	if !finite(floor) || floor < 0 {
		return nil, ErrNotFinite
	}
	left := make([][]int, len(groups))
	total := 0
	for g, xs := range groups {
		for i, x := range xs {
			if !finite(x) {
				return nil, ErrNotFinite
			}
			left[g] = append(left[g], i)
		}
		total += len(xs)
	}
	var steps []WildReading
	wild := 0
	for n := total; n > 2 && len(steps) < total/3; n-- {
		w, ok, err := farthest(groups, left, n, floor)
		if err != nil {
			return nil, err
		}
		if w == nil {
			break
		}
		steps = append(steps, *w)
		if ok {
			wild = len(steps)
		}
		left[w.Group] = without(left[w.Group], w.Index)
	}
	return steps[:wild], nil
}

// farthest finds the reading with the largest deleted residual among the n
// left, and says whether it passes its limit.
func farthest(groups [][]float64, left [][]int, n int, floor float64) (*WildReading, bool, error) {
	sum, df := 0.0, 0.0 // within-group squares and degrees of freedom
	means := make([]float64, len(groups))
	for g, idx := range left {
		for k, i := range idx {
			means[g] += (groups[g][i] - means[g]) / float64(k+1)
		}
		for _, i := range idx {
			sum += (groups[g][i] - means[g]) * (groups[g][i] - means[g])
		}
		if len(idx) > 1 {
			df += float64(len(idx) - 1)
		}
	}
	if df < 2 {
		return nil, false, nil
	}
	level := 1 - wildLevel/float64(n) // two-sided, shared over n readings
	tCrit, err := TwoSided(level, df-1)
	if err != nil {
		return nil, false, err
	}
	zCrit, err := TwoSided(level, math.Inf(1))
	if err != nil {
		return nil, false, err
	}
	var best *WildReading
	bestRatio := 0.0
	for g, idx := range left {
		m := float64(len(idx))
		if m < 3 {
			continue
		}
		for _, i := range idx {
			others := means[g] - (groups[g][i]-means[g])/(m-1)
			off := groups[g][i] - others
			// Taking one reading out lowers the sum of squares by off^2 (m-1)/m.
			s := math.Sqrt(math.Max(0, sum-off*off*(m-1)/m) / (df - 1))
			limit := math.Max(tCrit*s, zCrit*floor) * math.Sqrt(m/(m-1))
			if ratio := math.Abs(off) / math.Max(limit, tiny); ratio > bestRatio {
				bestRatio = ratio
				best = &WildReading{Group: g, Index: i, Others: others, Off: off, Limit: limit}
			}
		}
	}
	return best, bestRatio > 1, nil
}

// tiny stands for a limit of nothing: readings that never differ.
const tiny = 1e-12

func without(idx []int, gone int) []int {
	out := make([]int, 0, len(idx))
	for _, i := range idx {
		if i != gone {
			out = append(out, i)
		}
	}
	return out
}
