package plan

import "math"

// A row of a linear programme: k x <= b, or k x = b.
type row struct {
	k     []float64
	equal bool
	b     float64
}

// tableau is a linear programme in x >= 0 in canonical form: each row solved for
// one basic column. Columns are the n of x, a slack for each row that is not
// equal, and what the first phase needs.
//
// Source: Dantzig's simplex method in two phases, with Bland's rule against
// cycling (Bland, Mathematics of Operations Research 2, 1977, 103-107, from
// memory).
type tableau struct {
	n      int
	a      [][]float64 // rows; the last column is the right side
	basis  []int
	banned []bool    // columns that stay at 0
	cost   []float64 // reduced costs of the last objective
}

// Tolerances: numbers are millimetres and shares of them, of size 1 to 100, and
// a millionth of a millimetre is far below what anyone cuts.
const (
	pivotLeast = 1e-9
	costLeast  = 1e-9
	leftOver   = 1e-7 // of the first phase: as good as none
)

// newTableau brings a programme of n columns to a feasible basis; ok is false
// when its rows contradict each other. The columns in out stay at 0.
func newTableau(n int, rows []row, out ...int) (t *tableau, ok bool) {
	m := len(rows)
	slacks := 0
	for i := range rows {
		if !rows[i].equal {
			slacks++
		}
	}
	wide := n + slacks + m // a helper for each row at most
	t = &tableau{n: n, a: make([][]float64, m), basis: make([]int, m), banned: make([]bool, wide), cost: make([]float64, wide+1)}
	for _, j := range out {
		t.banned[j] = true
	}
	cells := make([]float64, m*(wide+1))
	slack, first := n, n+slacks
	phase := make([]float64, wide)
	for i, r := range rows {
		line := cells[i*(wide+1) : (i+1)*(wide+1)]
		t.a[i] = line
		sign := 1.0
		if r.b < 0 {
			sign = -1
		}
		for j := range r.k {
			line[j] = sign * r.k[j]
		}
		line[wide] = sign * r.b
		t.basis[i] = first + i
		if !r.equal {
			line[slack] = sign
			if sign > 0 {
				t.basis[i] = slack
			}
			slack++
		}
		if t.basis[i] >= first {
			line[first+i], phase[first+i] = 1, 1
		} else {
			t.banned[first+i] = true
		}
	}
	if left := t.minimise(phase); left > leftOver {
		return t, false
	}
	for j := first; j < wide; j++ {
		t.banned[j] = true
	}
	// A helper that is still basic stands at 0: anything may take its place, or
	// its row says nothing.
	for i, b := range t.basis {
		for j := 0; b >= first && j < first; j++ {
			if !t.banned[j] && math.Abs(t.a[i][j]) > pivotLeast {
				t.pivot(i, j)
				break
			}
		}
	}
	return t, true
}

// minimise brings c x to its least among the columns that are not banned and
// returns it; a cost without a least returns -Inf.
func (t *tableau) minimise(c []float64) float64 {
	wide := len(t.banned)
	for j := range t.cost {
		t.cost[j] = 0
	}
	copy(t.cost, c)
	for i, b := range t.basis {
		if f := t.cost[b]; f != 0 {
			for j := range t.cost {
				t.cost[j] -= f * t.a[i][j]
			}
		}
	}
	for {
		enter := -1
		for j := 0; j < wide; j++ {
			if !t.banned[j] && t.cost[j] < -costLeast {
				enter = j
				break
			}
		}
		if enter < 0 {
			return -t.cost[wide]
		}
		leave := -1
		for i := range t.a {
			if t.a[i][enter] <= pivotLeast {
				continue
			}
			if leave < 0 {
				leave = i
				continue
			}
			// Ratios compared crosswise: the smaller, and of equals the lower column.
			d := t.a[i][wide]*t.a[leave][enter] - t.a[leave][wide]*t.a[i][enter]
			if d < -1e-13 || d <= 1e-13 && t.basis[i] < t.basis[leave] {
				leave = i
			}
		}
		if leave < 0 {
			return math.Inf(-1)
		}
		t.pivot(leave, enter)
	}
}

func (t *tableau) pivot(i, j int) {
	line := t.a[i]
	f := 1 / line[j]
	for k := range line {
		line[k] *= f
	}
	line[j] = 1
	take := func(from []float64) {
		f := from[j]
		if f == 0 {
			return
		}
		for k, v := range line {
			if v != 0 {
				from[k] -= f * v
			}
		}
		from[j] = 0
	}
	for r := range t.a {
		if r != i {
			take(t.a[r])
		}
	}
	take(t.cost)
	t.basis[i] = j
}

// keep bans the columns that would take the last objective away from its least:
// what is minimised after it leaves it as it is.
func (t *tableau) keep() {
	for j := range t.banned {
		if t.cost[j] > costLeast {
			t.banned[j] = true
		}
	}
}

// value returns x.
func (t *tableau) value() []float64 {
	x := make([]float64, t.n)
	for i, b := range t.basis {
		if b < t.n {
			x[b] = math.Max(t.a[i][len(t.banned)], 0)
		}
	}
	return x
}
