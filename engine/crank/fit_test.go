package crank_test

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"portwright/engine/crank"
	"portwright/engine/unit"
)

// truth is an invented engine with a wheel that is not at zero.
type truth struct{ stroke, rod, offset, deck, zero float64 }

// pairs reads depths at wheel angles spread over the downstroke and the upstroke.
func (tr truth) pairs(t *testing.T, degrees []float64, noise func(i int) (depth, angle float64)) []crank.Pair {
	t.Helper()
	m, err := crank.New(tr.stroke, tr.rod, tr.offset)
	if err != nil {
		t.Fatal(err)
	}
	var out []crank.Pair
	for i, deg := range degrees {
		a := unit.Rad(deg)
		dd, da := noise(i)
		out = append(out, crank.Pair{Depth: tr.deck + m.Travel(a) + dd, Angle: a + tr.zero + da})
	}
	return out
}

func exact(int) (float64, float64) { return 0, 0 }

func known(v float64) crank.Quantity { return crank.Quantity{Value: v} }

var free = crank.Quantity{Free: true}

func around() []float64 { return []float64{35, 60, 90, 110, 130, 155, 205, 240, 270, 300, 325} }

func TestFitRecoversExactPairs(t *testing.T) {
	tr := truth{stroke: 34, rod: 60, offset: 0.8, deck: 0.35, zero: unit.Rad(7)}
	for _, c := range []struct {
		name  string
		setup crank.Setup
	}{
		{"rod", crank.Setup{Stroke: known(34), Rod: free, Offset: known(0.8), Deck: known(0.35), Zero: known(tr.zero)}},
		{"rod and deck", crank.Setup{Stroke: known(34), Rod: free, Offset: known(0.8), Deck: free, Zero: known(tr.zero)}},
		{"rod, deck and zero", crank.Setup{Stroke: known(34), Rod: free, Offset: known(0.8), Deck: free, Zero: free}},
		{"all five", crank.Setup{Stroke: free, Rod: free, Offset: free, Deck: free, Zero: free}},
	} {
		t.Run(c.name, func(t *testing.T) {
			c.setup.Pairs = tr.pairs(t, around(), exact)
			r, err := crank.Fit(c.setup)
			if err != nil {
				t.Fatal(err)
			}
			if r.Status != crank.Converged {
				t.Fatalf("%v, unclear %v", r.Status, r.Unclear)
			}
			want := []float64{tr.stroke, tr.rod, tr.offset, tr.deck, tr.zero}
			for p, w := range want {
				// Exact pairs leave only rounding, raised by the conditioning.
				if got := r.Value[p]; math.Abs(got-w) > 1e-5 {
					t.Errorf("%v: %v, want %v", crank.Param(p), got, w)
				}
			}
		})
	}
}

// TestFitSaysWhatItCantTell lists inputs from which a parameter can't be had:
// the status must say so and name it, and no number may be nonsense.
func TestFitSaysWhatItCantTell(t *testing.T) {
	tr := truth{stroke: 34, rod: 60, deck: 0.35}
	noisy := func(i int) (float64, float64) { return 0.01 * float64(i%3-1), 0 }
	for _, c := range []struct {
		name    string
		setup   crank.Setup
		degrees []float64
		u       float64
		unclear crank.Param
	}{
		{"rod and deck from one pair", crank.Setup{Stroke: known(34), Rod: free, Deck: free}, []float64{100}, 0.02, crank.Rod},
		{"rod from one pair of no stated worth", crank.Setup{Stroke: known(34), Rod: free, Deck: known(0.35)}, []float64{100}, 0, crank.Rod},
		{"rod from pairs at the dead centres", crank.Setup{Stroke: known(34), Rod: free, Deck: known(0.35)}, []float64{0, 180}, 0.02, crank.Rod},
		{"rod and deck from one place, read five times", crank.Setup{Stroke: known(34), Rod: free, Deck: free}, []float64{100, 100, 100, 100, 100}, 0.02, crank.Rod},
		{"rod, deck and zero from places close together", crank.Setup{Stroke: known(34), Rod: free, Deck: free, Zero: free}, []float64{100, 101, 102, 103}, 0.02, crank.Rod},
		{"zero from one pair: going down and going up both fit", crank.Setup{Stroke: known(34), Rod: known(60), Deck: known(0.35), Zero: free}, []float64{100}, 0.02, crank.Zero},
		{"rod from one pair with a poor depth", crank.Setup{Stroke: known(34), Rod: free, Deck: known(0.35)}, []float64{100}, 0.4, crank.Rod},
		{"zero from depths as good as unread", crank.Setup{Stroke: known(34), Rod: known(60), Deck: known(0.35), Zero: free}, []float64{100, 105}, 20, crank.Zero},
		{"offset from one side", crank.Setup{Stroke: known(34), Rod: free, Offset: free, Deck: free, Zero: free}, []float64{60, 80, 100, 120}, 0.02, crank.Offset},
	} {
		t.Run(c.name, func(t *testing.T) {
			c.setup.Pairs = tr.pairs(t, c.degrees, noisy)
			for i := range c.setup.Pairs {
				c.setup.Pairs[i].UDepth = c.u
			}
			r, err := crank.Fit(c.setup)
			if err != nil {
				t.Fatal(err)
			}
			if r.Status != crank.NotDetermined || !slices.Contains(r.Unclear, c.unclear) {
				t.Errorf("%v, unclear %v, want %v among them; values %v +- %v", r.Status, r.Unclear, c.unclear, r.Value, r.U)
			}
			finite(t, r)
		})
	}
}

func finite(t interface{ Fatalf(string, ...any) }, r crank.FitResult) {
	all := append([]float64{r.Scale, r.Chance}, r.Residual...)
	all = append(all, r.Value[:]...)
	all = append(all, r.U[:]...)
	for _, row := range r.Cov {
		all = append(all, row[:]...)
	}
	for _, v := range all {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			t.Fatalf("a number is not finite: %+v", r)
		}
	}
}

// TestFitOneGoodPair: with everything else known a single pair gives the rod,
// and its doubt is the depth's over dx/dL.
func TestFitOneGoodPair(t *testing.T) {
	tr := truth{stroke: 34, rod: 60}
	pairs := tr.pairs(t, []float64{100}, exact)
	pairs[0].UDepth = 0.005
	r, err := crank.Fit(crank.Setup{Stroke: known(34), Rod: free, Pairs: pairs})
	if err != nil || r.Status != crank.Converged {
		t.Fatal(r.Status, r.Unclear, err)
	}
	h := 1e-3
	longer, _ := crank.New(34, 60+h, 0)
	shorter, _ := crank.New(34, 60-h, 0)
	slope := (longer.Travel(unit.Rad(100)) - shorter.Travel(unit.Rad(100))) / (2 * h)
	if math.Abs(r.Value[crank.Rod]-60) > 1e-6 || math.Abs(r.U[crank.Rod]-0.005/math.Abs(slope)) > 1e-4 {
		t.Errorf("rod %v +- %v, want 60 +- %v", r.Value[crank.Rod], r.U[crank.Rod], 0.005/math.Abs(slope))
	}
}

// TestFitRaisesDoubt: pairs that disagree by far more than stated give a small
// chance and uncertainties raised by the residual scale.
func TestFitRaisesDoubt(t *testing.T) {
	tr := truth{stroke: 34, rod: 60, deck: 0.35}
	pairs := tr.pairs(t, around(), func(i int) (float64, float64) { return 0.2 * float64(i%2*2-1), 0 })
	for i := range pairs {
		pairs[i].UDepth = 0.02
	}
	r, err := crank.Fit(crank.Setup{Stroke: known(34), Rod: known(60), Deck: free, Pairs: pairs})
	if err != nil || r.Status != crank.Converged {
		t.Fatal(r.Status, r.Unclear, err)
	}
	if r.Chance > 1e-6 || r.DF != 10 || math.Abs(r.U[crank.Deck]-r.Scale*0.02/math.Sqrt(11)) > 1e-9 {
		t.Errorf("chance %v, df %v, u %v, scale %v", r.Chance, r.DF, r.U[crank.Deck], r.Scale)
	}
}

// TestFitHoldsWhatIsKnown: a length known with doubt moves a little when the
// pairs say so, and its doubt never grows.
func TestFitHoldsWhatIsKnown(t *testing.T) {
	tr := truth{stroke: 34, rod: 60, deck: 0.35}
	pairs := tr.pairs(t, around(), exact)
	for i := range pairs {
		pairs[i].UDepth = 0.02
	}
	r, err := crank.Fit(crank.Setup{Stroke: crank.Quantity{Value: 34.02, U: 0.02}, Rod: crank.Quantity{Value: 61, U: 1}, Deck: free, Pairs: pairs})
	if err != nil || r.Status != crank.Converged {
		t.Fatal(r.Status, r.Unclear, err)
	}
	if !(r.U[crank.Stroke] > 0 && r.U[crank.Stroke] < 0.02) || !(math.Abs(r.Value[crank.Stroke]-34) < 0.02) {
		t.Errorf("stroke %v +- %v from 34.02 +- 0.02, truth 34", r.Value[crank.Stroke], r.U[crank.Stroke])
	}
	if !(r.U[crank.Rod] < 1) || !(math.Abs(r.Value[crank.Rod]-60) < 3*r.U[crank.Rod]) {
		t.Errorf("rod %v +- %v from 61 +- 1, truth 60", r.Value[crank.Rod], r.U[crank.Rod])
	}
}

func TestFitRefusesBadInput(t *testing.T) {
	good := func() crank.Setup {
		return crank.Setup{Stroke: known(34), Rod: free, Pairs: []crank.Pair{{Depth: 20, Angle: 1.6}, {Depth: 25, Angle: 1.9}, {Depth: 12, Angle: 1.2}}}
	}
	for _, c := range []struct {
		name  string
		spoil func(*crank.Setup)
		field string
	}{
		{"no pairs", func(s *crank.Setup) { s.Pairs = nil }, "pairs"},
		{"depth NaN", func(s *crank.Setup) { s.Pairs[1].Depth = math.NaN() }, "pairs[1].depth_mm"},
		{"angle infinite", func(s *crank.Setup) { s.Pairs[2].Angle = math.Inf(1) }, "pairs[2].angle"},
		{"uncertainty in some pairs", func(s *crank.Setup) { s.Pairs[0].UDepth = 0.02 }, "pairs[1].depth_u_mm"},
		{"negative angle uncertainty", func(s *crank.Setup) { s.Pairs[0].UAngle = -1 }, "pairs[0].angle_u"},
		{"stroke not given", func(s *crank.Setup) { s.Stroke = known(0) }, "engine.stroke_mm"},
		{"rod shorter than the throw", func(s *crank.Setup) { s.Rod = known(16) }, "engine.rod_mm"},
		{"offset NaN", func(s *crank.Setup) { s.Offset = known(math.NaN()) }, "engine.pin_offset_mm"},
		{"doubt without weights", func(s *crank.Setup) { s.Zero.U = 0.01 }, "pairs"},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := good()
			c.spoil(&s)
			_, err := crank.Fit(s)
			var in *unit.InputError
			if !errors.As(err, &in) {
				t.Fatalf("error %v, want an input error", err)
			}
			if !strings.Contains(err.Error(), c.field) {
				t.Errorf("%q does not name %s", err, c.field)
			}
		})
	}
}

// TestFitOfAnything: whatever the pairs, an answer holds only numbers, and
// what is called determined has a doubt.
func TestFitOfAnything(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		quantity := func(name string, low, high float64) crank.Quantity {
			q := crank.Quantity{Value: rapid.Float64Range(low, high).Draw(t, name)}
			switch rapid.IntRange(0, 2).Draw(t, name+" is") {
			case 1:
				q.U = rapid.Float64Range(1e-6, 5).Draw(t, name+" doubt")
			case 2:
				q.Free = true
			}
			return q
		}
		s := crank.Setup{
			Stroke: quantity("stroke", 10, 80), Rod: quantity("rod", 20, 200), Offset: quantity("offset", -5, 5),
			Deck: quantity("deck", -5, 5), Zero: quantity("zero", -10, 10),
		}
		for range rapid.IntRange(1, 12).Draw(t, "pairs") {
			s.Pairs = append(s.Pairs, crank.Pair{
				Depth: rapid.Float64Range(-100, 100).Draw(t, "depth"), Angle: rapid.Float64Range(-20, 20).Draw(t, "angle"),
				UDepth: rapid.Float64Range(1e-6, 1).Draw(t, "depth doubt"), UAngle: rapid.Float64Range(0, 0.2).Draw(t, "angle doubt"),
			})
		}
		r, err := crank.Fit(s)
		if err != nil {
			var in *unit.InputError
			if !errors.As(err, &in) {
				t.Fatal(err)
			}
			return
		}
		finite(t, r)
		for p, q := range []crank.Quantity{s.Stroke, s.Rod, s.Offset, s.Deck, s.Zero} {
			unclear := slices.Contains(r.Unclear, crank.Param(p))
			if q.Free && !unclear && !(r.U[p] > 0) {
				t.Errorf("%v is determined without doubt: %+v", crank.Param(p), r)
			}
			if !q.Free && q.U == 0 && crank.Param(p) != crank.Zero && r.Value[p] != q.Value {
				t.Errorf("%v was held at %v and came out as %v", crank.Param(p), q.Value, r.Value[p])
			}
		}
	})
}
