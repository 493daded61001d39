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
	if df > normalDF {
		return math.Sqrt2 * math.Erfinv(p), nil
	}
	var t float64
	if p < 0.5 { // the complement keeps its digits
		y := mathext.InvRegIncBeta(0.5, df/2, p)
		t = math.Sqrt(df * y / (1 - y))
	} else {
		x := mathext.InvRegIncBeta(df/2, 0.5, 1-p)
		t = math.Sqrt(df * (1 - x) / x)
	}
	t = polish(t, p, df)
	if math.IsNaN(t) || math.IsInf(t, 0) {
		return 0, ErrProbability
	}
	return t, nil
}

// polish improves t by Newton's rule on the share within it: the inverse it
// comes from is right to some 5 digits only where p is small and df large.
func polish(t, p, df float64) float64 {
	half, _ := math.Lgamma((df + 1) / 2)
	whole, _ := math.Lgamma(df / 2)
	for range 3 {
		var miss float64 // share within t, less p
		if p < 0.5 {
			miss = mathext.RegIncBeta(0.5, df/2, t*t/(df+t*t)) - p
		} else {
			miss = 1 - p - mathext.RegIncBeta(df/2, 0.5, df/(df+t*t))
		}
		density := math.Exp(half-whole-(df+1)/2*math.Log1p(t*t/df)) / math.Sqrt(df*math.Pi)
		next := t - miss/(2*density)
		if !(next > 0) || math.IsInf(next, 0) {
			return t
		}
		t = next
	}
	return t
}

// normalDF is where Student's t is taken as normal: t exceeds the normal value
// by about (z^3 + z)/(4 df), under 3e-8 of it here.
const normalDF = 1e8

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
func Beyond(t, df float64) (float64, error) {
	if math.IsNaN(t) || !(df > 0) {
		return 0, ErrProbability
	}
	if df > normalDF {
		return math.Erfc(math.Abs(t) / math.Sqrt2), nil
	}
	if math.IsInf(t, 0) {
		return 0, nil
	}
	if t*t < 1 { // most of it is outside: x near 1 would lose digits
		return 1 - mathext.RegIncBeta(0.5, df/2, t*t/(df+t*t)), nil
	}
	return mathext.RegIncBeta(df/2, 0.5, df/(df+t*t)), nil
}
