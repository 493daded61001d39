package crank

import "math"

// leastSquares returns the damped step: the x that makes
//
//	|J x - res|^2 + damping |x|^2
//
// least, J having the columns cols of length 1. ok is false when rounding has
// taken all digits of it.
//
// J with sqrt(damping) 1 below it is brought to triangular form by reflections
// H = 1 - 2 v v^T/(v^T v), column by column, which the right side undergoes too.
// A library's QR does the same for matrices of any size; six columns at most do
// not need its blocked algorithms, a tenth of what the app weighs.
//
// Source: Householder, Unitary triangularization of a nonsymmetric matrix,
// J. ACM 5 (1958), 339-342.
func leastSquares(cols [][]float64, res []float64, damping float64) (step []float64, ok bool) {
	n := len(cols)
	b := append(append([]float64(nil), res...), make([]float64, n)...)
	a := make([][]float64, n)
	for c, col := range cols {
		a[c] = append(append([]float64(nil), col...), make([]float64, n)...)
		a[c][len(res)+c] = math.Sqrt(damping)
	}
	diagonal := make([]float64, n)
	for c := range a {
		v := a[c][c:]
		length := norm(v)
		if length == 0 {
			return make([]float64, n), false
		}
		diagonal[c] = -math.Copysign(length, v[0])
		v[0] -= diagonal[c] // both have one sign: nothing cancels
		vv := dot(v, v)
		for _, other := range a[c+1:] {
			addTimes(other[c:], -2*dot(v, other[c:])/vv, v)
		}
		addTimes(b[c:], -2*dot(v, b[c:])/vv, v)
	}
	step = b[:n:n]
	for c := n - 1; c >= 0; c-- {
		if step[c] /= diagonal[c]; math.IsNaN(step[c]) || math.IsInf(step[c], 0) || math.Abs(diagonal[c]) < lostDigits {
			return make([]float64, n), false
		}
		for r := range c {
			step[r] -= a[c][r] * step[c]
		}
	}
	return step, true
}

// lostDigits is how little of a column of length 1 may be left aside from those
// before it: below, it is rounding alone.
const lostDigits = 1e-16

func dot(a, b []float64) float64 {
	sum := 0.0
	for i, x := range a {
		sum += x * b[i]
	}
	return sum
}

// norm returns the length of v. The numbers are depths and their derivatives,
// far from where squares overflow.
func norm(v []float64) float64 { return math.Sqrt(dot(v, v)) }

// times multiplies v by f in place.
func times(f float64, v []float64) {
	for i := range v {
		v[i] *= f
	}
}

// addTimes adds f times v to sum in place.
func addTimes(sum []float64, f float64, v []float64) {
	for i, x := range v {
		sum[i] += f * x
	}
}
