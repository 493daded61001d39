//go:build !js

package crank

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"
)

// drawColumns makes rows by n numbers, some columns nearly along others, each
// brought to length 1 as jacobian does.
func drawColumns(t *rapid.T) (cols [][]float64, res []float64) {
	n := rapid.IntRange(1, int(params)).Draw(t, "n")
	rows := rapid.IntRange(1, 30).Draw(t, "rows")
	number := rapid.Float64Range(-1e3, 1e3)
	for c := range n {
		col := rapid.SliceOfN(number, rows, rows).Draw(t, "column")
		if c > 0 && rapid.Bool().Draw(t, "close") {
			times(rapid.SampledFrom([]float64{0, 1e-9, 1e-6, 1e-3}).Draw(t, "apart"), col)
			addTimes(col, 1, cols[0])
		}
		if l := norm(col); l > 0 {
			times(1/l, col)
		}
		cols = append(cols, col)
	}
	return cols, rapid.SliceOfN(number, rows, rows).Draw(t, "res")
}

// TestLeastSquaresAgainstGonum holds the step against that of an independent
// QR. Both may be off by rounding times the condition of the columns, at most
// 1/sqrt(damping), so what is compared is what the step does: the sum of
// squares that it makes least.
//
// Independent: gonum.org/v1/gonum/mat.QR (Householder, LAPACK's dgeqrf).
func TestLeastSquaresAgainstGonum(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		cols, res := drawColumns(t)
		damping := math.Pow(10, rapid.Float64Range(-12, 12).Draw(t, "damping"))
		got, ok := leastSquares(cols, res, damping)
		if !ok {
			t.Fatal("a damped step always exists")
		}
		rows, n := len(res), len(cols)
		a, b := mat.NewDense(rows+n, n, nil), mat.NewVecDense(rows+n, nil)
		for c, col := range cols {
			for i, x := range col {
				a.Set(i, c, x)
			}
			a.Set(rows+c, c, math.Sqrt(damping))
		}
		for i, x := range res {
			b.SetVec(i, x)
		}
		var qr mat.QR
		qr.Factorize(a)
		var want mat.VecDense
		if err := qr.SolveVecTo(&want, false, b); err != nil {
			t.Fatal(err)
		}
		size := 1.0
		for c := range n {
			size = math.Max(size, math.Abs(want.AtVec(c)))
		}
		for c := range n {
			// Rounding, times the condition of the damped columns and, for
			// residuals that no step removes, its square.
			condition := math.Sqrt((float64(n) + damping) / damping)
			limit := 1e-14 * condition * (size + condition*norm(res)/math.Max(1, math.Sqrt(damping)))
			if d := math.Abs(got[c] - want.AtVec(c)); !(d <= limit) {
				t.Fatalf("step %d: %v, gonum %v, apart %v, limit %v", c, got[c], want.AtVec(c), d, limit)
			}
		}
		chi2 := func(x func(int) float64) float64 {
			sum := 0.0
			for i, r := range res {
				for c := range n {
					r -= cols[c][i] * x(c)
				}
				sum += r * r
			}
			for c := range n {
				sum += damping * x(c) * x(c)
			}
			return sum
		}
		ours, theirs := chi2(func(c int) float64 { return got[c] }), chi2(want.AtVec)
		if ours > theirs*(1+1e-9)+1e-9 {
			t.Fatalf("sum of squares %v, gonum's %v", ours, theirs)
		}
	})
}

func TestLeastSquaresSaysWhatHasNoAnswer(t *testing.T) {
	for name, cols := range map[string][][]float64{
		"a column of zeros":   {{1, 0, 0}, {0, 0, 0}},
		"twice one column":    {{1, 0, 0}, {1, 0, 0}},
		"numbers without end": {{math.NaN(), 0, 0}},
	} {
		if step, ok := leastSquares(cols, []float64{1, 2, 3}, 0); ok {
			t.Errorf("%s: %v", name, step)
		}
	}
}
