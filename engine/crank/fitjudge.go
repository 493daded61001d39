package crank

import (
	"math"

	"gonum.org/v1/gonum/mathext"
)

const (
	// rankLimit is the least that a column of length 1 must have aside from the
	// others to be told from them. Depths and angles carry three or four digits.
	rankLimit = 1e-6
	// unclearRod, in strokes, is the standard uncertainty of knowing only that
	// a rod lies between 1.6 and 2.2 strokes: 0.6/sqrt(12).
	unclearRod = 0.173
	// unclearMM and unclearRad are doubts at which a depth or the wheel's zero
	// is as good as not measured.
	unclearOfStroke = 0.25
	unclearRad      = 0.5
	// secondAnswer is how much worse another answer may fit and still be within
	// chance: two standard deviations.
	secondAnswer = 4
	// farAway, in standard uncertainties, is how far off an answer must lie that
	// fits within two of them to show that the doubt is understated.
	farAway = 3
	// noticeable is the level at which residuals count as too large.
	noticeable = 0.05
)

// judge turns the best point into a result with its doubts.
func (f *fitter) judge(best *point, found []*point) FitResult {
	out := FitResult{Mechanism: best.mech, Value: best.at, DF: math.Inf(1), Chance: 1}
	out.Value[Zero] = math.Remainder(out.Value[Zero], 2*math.Pi)
	for _, pair := range f.in.Pairs {
		out.Residual = append(out.Residual, pair.Depth-best.at[Deck]-best.mech.Travel(pair.Angle-best.at[Zero]))
	}
	known := 0
	for _, a := range f.active {
		if !f.given[a].Free {
			known++
		}
	}
	spare := float64(len(f.in.Pairs) + known - len(f.active))
	if spare > 0 {
		out.Scale = math.Sqrt(best.chi2 / spare)
		if f.stated {
			out.Chance = mathext.GammaIncRegComp(spare/2, best.chi2/2)
		}
	}
	raise := 1.0
	switch {
	case !f.stated && spare > 0:
		raise, out.DF = out.Scale, spare
	case f.stated && out.Chance < noticeable:
		raise, out.DF = out.Scale, spare
	}
	unclear := f.covariance(best, raise, &out)
	if !f.stated && spare <= 0 {
		// Nothing says what a pair is worth.
		for _, a := range f.active {
			unclear[a] = true
		}
	}
	f.secondAnswers(best, append(f.usualRods(best), found...), &out, &unclear)
	for p := range params {
		if unclear[p] {
			out.Unclear = append(out.Unclear, p)
			out.U[p] = 0
			for q := range params {
				out.Cov[p][q], out.Cov[q][p] = 0, 0
			}
		}
	}
	switch {
	case len(out.Unclear) > 0:
		out.Status = NotDetermined
	case !best.done:
		out.Status = NotConverged
	}
	return out
}

// covariance fills Cov and U with raise^2 (J^T W J)^-1 and returns which
// parameters the pairs can't tell apart: those whose column the other columns
// make up. The rows w_c of the pseudo-inverse are what each column has aside
// from all others, over its square, and Cov is w_c w_d.
func (f *fitter) covariance(p *point, raise float64, out *FitResult) (unclear [params]bool) {
	if len(f.active) == 0 {
		return unclear
	}
	cols, scale, _ := f.jacobian(p)
	duals := make([][]float64, len(cols))
	for c := range cols {
		w := aside(cols, c)
		alone := dot(w, w)
		if alone <= rankLimit*rankLimit {
			unclear[f.active[c]] = true
			continue
		}
		times(raise/(alone*scale[c]), w)
		duals[c] = w
	}
	for c, a := range f.active {
		for d, b := range f.active {
			if duals[c] != nil && duals[d] != nil {
				out.Cov[a][b] = dot(duals[c], duals[d])
			}
		}
	}
	for _, a := range f.active {
		out.U[a] = math.Sqrt(out.Cov[a][a])
		limit := unclearOfStroke * p.at[Stroke]
		switch a {
		case Rod:
			limit = unclearRod * p.at[Stroke]
		case Zero:
			limit = unclearRad
		}
		if f.given[a].Free && out.U[a] > limit {
			unclear[a] = true
		}
	}
	return unclear
}

// aside returns what column c has that the other columns don't make up.
func aside(cols [][]float64, c int) []float64 {
	var basis [][]float64
	rest := func(col []float64) []float64 {
		v := append([]float64(nil), col...)
		for range 2 { // the second time takes out what rounding left
			for _, b := range basis {
				addTimes(v, -dot(b, v), b)
			}
		}
		return v
	}
	for d, col := range cols {
		if d == c {
			continue
		}
		v := rest(col)
		if n := norm(v); n > rankLimit {
			times(1/n, v)
			basis = append(basis, v)
		}
	}
	return rest(cols[c])
}

// usualRods refits the rest with the rod held at usual lengths. Where the depths
// lie close together the best rod can be absurd and its slope promise a doubt
// of a millimetre, while a usual rod fits as well.
func (f *fitter) usualRods(best *point) []*point {
	if !f.given[Rod].Free {
		return nil
	}
	var out []*point
	for _, strokes := range []float64{1.6, guessRod, 2.2} {
		held := *f
		held.active = nil
		for _, a := range f.active {
			if a != Rod {
				held.active = append(held.active, a)
			}
		}
		v := best.at
		v[Rod] = strokes * v[Stroke]
		if p := held.eval(v, best.w); p != nil {
			out = append(out, held.solve(p, best))
		}
	}
	return out
}

// secondAnswers marks what differs between the best point and another that
// fits within chance.
func (f *fitter) secondAnswers(best *point, found []*point, out *FitResult, unclear *[params]bool) {
	worth := 1.0 // what a unit of chi squared is worth
	if !f.stated {
		if worth = out.Scale * out.Scale; worth == 0 {
			worth = 1e-12 * best.mech.r * best.mech.r
		}
	}
	for _, other := range found {
		if other == best || !other.done || other.chi2 > best.chi2+secondAnswer*worth {
			continue
		}
		for _, a := range f.active {
			d := other.at[a] - best.at[a]
			if a == Zero {
				d = math.Remainder(d, 2*math.Pi)
			}
			if math.Abs(d)/f.size(best, a) > 1e-4 && math.Abs(d) > farAway*out.U[a] {
				unclear[a] = true
			}
		}
	}
}
