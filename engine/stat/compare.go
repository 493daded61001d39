package stat

import (
	"errors"
	"math"
)

// ErrNoScatter says that a test needs scatter and the readings have none.
var ErrNoScatter = errors.New("stat: the readings do not scatter, so nothing can be said about chance")

// Comparison is the difference of two means and whether chance explains it.
type Comparison struct {
	Diff      float64 // mean of the first minus mean of the second
	SE        float64 // standard error of Diff
	T         float64 // Diff/SE
	DF        float64
	P         float64 // two-sided: chance of a |T| as large with no true difference
	Low, High float64 // 95 % confidence interval of the true difference
}

// Welch compares the means of two sets of at least two readings each, without
// taking their scatters as equal.
//
//	t = (m1 - m2)/sqrt(s1^2/n1 + s2^2/n2)
//	nu = (s1^2/n1 + s2^2/n2)^2 / ((s1^2/n1)^2/(n1-1) + (s2^2/n2)^2/(n2-1))
//
// Source: NIST/SEMATECH e-Handbook 7.3.1; Welch, Biometrika 34, 1947.
func Welch(first, second []float64) (Comparison, error) {
	a, err := Describe(first)
	if err != nil {
		return Comparison{}, err
	}
	b, err := Describe(second)
	if err != nil {
		return Comparison{}, err
	}
	return WelchOf(a, b)
}

// WelchOf is Welch from samples already described.
func WelchOf(a, b Sample) (Comparison, error) {
	if a.N < 2 || b.N < 2 {
		return Comparison{}, ErrTooFew
	}
	se, df, err := Combine(Component{U: a.MeanU(), DF: a.DF, C: 1}, Component{U: b.MeanU(), DF: b.DF, C: -1})
	if err != nil {
		return Comparison{}, err
	}
	return compare(a.Mean-b.Mean, se, df)
}

// EqualScatterOf compares two means with one scatter pooled from both.
// Source: NIST/SEMATECH e-Handbook 1.3.5.3.
func EqualScatterOf(a, b Sample) (Comparison, error) {
	if a.N < 2 || b.N < 2 {
		return Comparison{}, ErrTooFew
	}
	df := a.DF + b.DF
	s := math.Sqrt((a.DF*a.SD*a.SD + b.DF*b.SD*b.SD) / df)
	return compare(a.Mean-b.Mean, s*math.Sqrt(1/float64(a.N)+1/float64(b.N)), df)
}

func compare(diff, se, df float64) (Comparison, error) {
	if se == 0 {
		return Comparison{}, ErrNoScatter
	}
	if !finite(diff) || !finite(se) {
		return Comparison{}, ErrNotFinite
	}
	c := Comparison{Diff: diff, SE: se, T: diff / se, DF: df}
	var err error
	if c.P, err = Beyond(c.T, df); err != nil {
		return Comparison{}, err
	}
	t, err := TwoSided(0.95, df)
	if err != nil {
		return Comparison{}, err
	}
	c.Low, c.High = diff-t*se, diff+t*se
	return c, nil
}
