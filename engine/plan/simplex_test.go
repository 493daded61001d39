package plan

import (
	"errors"
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/optimize/convex/lp"
	"pgregory.net/rapid"
)

// drawn is a random programme: minimise c x, rows k x <= b or k x = b, x >= 0.
type drawn struct {
	c    []float64
	rows []row
}

// anyProgram draws whole numbers small enough that many programmes are
// degenerate, contradict themselves or have no least.
func anyProgram(t *rapid.T) drawn {
	n, m := rapid.IntRange(1, 6).Draw(t, "columns"), rapid.IntRange(1, 7).Draw(t, "rows")
	number := func(name string) float64 { return float64(rapid.IntRange(-4, 4).Draw(t, name)) }
	d := drawn{c: make([]float64, n)}
	for j := range d.c {
		d.c[j] = number("cost")
	}
	for range m {
		r := row{k: make([]float64, n), b: float64(rapid.IntRange(-6, 12).Draw(t, "side")), equal: rapid.IntRange(0, 4).Draw(t, "equal") == 0}
		for j := range r.k {
			r.k[j] = number("k")
		}
		d.rows = append(d.rows, r)
	}
	return d
}

func (d drawn) feasible(x []float64) bool {
	for _, r := range d.rows {
		sum := -r.b
		for j, k := range r.k {
			sum += k * x[j]
		}
		if sum > 1e-6 || r.equal && sum < -1e-6 {
			return false
		}
	}
	for _, v := range x {
		if v < 0 {
			return false
		}
	}
	return true
}

func (d drawn) value(x []float64) float64 {
	sum := 0.0
	for j, c := range d.c {
		sum += c * x[j]
	}
	return sum
}

// The same programmes by gonum's simplex: slacks added, as it wants equal rows.
func (d drawn) byGonum() (float64, error) {
	n := len(d.c)
	for _, r := range d.rows {
		if !r.equal {
			n++
		}
	}
	if len(d.rows) > n {
		return 0, errors.New("more rows than columns")
	}
	a := mat.NewDense(len(d.rows), n, nil)
	b, c := make([]float64, len(d.rows)), make([]float64, n)
	copy(c, d.c)
	slack := len(d.c)
	for i, r := range d.rows {
		for j, k := range r.k {
			a.Set(i, j, k)
		}
		if !r.equal {
			a.Set(i, slack, 1)
			slack++
		}
		b[i] = r.b
	}
	z, _, err := lp.Simplex(c, a, b, 1e-9, nil)
	return z, err
}

func TestSimplexAgainstGonum(t *testing.T) {
	compared, contradict, endless := 0, 0, 0
	rapid.Check(t, func(t *rapid.T) {
		d := anyProgram(t)
		tab, ok := newTableau(len(d.c), d.rows)
		got := math.NaN()
		if ok {
			cost := make([]float64, len(tab.banned))
			copy(cost, d.c)
			got = tab.minimise(cost)
			x := tab.value()
			if !d.feasible(x) {
				t.Fatalf("x = %v breaks a row", x)
			}
			if !math.IsInf(got, -1) && math.Abs(d.value(x)-got) > 1e-6 {
				t.Fatalf("least %v, but x = %v gives %v", got, x, d.value(x))
			}
		}
		want, err := d.byGonum()
		switch {
		case err == nil:
			compared++
			if !ok || math.Abs(got-want) > 1e-6*(1+math.Abs(want)) {
				t.Fatalf("least %v (feasible %v), gonum %v", got, ok, want)
			}
		case errors.Is(err, lp.ErrInfeasible):
			// Our x was held against every row above: where there is one, gonum
			// has lost its way among rows that depend on each other.
			if !ok {
				contradict++
			}
		case errors.Is(err, lp.ErrUnbounded):
			endless++
			if ok && !math.IsInf(got, -1) {
				t.Fatalf("least %v; gonum says that there is none", got)
			}
		}
		// Rows that depend on each other, and more rows than columns, gonum
		// refuses: those are held by the brute force below.
	})
	if !testing.Short() && (compared < 5 || contradict < 1 || endless < 1) {
		t.Errorf("too few of a kind: %d with a least, %d contradict, %d without a least", compared, contradict, endless)
	}
}

// Against all corners: each choice of as many rows and axes as there are
// columns, met as equal, is a corner of what is feasible.
func TestSimplexAgainstCorners(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := anyProgram(t)
		n := min(len(d.c), 3) // more columns have too many corners
		d.c = d.c[:n]
		for i := range d.rows {
			d.rows[i].k = d.rows[i].k[:n]
		}
		for j := range n { // a box, so that there is a least
			k := make([]float64, n)
			k[j] = 1
			d.rows = append(d.rows, row{k: k, b: 10})
		}
		best := math.Inf(1)
		lines := append([]row{}, d.rows...)
		for j := range n {
			k := make([]float64, n)
			k[j] = 1
			lines = append(lines, row{k: k})
		}
		choose(len(lines), n, func(pick []int) {
			a, b := mat.NewDense(n, n, nil), mat.NewVecDense(n, nil)
			for i, p := range pick {
				a.SetRow(i, lines[p].k)
				b.SetVec(i, lines[p].b)
			}
			if math.Abs(mat.Det(a)) < 1e-9 {
				return
			}
			var x mat.VecDense
			if x.SolveVec(a, b) != nil {
				return
			}
			point := make([]float64, n)
			for j := range point {
				point[j] = x.AtVec(j)
				if math.Abs(point[j]) < 1e-9 {
					point[j] = 0
				}
			}
			if d.feasible(point) {
				best = math.Min(best, d.value(point))
			}
		})
		tab, ok := newTableau(n, d.rows)
		if ok == math.IsInf(best, 1) {
			t.Fatalf("feasible %v; least corner %v", ok, best)
		}
		if !ok {
			return
		}
		cost := make([]float64, len(tab.banned))
		copy(cost, d.c)
		if got := tab.minimise(cost); math.Abs(got-best) > 1e-6 {
			t.Fatalf("least %v, corners give %v", got, best)
		}
	})
}

func choose(of, n int, with func([]int)) {
	pick := make([]int, n)
	var step func(at, from int)
	step = func(at, from int) {
		if at == n {
			with(pick)
			return
		}
		for i := from; i < of; i++ {
			pick[at] = i
			step(at+1, i+1)
		}
	}
	step(0, 0)
}

// What is kept stays at its least while something else is minimised.
func TestKeptCostsStay(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := anyProgram(t)
		for j := range d.c {
			k := make([]float64, len(d.c))
			k[j] = 1
			d.rows = append(d.rows, row{k: k, b: 10})
		}
		tab, ok := newTableau(len(d.c), d.rows)
		if !ok {
			return
		}
		first := make([]float64, len(tab.banned))
		copy(first, d.c)
		least := tab.minimise(first)
		tab.keep()
		second := make([]float64, len(tab.banned))
		for j := range d.c {
			second[j] = 1
		}
		got := tab.minimise(second)
		if x := tab.value(); !d.feasible(x) || math.Abs(d.value(x)-least) > 1e-6 {
			t.Fatalf("first %v became %v at %v", least, d.value(x), x)
		}
		// The same by a row that holds the first at its least.
		again, ok := newTableau(len(d.c), append(append([]row{}, d.rows...), row{k: d.c, b: least + 1e-9}))
		if !ok {
			t.Fatal("the least itself can't be held")
		}
		cost := make([]float64, len(again.banned))
		for j := range d.c {
			cost[j] = 1
		}
		if want := again.minimise(cost); math.Abs(got-want) > 1e-5 {
			t.Fatalf("second %v, want %v", got, want)
		}
	})
}

// Beale's programme, on which the plain rule goes round for ever.
//
// Source: Beale, Naval Research Logistics Quarterly 2, 1955, from memory: least
// -1/20 at x = (1/25, 0, 1, 0).
func TestSimplexDoesNotCycle(t *testing.T) {
	rows := []row{{k: []float64{0.25, -60, -0.04, 9}}, {k: []float64{0.5, -90, -0.02, 3}}, {k: []float64{0, 0, 1, 0}, b: 1}}
	tab, ok := newTableau(4, rows)
	if !ok {
		t.Fatal("not feasible")
	}
	cost := make([]float64, len(tab.banned))
	copy(cost, []float64{-0.75, 150, -0.02, 6})
	if got := tab.minimise(cost); math.Abs(got+0.05) > 1e-12 {
		t.Errorf("least %v, want -0.05", got)
	}
}
