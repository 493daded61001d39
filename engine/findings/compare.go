package findings

import (
	"math"

	"portwright/engine/stat"
)

// compare holds each pass against the last one before it of the same cylinder,
// and each further cylinder against the first in the pass of the same name.
func compare(states []*state) []Comparison {
	out := []Comparison{}
	for i, s := range states {
		before, beside := -1, -1
		for k := 0; k < i; k++ {
			if cylinder(states[k]) == cylinder(s) {
				before = k
			} else if beside < 0 && states[k].p.Name == s.p.Name {
				beside = k
			}
		}
		for _, k := range [2]int{before, beside} {
			if k >= 0 {
				out = append(out, s.against(states[k])...)
			}
		}
	}
	return out
}

func cylinder(s *state) int { return max(s.p.Cylinder, 1) }

// against compares the windows that both passes read. Two passes have their
// own scatter, wheel and zero; bore, stroke and rod they share, so those cancel
// as far as they do.
func (s *state) against(o *state) []Comparison {
	var out []Comparison
	for i := range s.windows {
		a, b := s.timing(i), o.timing(i)
		c := Comparison{Window: s.windows[i].doc.Name, Pass: s.p.Name, Cylinder: cylinder(s), Against: o.p.Name, AgainstCyl: cylinder(o)}
		put := func(value, doubt **float64, x, y *stat.Estimate, wrap bool) {
			if x == nil || y == nil {
				return
			}
			diff := x.Value - y.Value
			if wrap {
				diff = math.Remainder(diff, 360)
			}
			u, df, err := doubtOfDifference(s, o, x, y)
			if err != nil {
				return
			}
			u = s.expand(u, df)
			*value, *doubt = tidied(diff), tidied(u)
			c.Real = c.Real || math.Abs(diff) > u
		}
		put(&c.OpensDeg, &c.OpensU95Deg, a.opens, b.opens, true)
		put(&c.DurationDeg, &c.DurationU95Deg, a.duration, b.duration, true)
		put(&c.TravelMM, &c.TravelU95MM, a.travel, b.travel, false)
		if c.OpensDeg != nil || c.DurationDeg != nil || c.TravelMM != nil {
			out = append(out, c)
		}
	}
	return out
}

// doubtOfDifference returns the standard uncertainty of x - y from two passes,
// and its degrees of freedom.
func doubtOfDifference(s, o *state, x, y *stat.Estimate) (u, df float64, err error) {
	sharedX, ownX := split(x)
	sharedY, ownY := split(y)
	for i := range sharedY {
		sharedY[i].C = -sharedY[i].C
	}
	parts := append(sharedX, sharedY...)
	for _, own := range [2]struct {
		s *state
		e stat.Estimate
	}{{s, ownX}, {o, ownY}} {
		u, df := own.s.combined(&own.e)
		parts = append(parts, stat.Component{U: u, DF: df, C: 1})
	}
	return stat.Combine(parts...)
}

// split parts what belongs to the engine, and so to every pass, from what
// belongs to the readings of one.
func split(e *stat.Estimate) (shared []stat.Component, own stat.Estimate) {
	for _, p := range e.Parts {
		if OfEngine(p.Name) {
			shared = append(shared, p)
		} else {
			own.Parts = append(own.Parts, p)
		}
	}
	return shared, own
}
