package stat

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/mathext"
)

// ErrProbability says that a probability lies outside 0 to 1, or that degrees
// of freedom are not above zero.
var ErrProbability = errors.New("stat: probability must lie between 0 and 1 and degrees of freedom above 0")

// TwoSided returns Student's t such that a share p of the distribution with
// df degrees of freedom lies within -t to +t. df may be math.Inf(1), which
// gives the normal distribution.
//
//	p = 1 - I_x(df/2, 1/2), x = df/(df + t^2)
//
// I is the regularised incomplete beta function.
// Source: Abramowitz and Stegun, Handbook of Mathematical Functions, 1964, 26.7.1.
func TwoSided(p, df float64) (float64, error) {
	if !(p > 0 && p < 1) || !(df > 0) {
		return 0, ErrProbability
	}
	if df > seriesDF {
		// A&S 26.7.5, first three terms; with df infinite the normal value.
		z := math.Sqrt2 * math.Erfinv(p)
		z2 := z * z
		return z * (1 + (z2+1)/(4*df) + ((5*z2+16)*z2+3)/(96*df*df)), nil
	}
	var t float64
	if p < 0.5 { // the complement keeps its digits
		y := mathext.InvRegIncBeta(0.5, df/2, p)
		t = math.Sqrt(df * y / (1 - y))
	} else {
		x := mathext.InvRegIncBeta(df/2, 0.5, 1-p)
		t = math.Sqrt(df * (1 - x) / x)
	}
	if math.IsNaN(t) || math.IsInf(t, 0) {
		return 0, ErrProbability
	}
	return t, nil
}

// seriesDF is where the incomplete beta function begins to lose digits (its
// factor is a difference of logarithms as large as df) and series in 1/df are
// better: what they leave out is below 1e-9 there up to p = 1 - 1e-6.
const seriesDF = 1e4

// OneSided returns Student's t that a share p lies below, 0.5 <= p < 1.
func OneSided(p, df float64) (float64, error) {
	if p == 0.5 && df > 0 {
		return 0, nil
	}
	if !(p > 0.5) {
		return 0, ErrProbability
	}
	return TwoSided(2*p-1, df)
}

// Beyond returns the share of Student's distribution outside -t to +t: the
// two-sided p of a test.
//
// Source: as TwoSided; at many degrees of freedom Fisher's expansion of the
// normal value, z = t - t(t^2+1)/(4 df) + t(13t^4+8t^2+3)/(96 df^2) - ..., from
// memory.
func Beyond(t, df float64) (float64, error) {
	if math.IsNaN(t) || !(df > 0) {
		return 0, ErrProbability
	}
	if math.IsInf(t, 0) {
		return 0, nil
	}
	if t2 := t * t; df > seriesDF && t2 < df/1000 {
		// The normal value with the same share beyond it.
		z := t * (1 - (t2+1)/(4*df) + ((13*t2+8)*t2+3)/(96*df*df))
		return math.Erfc(math.Abs(z) / math.Sqrt2), nil
	}
	if t*t < 1 { // x near 1 would lose digits, and p is not small
		return 1 - mathext.RegIncBeta(0.5, df/2, t*t/(df+t*t)), nil
	}
	return mathext.RegIncBeta(df/2, 0.5, df/(df+t*t)), nil
}
