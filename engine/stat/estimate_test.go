package stat_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"

	"portwright/engine/stat"
)

func u(t interface{ Fatal(...any) }, e stat.Estimate) float64 {
	v, _, err := e.U()
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func drawEstimate(t *rapid.T, name string) stat.Estimate {
	e := stat.Exact(rapid.Float64Range(-360, 360).Draw(t, name))
	for _, source := range []string{"zero", "rod", name + " scatter"} {
		e.Parts = append(e.Parts, stat.Component{
			Name: source, U: map[string]float64{"zero": 0.2, "rod": 0.1}[source], C: rapid.Float64Range(-3, 3).Draw(t, source),
		})
	}
	e.Parts[2].U = rapid.Float64Range(0, 2).Draw(t, "u")
	e.Parts[2].DF = float64(rapid.IntRange(1, 20).Draw(t, "df"))
	return e
}

// TestZeroCancels is the rule of the wheel: its zero's share goes from a
// duration and a blowdown, and counts twice in 2(180 - open).
func TestZeroCancels(t *testing.T) {
	scatter := func(name string) stat.Component { return stat.Component{Name: name, U: 0.2, DF: 10, C: 1} }
	zero := stat.Component{Name: "zero", U: 0.5, C: -1}
	opens := stat.Estimate{Value: 102.5, Parts: []stat.Component{scatter("opens"), zero}}
	closes := stat.Estimate{Value: 257.5, Parts: []stat.Component{scatter("closes"), zero}}
	duration := closes.Minus(opens)
	if got := u(t, duration); !near(got, 0.2*math.Sqrt2, 1e-12) || duration.Value != 155 {
		t.Errorf("duration %v +- %v, want 155 +- %v", duration.Value, got, 0.2*math.Sqrt2)
	}
	assumed := opens.Times(-2).Shift(360)
	if got, want := u(t, assumed), 2*math.Hypot(0.2, 0.5); !near(got, want, 1e-12) || assumed.Value != 155 {
		t.Errorf("from the opening alone %v +- %v, want 155 +- %v", assumed.Value, got, want)
	}
}

// TestCombineMatchesSimulation: the law of propagation against drawing the
// sources, for a result in which a shared source enters twice. 40,000 draws
// give a scatter to 0.35 %; 2 % is past any chance.
func TestCombineMatchesSimulation(t *testing.T) {
	a := stat.Estimate{Value: 100, Parts: []stat.Component{{Name: "zero", U: 0.3, C: 1}, {Name: "a", U: 0.2, C: 2}}}
	b := stat.Estimate{Value: 122, Parts: []stat.Component{{Name: "zero", U: 0.3, C: 1}, {Name: "b", U: 0.1, C: -1}}}
	e := stat.Linear(5, []float64{3, -1}, a, b)
	rng := rand.New(rand.NewPCG(7, 9))
	xs := make([]float64, 40000)
	for i := range xs {
		zero := 0.3 * rng.NormFloat64()
		xs[i] = 5 + 3*(100+zero+2*0.2*rng.NormFloat64()) - (122 + zero - 0.1*rng.NormFloat64())
	}
	s, err := stat.Describe(xs)
	if err != nil {
		t.Fatal(err)
	}
	if !near(u(t, e), s.SD, 0.02) || math.Abs(e.Value-s.Mean) > 5*s.MeanU() {
		t.Errorf("%v +- %v, simulated %v +- %v", e.Value, u(t, e), s.Mean, s.SD)
	}
}

func TestLinearIsBilinear(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := drawEstimate(t, "a"), drawEstimate(t, "b")
		// u^2(a+b) + u^2(a-b) = 2 u^2(a) + 2 u^2(b), whatever they share.
		left := math.Pow(u(t, a.Plus(b)), 2) + math.Pow(u(t, a.Minus(b)), 2)
		right := 2*math.Pow(u(t, a), 2) + 2*math.Pow(u(t, b), 2)
		if !near(left, right, 1e-9) {
			t.Fatalf("squares of sum and difference add to %v, want %v", left, right)
		}
		if self := u(t, a.Minus(a)); self > 1e-12 {
			t.Fatalf("an estimate less itself is uncertain by %v", self)
		}
		k := rapid.Float64Range(-5, 5).Draw(t, "k")
		if !near(u(t, a.Times(k)), math.Abs(k)*u(t, a), 1e-12) || !near(u(t, a.Shift(k)), u(t, a), 1e-12) {
			t.Fatal("a multiple or a shift has the wrong doubt")
		}
		if through := a.Through(7, k, stat.Component{U: 0.3, C: 1}); through.Value != 7 || !near(u(t, through), math.Hypot(k*u(t, a), 0.3), 1e-12) {
			t.Fatal("a function of an estimate has the wrong doubt")
		}
	})
}

// TestEffectiveDF: never below the least of its sources nor above their sum,
// and the sources' own when there is one.
func TestEffectiveDF(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 6).Draw(t, "n")
		var parts []stat.Component
		least, sum := math.Inf(1), 0.0
		for range n {
			df := float64(rapid.IntRange(1, 50).Draw(t, "df"))
			parts = append(parts, stat.Component{U: rapid.Float64Range(1e-3, 10).Draw(t, "u"), DF: df, C: rapid.Float64Range(0.1, 3).Draw(t, "c")})
			least, sum = math.Min(least, df), sum+df
		}
		uc, df, err := stat.Combine(parts...)
		if err != nil {
			t.Fatal(err)
		}
		if df < least*(1-1e-12) || df > sum*(1+1e-12) {
			t.Fatalf("effective degrees of freedom %v outside %v to %v", df, least, sum)
		}
		scaled := append([]stat.Component(nil), parts...)
		for i := range scaled {
			scaled[i].U *= 1e-150 // fourth powers vanish in float64
		}
		us, dfs, err := stat.Combine(scaled...)
		if err != nil || !near(us*1e150, uc, 1e-9) || !near(dfs, df, 1e-9) {
			t.Fatalf("in other units %v with %v, want %v with %v", us*1e150, dfs, uc, df)
		}
		_, more, err := stat.Combine(append(parts, stat.Component{U: 1, C: 1, DF: math.Inf(1)})...)
		if err != nil || more < df {
			t.Fatalf("a source taken as known lowered %v to %v", df, more)
		}
	})
}

func TestCombineOfNothing(t *testing.T) {
	for _, parts := range [][]stat.Component{nil, {{U: 0, C: 5}}, {{U: 3, C: 0}}, {{Name: "z", U: 1, C: 1}, {Name: "z", U: 1, C: -1}}} {
		uc, df, err := stat.Combine(parts...)
		if err != nil || uc != 0 || !math.IsInf(df, 1) {
			t.Errorf("%v: %v with %v, %v", parts, uc, df, err)
		}
	}
	// A source that was given no doubt the first time and some the second.
	uc, df, err := stat.Combine(stat.Component{Name: "z", C: 1}, stat.Component{Name: "z", U: 2, DF: 4, C: 1})
	if err != nil || uc != 2 || df != 4 {
		t.Errorf("%v with %v, %v; want 2 with 4", uc, df, err)
	}
}

func TestExpandedTruncates(t *testing.T) {
	for _, c := range []struct{ df, as float64 }{{16.76, 16}, {16, 16}, {15.999999999999998, 16}, {1.2, 1}, {0.7, 1}} {
		got, err := stat.Expanded95(2, c.df)
		want, _ := stat.TwoSided(0.95, c.as)
		if err != nil || got != 2*want {
			t.Errorf("%v degrees of freedom: %v, want %v as of %v (%v)", c.df, got, 2*want, c.as, err)
		}
	}
	if _, err := stat.Expanded95(1, math.NaN()); err == nil {
		t.Error("degrees of freedom NaN gave no error")
	}
}

func TestTypeB(t *testing.T) {
	// Against the second moments of the shapes, by sums over their densities.
	const n = 100000
	var rectangle, triangle, sine float64
	for i := range n {
		x := (float64(i)+0.5)/n*2 - 1
		rectangle += x * x / n
		triangle += x * x * (1 - math.Abs(x)) * 2 / n
		s := math.Sin(math.Pi * x)
		sine += s * s / n
	}
	for _, c := range []struct {
		name      string
		got, want float64
	}{
		{"rectangular", stat.Rectangular(3), 3 * math.Sqrt(rectangle)},
		{"triangular", stat.Triangular(3), 3 * math.Sqrt(triangle)},
		{"arcsine", stat.Arcsine(3), 3 * math.Sqrt(sine)},
		{"resolution", stat.Resolution(3), 1.5 * math.Sqrt(rectangle)},
		{"negative half-width", stat.Rectangular(-3), 3 * math.Sqrt(rectangle)},
	} {
		if !near(c.got, c.want, 1e-8) {
			t.Errorf("%s: %v, want %v", c.name, c.got, c.want)
		}
	}
}
