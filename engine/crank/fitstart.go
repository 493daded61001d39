package crank

import (
	"math"
	"sort"
)

// guesses of what is not known: rods of saw-class engines lie between 1.6 and
// 2.2 strokes (common practice, no source).
const (
	guessRod    = 1.9
	zeroStarts  = 24  // every 15 degrees of wheel
	guessStroke = 1.2 // of the depths' range
)

// starts returns the points to refine: one, or with a free zero every low
// place on the way round the wheel.
func (f *fitter) starts() []*point {
	var v vector
	for p := range params {
		v[p] = f.given[p].Value
	}
	if v[Stroke] == 0 {
		low, high := math.Inf(1), math.Inf(-1)
		for _, p := range f.in.Pairs {
			low, high = math.Min(low, p.Depth), math.Max(high, p.Depth)
		}
		v[Stroke] = math.Max(guessStroke*(high-low), 1)
	}
	if v[Rod] == 0 {
		v[Rod] = guessRod * v[Stroke]
	}
	if !f.given[Zero].Free {
		return f.lowest([]vector{v}, false)
	}
	var round []vector
	for k := range zeroStarts {
		next := v
		next[Zero] += 2 * math.Pi * float64(k) / zeroStarts
		round = append(round, next)
	}
	return f.lowest(round, true)
}

// lowest keeps the vectors that fit no worse than their neighbours round the
// wheel, the best first.
func (f *fitter) lowest(vs []vector, round bool) []*point {
	ps := make([]*point, len(vs))
	for i, v := range vs {
		ps[i] = f.eval(v, nil)
		if ps[i] == nil {
			return nil
		}
		ps[i].w = f.weights(ps[i])
		ps[i] = f.eval(v, ps[i].w)
	}
	if !round {
		return ps
	}
	var out []*point
	for i, p := range ps {
		before, after := ps[(i+len(ps)-1)%len(ps)], ps[(i+1)%len(ps)]
		if p.chi2 <= before.chi2 && p.chi2 <= after.chi2 {
			out = append(out, p)
		}
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].chi2 < out[j].chi2 })
	return out
}
