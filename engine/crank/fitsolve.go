package crank

import "math"

// vector holds a value of each parameter, by Param.
type vector [params]float64

// fitter holds what does not change during a fit.
type fitter struct {
	in     Setup
	given  [params]Quantity
	active []Param // what may move: free, or known with doubt
	stated bool
}

// point is a place in the parameters and how well it fits.
type point struct {
	at   vector
	mech Mechanism
	chi2 float64   // weighted squares, the known parameters' own included
	w    []float64 // 1/u_i^2 of each pair
	done bool      // small changes stopped helping
}

func newFitter(in Setup) *fitter {
	f := &fitter{in: in, stated: in.stated()}
	f.given = [params]Quantity{Stroke: in.Stroke, Rod: in.Rod, Offset: in.Offset, Deck: in.Deck, Zero: in.Zero}
	for p := range params {
		if q := f.given[p]; q.Free || q.U > 0 {
			f.active = append(f.active, p)
		}
	}
	return f
}

// eval returns the point at v with the given weights (nil: all 1), or nil
// where no crank turns.
func (f *fitter) eval(v vector, w []float64) *point {
	m := build(v[Stroke]/2, v[Rod], v[Offset])
	if !m.turns() || v[Rod] > longestRod*v[Stroke] {
		return nil
	}
	p := &point{at: v, mech: m, w: w}
	for i, pair := range f.in.Pairs {
		d := pair.Depth - v[Deck] - m.Travel(pair.Angle-v[Zero])
		if w == nil {
			p.chi2 += d * d
		} else {
			p.chi2 += w[i] * d * d
		}
	}
	for _, a := range f.active {
		if q := f.given[a]; !q.Free {
			d := (q.Value - v[a]) / q.U
			p.chi2 += d * d
		}
	}
	return p
}

// longestRod bounds the rod in strokes: beyond it the motion is a sine for all
// that a gauge can tell.
const longestRod = 50

func (f *fitter) weights(p *point) []float64 {
	w := make([]float64, len(f.in.Pairs))
	for i, pair := range f.in.Pairs {
		w[i] = 1
		if f.stated {
			slope := p.mech.TravelRate(pair.Angle - p.at[Zero])
			w[i] = 1 / (pair.UDepth*pair.UDepth + slope*slope*pair.UAngle*pair.UAngle)
		}
	}
	return w
}

// jacobian returns the weighted derivatives of the fitted depths as columns of
// length 1, the scale by which each was divided, and the weighted residuals. A
// quantity known with doubt adds a row of its own.
func (f *fitter) jacobian(p *point) (cols [][]float64, scale, res []float64) {
	n := len(f.in.Pairs)
	rows := n + len(f.active)
	res = make([]float64, rows)
	cols, scale = make([][]float64, len(f.active)), make([]float64, len(f.active))
	for c := range cols {
		cols[c] = make([]float64, rows)
	}
	for i, pair := range f.in.Pairs {
		a := pair.Angle - p.at[Zero]
		root := math.Sqrt(p.w[i])
		res[i] = root * (pair.Depth - p.at[Deck] - p.mech.Travel(a))
		s := p.mech.TravelSensitivity(a)
		by := vector{Stroke: s.Stroke, Rod: s.Rod, Offset: s.Offset, Deck: 1, Zero: -s.Angle}
		for c, param := range f.active {
			cols[c][i] = root * by[param]
		}
	}
	for c, param := range f.active {
		if q := f.given[param]; !q.Free {
			cols[c][n+c] = 1 / q.U
			res[n+c] = (q.Value - p.at[param]) / q.U
		}
		if scale[c] = norm(cols[c]); scale[c] == 0 {
			scale[c] = 1
		}
		times(1/scale[c], cols[c])
	}
	return cols, scale, res
}

// solve refines a start: weights are held while Levenberg-Marquardt steps run,
// then taken anew at the point reached, until that changes nothing.
//
// A start that after one round still fits far worse than the best one known
// (nil: none) leads nowhere near it and is given up.
func (f *fitter) solve(p, best *point) *point {
	for range rounds {
		from := p.at
		p = f.descend(p)
		p = f.eval(p.at, f.weights(p))
		if best != nil && p.chi2 > hopeless*(best.chi2+float64(len(p.w))) {
			return p
		}
		moved := 0.0
		for _, a := range f.active {
			moved = math.Max(moved, math.Abs(p.at[a]-from[a])/f.size(p, a))
		}
		if moved < 10*settled {
			p.done = true
			return p
		}
	}
	return p
}

const (
	stepsPerRound = 25
	rounds        = 30
	// hopeless is how many times worse than the best a start may fit and still
	// be followed.
	hopeless = 1000
)

// settled is a step, in natural sizes, too small to matter: a wheel shows a
// millionth of the throw or of a radian at the very best.
const settled = 1e-9

// size is the natural size of a parameter: the throw, or a radian.
func (f *fitter) size(p *point, a Param) float64 {
	if a == Zero {
		return 1
	}
	return p.mech.r
}

// descend runs Levenberg-Marquardt steps with the weights of p:
//
//  1. columns of J brought to length 1
//  2. step = least squares of (J; sqrt(damping) 1) against (res; 0), by QR
//  3. keep it when chi squared falls and damp less, else damp more
func (f *fitter) descend(p *point) *point {
	if len(f.active) == 0 {
		return p
	}
	damping := 1e-3
	for range stepsPerRound {
		cols, scale, res := f.jacobian(p)
		better := false
		for !better && damping < 1e12 {
			next := p.at
			length := 0.0
			step, ok := leastSquares(cols, res, damping)
			for c, a := range f.active {
				step[c] /= scale[c]
				next[a] += step[c]
				length = math.Max(length, math.Abs(step[c])/f.size(p, a))
			}
			q := f.eval(next, p.w)
			if better = ok && q != nil && q.chi2 < p.chi2; better {
				p = q
				damping = math.Max(damping/10, 1e-12)
			} else {
				damping *= 10
			}
			if length < settled {
				return p
			}
		}
		if !better {
			return p
		}
	}
	return p
}
