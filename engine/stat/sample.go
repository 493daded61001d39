package stat

import (
	"errors"
	"math"

	"portwright/engine/unit"
)

// ErrTooFew says that a statistic needs more readings than were given.
var ErrTooFew = errors.New("stat: too few readings")

// ErrNotFinite says that a reading or an uncertainty is not a finite number.
var ErrNotFinite = errors.New("stat: not a finite number")

// Sample is what a set of repeats says.
type Sample struct {
	N    int
	Mean float64
	SD   float64 // standard deviation of one reading; 0 with one reading
	DF   float64 // N - 1
}

// Describe returns mean and standard deviation of one reading or more.
//
//	mean = sum(x)/n, s = sqrt(sum((x - mean)^2)/(n - 1))
//
// Source: JCGM 100:2008, 4.2.1 and 4.2.2.
func Describe(xs []float64) (Sample, error) {
	if len(xs) == 0 {
		return Sample{}, ErrTooFew
	}
	mean := 0.0
	for i, x := range xs {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return Sample{}, unit.Errorf("reading %d: %v", i+1, ErrNotFinite)
		}
		mean += (x - mean) / float64(i+1) // running mean: no overflow
	}
	sum, rest := 0.0, 0.0
	for _, x := range xs {
		d := x - mean
		sum += d * d
		rest += d
	}
	n := float64(len(xs))
	s := Sample{N: len(xs), Mean: mean + rest/n, DF: n - 1}
	if len(xs) > 1 {
		s.SD = math.Sqrt(math.Max(0, sum-rest*rest/n) / (n - 1))
	}
	if math.IsInf(s.SD, 0) || math.IsInf(s.Mean, 0) {
		return Sample{}, ErrNotFinite
	}
	return s, nil
}

// Mean returns the mean of one reading or more.
func Mean(xs []float64) (float64, error) {
	s, err := Describe(xs)
	return s.Mean, err
}

// SD returns the standard deviation of one reading, from two readings or more.
func SD(xs []float64) (float64, error) {
	s, err := Describe(xs)
	if err == nil && s.N < 2 {
		err = ErrTooFew
	}
	return s.SD, err
}

// MeanU returns the standard uncertainty of the mean, s/sqrt(n).
// Source: JCGM 100:2008, 4.2.3.
func (s Sample) MeanU() float64 { return s.SD / math.Sqrt(float64(s.N)) }

// Pool is the scatter that several sets of repeats share.
type Pool struct {
	SD float64 // standard deviation of one reading; 0 when nothing was repeated
	DF float64 // sum of (n - 1); 0 when nothing was repeated
}

// Pooled returns the scatter of one reading over groups of repeats that may
// have different means. Groups of one or none add nothing; when no group has
// two readings DF is 0 and SD says nothing.
//
//	s_p^2 = sum((n_i - 1) s_i^2) / sum(n_i - 1)
//
// Source: JCGM 100:2008, 4.2.4 (pooled variance); NIST/SEMATECH e-Handbook 1.3.5.3.
func Pooled(groups [][]float64) (Pool, error) {
	sum, df := 0.0, 0.0
	for i, g := range groups {
		if len(g) == 0 {
			continue
		}
		s, err := Describe(g)
		if err != nil {
			return Pool{}, unit.Errorf("group %d: %v", i+1, err)
		}
		sum += s.DF * s.SD * s.SD
		df += s.DF
	}
	if df == 0 {
		return Pool{}, nil
	}
	return Pool{SD: math.Sqrt(sum / df), DF: df}, nil
}
