package stat

import (
	"math"

	"portwright/engine/unit"
)

// Component is one source of doubt and how it enters a result.
type Component struct {
	Name string  // the same name is the same source wherever it appears; "" is a source of its own
	U    float64 // standard uncertainty of the source, >= 0
	DF   float64 // degrees of freedom; 0 or math.Inf(1): taken as known
	C    float64 // sensitivity of the result to the source
}

// Combine returns the combined standard uncertainty of a result and its
// effective degrees of freedom. Components of one name are one source: their
// sensitivities add before squaring, so that a source which enters twice with
// opposite signs cancels.
//
//	u_c^2 = sum((c_i u_i)^2)
//	nu = u_c^4 / sum((c_i u_i)^4/nu_i)      (Welch-Satterthwaite)
//
// Source: JCGM 100:2008, eq. (10), eq. (13) for full correlation, eq. (G.2b).
func Combine(parts ...Component) (u, df float64, err error) {
	merged, err := merge(parts)
	if err != nil {
		return 0, 0, err
	}
	largest := 0.0
	for _, p := range merged {
		largest = math.Max(largest, math.Abs(p.C*p.U))
	}
	if largest == 0 {
		return 0, math.Inf(1), nil
	}
	// Shares are scaled by the largest: the fourth powers neither overflow nor
	// vanish.
	second, fourth := 0.0, 0.0
	for _, p := range merged {
		share := p.C * p.U / largest
		second += share * share
		if p.DF > 0 && !math.IsInf(p.DF, 1) {
			fourth += share * share * share * share / p.DF
		}
	}
	u = largest * math.Sqrt(second)
	if math.IsInf(u, 0) {
		return 0, 0, ErrNotFinite
	}
	if fourth == 0 {
		return u, math.Inf(1), nil
	}
	return u, second * second / fourth, nil
}

// merge checks the parts and adds up those of one name. The first one's
// uncertainty is kept and later sensitivities are brought to it; degrees of
// freedom are the least of them.
func merge(parts []Component) ([]Component, error) {
	out := make([]Component, 0, len(parts))
	for _, p := range parts {
		if !finite(p.U) || !finite(p.C) || math.IsNaN(p.DF) {
			return nil, unit.Errorf("component %q: %v", p.Name, ErrNotFinite)
		}
		if p.U < 0 || p.DF < 0 {
			return nil, unit.Errorf("component %q: uncertainty and degrees of freedom must not be negative", p.Name)
		}
		found := -1
		for i := range out {
			if p.Name != "" && out[i].Name == p.Name {
				found = i
			}
		}
		switch {
		case found < 0:
			out = append(out, p)
		case out[found].U == 0:
			p.DF = leastDF(p.DF, out[found].DF)
			out[found] = p
		default:
			out[found].C += p.C * p.U / out[found].U
			out[found].DF = leastDF(p.DF, out[found].DF)
		}
	}
	return out, nil
}

func leastDF(a, b float64) float64 {
	switch {
	case a == 0:
		return b
	case b == 0:
		return a
	}
	return math.Min(a, b)
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

// Estimate is a value with what its doubt is made of. Sums, differences and
// multiples keep the parts by name, so that what two estimates share (the
// wheel's zero) cancels or doubles as it should.
type Estimate struct {
	Value float64
	Parts []Component
}

// Exact returns a value without doubt.
func Exact(value float64) Estimate { return Estimate{Value: value} }

// Linear returns constant + sum(factor_i * term_i). Factors and terms pair up;
// a missing factor counts as 1.
func Linear(constant float64, factors []float64, terms ...Estimate) Estimate {
	out := Estimate{Value: constant}
	for i, t := range terms {
		f := 1.0
		if i < len(factors) {
			f = factors[i]
		}
		out.Value += f * t.Value
		for _, p := range t.Parts {
			p.C *= f
			out.Parts = append(out.Parts, p)
		}
	}
	return out
}

// Plus returns e + o.
func (e Estimate) Plus(o Estimate) Estimate { return Linear(0, nil, e, o) }

// Minus returns e - o: shared sources cancel.
func (e Estimate) Minus(o Estimate) Estimate { return Linear(0, []float64{1, -1}, e, o) }

// Times returns factor * e.
func (e Estimate) Times(factor float64) Estimate { return Linear(0, []float64{factor}, e) }

// Shift returns e + constant.
func (e Estimate) Shift(constant float64) Estimate { return Linear(constant, nil, e) }

// Through returns the estimate of f(e) where value is f at e.Value and slope
// df/de there: the first-order law of propagation.
// Source: JCGM 100:2008, 5.1.2.
func (e Estimate) Through(value, slope float64, more ...Component) Estimate {
	out := Linear(0, []float64{slope}, e)
	out.Value = value
	out.Parts = append(out.Parts, more...)
	return out
}

// U returns the combined standard uncertainty and its degrees of freedom.
func (e Estimate) U() (u, df float64, err error) {
	if !finite(e.Value) {
		return 0, 0, ErrNotFinite
	}
	return Combine(e.Parts...)
}

// U95 returns the expanded uncertainty at 95 %.
func (e Estimate) U95() (float64, error) {
	u, df, err := e.U()
	if err != nil {
		return 0, err
	}
	return Expanded95(u, df)
}

// Expanded returns U = k u and the coverage factor k, Student's t at the
// degrees of freedom truncated to a whole number, at least 1.
// Source: JCGM 100:2008, 6.2.1, G.3.2, G.4.1 (truncation) and table G.2.
func Expanded(coverage, u, df float64) (U, k float64, err error) {
	if !finite(u) || u < 0 {
		return 0, 0, ErrNotFinite
	}
	if !math.IsInf(df, 1) {
		// A W-S value that should be whole comes out a few ulp short of it.
		df = math.Max(1, math.Floor(df*(1+1e-12)))
	}
	k, err = TwoSided(coverage, df)
	if err != nil {
		return 0, 0, err
	}
	if U = k * u; math.IsInf(U, 0) {
		return 0, 0, ErrNotFinite
	}
	return U, k, nil
}

// Expanded95 returns the expanded uncertainty at 95 %; see Expanded.
func Expanded95(u, df float64) (float64, error) {
	U, _, err := Expanded(0.95, u, df)
	return U, err
}
