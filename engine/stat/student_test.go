package stat_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"

	"portwright/engine/stat"
)

func TestStudentClosedForms(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := rapid.Float64Range(1e-6, 0.999999).Draw(t, "p")
		one, err := stat.TwoSided(p, 1)
		if want := math.Tan(math.Pi * p / 2); err != nil || !near(one, want, 1e-8) { // Cauchy
			t.Fatalf("df 1: %v, want %v (%v)", one, want, err)
		}
		two, err := stat.TwoSided(p, 2)
		if want := p * math.Sqrt(2/(1-p*p)); err != nil || !near(two, want, 1e-8) {
			t.Fatalf("df 2: %v, want %v (%v)", two, want, err)
		}
		inf, err := stat.TwoSided(p, math.Inf(1))
		if err != nil || !near(math.Erf(inf/math.Sqrt2), p, 1e-12) {
			t.Fatalf("normal: %v (%v)", inf, err)
		}
	})
}

func TestStudentComesBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := rapid.Float64Range(1e-6, 0.999999).Draw(t, "p")
		df := math.Exp(rapid.Float64Range(0, 18).Draw(t, "log df"))
		q, err := stat.TwoSided(p, df)
		if err != nil {
			t.Fatal(err)
		}
		beyond, err := stat.Beyond(q, df)
		if err != nil || math.Abs(1-beyond-p) > 1e-8 {
			t.Fatalf("p %v, df %v: t %v, back %v (%v)", p, df, q, 1-beyond, err)
		}
		negative, _ := stat.Beyond(-q, df)
		if negative != beyond {
			t.Fatalf("the sign changed p from %v to %v", beyond, negative)
		}
		// gonum's own distribution, which loses digits at small t.
		d := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: df}
		if got := 2 * d.CDF(-q); q > 0.5 && math.Abs(got-beyond) > 1e-7 {
			t.Fatalf("df %v, t %v: %v beyond, distuv %v", df, q, beyond, got)
		}
		half, err := stat.OneSided((1+p)/2, df)
		if err != nil || !near(half, q, 1e-6) {
			t.Fatalf("one-sided %v, two-sided %v (%v)", half, q, err)
		}
	})
}

// TestStudentSeriesJoins: the two ways meet where one takes over, also far out.
func TestStudentSeriesJoins(t *testing.T) {
	for _, q := range []float64{1e-4, 0.1, 0.6745, 1.96, 3, 5, 9} {
		below, err := stat.Beyond(q, 1e4)
		if err != nil {
			t.Fatal(err)
		}
		above, err := stat.Beyond(q, math.Nextafter(1e4, 2e4))
		if err != nil || math.Abs(above/below-1) > 1e-7 {
			t.Errorf("beyond %v: %v, then %v (%v)", q, below, above, err)
		}
	}
	for _, p := range []float64{1e-4, 0.1, 0.5, 0.95, 0.99, 0.999999} {
		below, err := stat.TwoSided(p, 1e4)
		if err != nil {
			t.Fatal(err)
		}
		above, err := stat.TwoSided(p, math.Nextafter(1e4, 2e4))
		if err != nil || math.Abs(above/below-1) > 1e-8 {
			t.Errorf("t for %v: %v, then %v (%v)", p, below, above, err)
		}
	}
}

func TestStudentRefuses(t *testing.T) {
	for _, c := range []struct{ p, df float64 }{{0, 5}, {1, 5}, {-0.1, 5}, {1.1, 5}, {math.NaN(), 5}, {0.95, 0}, {0.95, -1}, {0.95, math.NaN()}} {
		if v, err := stat.TwoSided(c.p, c.df); !errors.Is(err, stat.ErrProbability) {
			t.Errorf("TwoSided(%v, %v) = %v, %v", c.p, c.df, v, err)
		}
	}
	if _, err := stat.OneSided(0.3, 5); !errors.Is(err, stat.ErrProbability) {
		t.Errorf("one-sided below a half: %v", err)
	}
	if v, err := stat.OneSided(0.5, 5); err != nil || v != 0 {
		t.Errorf("the median: %v, %v", v, err)
	}
	if _, err := stat.Beyond(math.NaN(), 5); !errors.Is(err, stat.ErrProbability) {
		t.Errorf("Beyond(NaN): %v", err)
	}
	if v, err := stat.Beyond(math.Inf(1), 5); err != nil || v != 0 {
		t.Errorf("beyond everything: %v, %v", v, err)
	}
}

func TestWelchIdentities(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := drawReadings(t, "a", 2), drawReadings(t, "b", 2)
		c, err := stat.Welch(a, b)
		if errors.Is(err, stat.ErrNoScatter) {
			return
		}
		if err != nil {
			t.Fatal(err)
		}
		back, err := stat.Welch(b, a)
		if err != nil || back.Diff != -c.Diff || !near(back.P, c.P, 1e-12) || !near(back.Low, -c.High, 1e-9) {
			t.Fatalf("turned round: %+v, was %+v (%v)", back, c, err)
		}
		if inside := c.Low < 0 && 0 < c.High; inside != (c.P > 0.05) && math.Abs(c.P-0.05) > 1e-7 {
			t.Fatalf("p %v but the interval is %v to %v", c.P, c.Low, c.High)
		}
		least, most := float64(min(len(a), len(b))-1), float64(len(a)+len(b)-2)
		if c.DF < least*(1-1e-9) || c.DF > most*(1+1e-9) {
			t.Fatalf("degrees of freedom %v outside %v to %v", c.DF, least, most)
		}
		// With equal counts both tests have one standard error.
		if len(a) == len(b) {
			sa, _ := stat.Describe(a)
			sb, _ := stat.Describe(b)
			e, err := stat.EqualScatterOf(sa, sb)
			if err != nil || !near(e.T, c.T, 1e-9) || e.DF != most {
				t.Fatalf("equal scatter: %+v, Welch %+v (%v)", e, c, err)
			}
		}
	})
}

// TestWelchLevel: with no true difference p falls below 0.05 about once in 20.
func TestWelchLevel(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 5))
	const runs = 4000
	found := 0
	for range runs {
		a, b := make([]float64, 5), make([]float64, 5)
		for i := range a {
			a[i], b[i] = 12+0.2*rng.NormFloat64(), 12+0.3*rng.NormFloat64()
		}
		c, err := stat.Welch(a, b)
		if err != nil {
			t.Fatal(err)
		}
		if c.P < 0.05 {
			found++
		}
	}
	// Binomial, s = 0.34 %; Welch's test itself is within half a percent of its level.
	if share := float64(found) / runs; share < 0.037 || share > 0.063 {
		t.Errorf("a difference was found in %.1f %% of runs without one", 100*share)
	}
}

func TestWelchRefuses(t *testing.T) {
	if _, err := stat.Welch([]float64{1}, []float64{1, 2}); !errors.Is(err, stat.ErrTooFew) {
		t.Errorf("one reading on a side: %v", err)
	}
	if _, err := stat.Welch([]float64{1, 1}, []float64{2, 2}); !errors.Is(err, stat.ErrNoScatter) {
		t.Errorf("no scatter: %v", err)
	}
	if _, err := stat.EqualScatterOf(stat.Sample{N: 1}, stat.Sample{N: 5, SD: 1, DF: 4}); !errors.Is(err, stat.ErrTooFew) {
		t.Errorf("one reading on a side, equal scatter: %v", err)
	}
}
