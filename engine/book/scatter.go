package book

import (
	"math"

	"portwright/engine/build"
	"portwright/engine/unit"
)

// spreadMost is the widest range of one event's repeats, in degrees, that is
// taken for scatter. Beyond it one of them was misread. A convention.
const spreadMost = 3

// scatterOf adds up how the repeats of a build's passes scatter on the wheel:
// the squares of their distances from the mean of their event, in square
// degrees, and the degrees of freedom. Readings of one event that were seen by
// different methods are different things.
//
// Source: pooled estimate of a variance, JCGM 100:2008, 4.2.4 and H.3.
func scatterOf(b *build.Build) (squares, df float64) {
	type what struct{ window, event, method string }
	for i := range b.Passes {
		p := &b.Passes[i]
		if p.Habit == build.HabitDepth {
			continue // depths in mm
		}
		groups := map[what][]float64{}
		var order []what // a sum of floats depends on it
		for j := range p.Readings {
			r := &p.Readings[j]
			if r.Struck != "" {
				continue
			}
			k := what{r.Window, r.Event, r.Method}
			if len(groups[k]) == 0 {
				order = append(order, k)
			}
			groups[k] = append(groups[k], r.Value.Value)
		}
		for _, k := range order {
			s, n := squaresOf(groups[k])
			squares, df = squares+s, df+n
		}
	}
	return squares, df
}

func squaresOf(xs []float64) (squares, df float64) {
	mean, least, most := 0.0, 0.0, 0.0
	for _, x := range xs {
		d := unit.Signed(x - xs[0])
		mean += d / float64(len(xs))
		least, most = math.Min(least, d), math.Max(most, d)
	}
	if most-least > spreadMost || len(xs) < 2 {
		return 0, 0
	}
	for _, x := range xs {
		d := unit.Signed(x-xs[0]) - mean
		squares += d * d
	}
	return squares, float64(len(xs) - 1)
}
