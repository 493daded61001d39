package stat_test

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"

	"portwright/engine/stat"
)

func near(got, want, tolerance float64) bool {
	return math.Abs(got-want) <= tolerance*math.Max(1, math.Abs(want))
}

func drawReadings(t *rapid.T, name string, least int) []float64 {
	return rapid.SliceOfN(rapid.Float64Range(-1000, 1000), least, 12).Draw(t, name)
}

func TestTooFew(t *testing.T) {
	if _, err := stat.Mean(nil); !errors.Is(err, stat.ErrTooFew) {
		t.Errorf("mean of nothing: %v", err)
	}
	if _, err := stat.SD([]float64{1}); !errors.Is(err, stat.ErrTooFew) {
		t.Errorf("scatter of one: %v", err)
	}
	if s, err := stat.Describe([]float64{7}); err != nil || s != (stat.Sample{N: 1, Mean: 7}) {
		t.Errorf("one reading: %+v, %v", s, err)
	}
}

func TestNotFiniteIsRefused(t *testing.T) {
	for _, bad := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
		xs := []float64{1, bad, 2}
		if _, err := stat.Describe(xs); !errors.Is(err, stat.ErrNotFinite) {
			t.Errorf("Describe(%v): %v", xs, err)
		}
		if _, err := stat.Pooled([][]float64{{1, 2}, xs}); !errors.Is(err, stat.ErrNotFinite) {
			t.Errorf("Pooled: %v", err)
		}
		if _, err := stat.CircularMean(xs, 360); !errors.Is(err, stat.ErrNotFinite) {
			t.Errorf("CircularMean: %v", err)
		}
		if _, err := stat.Wild([][]float64{xs}, 0.5); !errors.Is(err, stat.ErrNotFinite) {
			t.Errorf("Wild: %v", err)
		}
		if _, err := stat.Welch(xs, []float64{1, 2}); !errors.Is(err, stat.ErrNotFinite) {
			t.Errorf("Welch: %v", err)
		}
		for _, c := range []stat.Component{{U: bad, C: 1}, {U: 1, C: bad}} {
			if _, _, err := stat.Combine(c); err == nil {
				t.Errorf("Combine(%+v) gave no error", c)
			}
		}
		if _, err := stat.Exact(bad).U95(); !errors.Is(err, stat.ErrNotFinite) {
			t.Errorf("U95 of %v: %v", bad, err)
		}
		if _, err := stat.Expanded95(bad, 5); err == nil {
			t.Errorf("Expanded95(%v) gave no error", bad)
		}
	}
	if _, _, err := stat.Combine(stat.Component{U: 1, C: 1, DF: math.NaN()}); err == nil {
		t.Error("degrees of freedom NaN gave no error")
	}
	if _, _, err := stat.Combine(stat.Component{U: -1, C: 1}); err == nil {
		t.Error("a negative uncertainty gave no error")
	}
}

// TestScatterIsOfDifferences: the variance is the mean square of all
// differences between two readings, halved; no mean is needed.
func TestScatterIsOfDifferences(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		xs := drawReadings(t, "xs", 2)
		sum := 0.0
		for i, x := range xs {
			for _, y := range xs[:i] {
				sum += (x - y) * (x - y)
			}
		}
		n := float64(len(xs))
		got, err := stat.SD(xs)
		if err != nil || !near(got, math.Sqrt(sum/(n*(n-1))), 1e-9) {
			t.Fatalf("%v, want %v (%v)", got, math.Sqrt(sum/(n*(n-1))), err)
		}
	})
}

func TestShiftAndScale(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		xs := drawReadings(t, "xs", 2)
		by := rapid.Float64Range(-500, 500).Draw(t, "by")
		times := rapid.Float64Range(-20, 20).Draw(t, "times")
		ys := make([]float64, len(xs))
		for i, x := range xs {
			ys[i] = times*x + by
		}
		a, _ := stat.Describe(xs)
		b, err := stat.Describe(ys)
		if err != nil || !near(b.Mean, times*a.Mean+by, 1e-9) || math.Abs(b.SD-math.Abs(times)*a.SD) > 1e-9 {
			t.Fatalf("%+v became %+v (%v)", a, b, err)
		}
	})
}

func TestScatterFarFromNothing(t *testing.T) {
	// The sum of squares less n times the mean squared loses all digits here.
	got, err := stat.SD([]float64{1e9 + 0.5, 1e9 + 1, 1e9})
	if err != nil || !near(got, 0.5, 1e-9) {
		t.Errorf("%v, want 0.5 (%v)", got, err)
	}
}

func TestPooled(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		groups := rapid.SliceOfN(rapid.SliceOfN(rapid.Float64Range(-100, 100), 0, 6), 0, 6).Draw(t, "groups")
		got, err := stat.Pooled(groups)
		if err != nil {
			t.Fatal(err)
		}
		var df, sum float64
		for i, g := range groups {
			if len(g) < 2 {
				continue
			}
			s, _ := stat.SD(g)
			df += float64(len(g) - 1)
			sum += float64(len(g)-1) * s * s
			groups[i] = append([]float64(nil), g...)
			for k := range g { // each group may have a mean of its own
				groups[i][k] += 50 * float64(i)
			}
		}
		if got.DF != df {
			t.Fatalf("degrees of freedom %v, want %v", got.DF, df)
		}
		if df > 0 && !near(got.SD, math.Sqrt(sum/df), 1e-12) {
			t.Fatalf("scatter %v, want %v", got.SD, math.Sqrt(sum/df))
		}
		moved, err := stat.Pooled(groups)
		if err != nil || math.Abs(moved.SD-got.SD) > 1e-9 {
			t.Fatalf("moving the groups apart changed the scatter from %v to %v", got.SD, moved.SD)
		}
	})
}

func TestCircularMean(t *testing.T) {
	for _, c := range []struct {
		xs   []float64
		want float64
	}{
		{[]float64{321, 43}, 2},
		{[]float64{10, 350}, 0},
		{[]float64{359.5, 0.5}, 0},
		{[]float64{359, 0, 1.6}, 0.2},
		{[]float64{341, 23}, 2},
		{[]float64{150, 211}, 180.5},
		{[]float64{719.5, -0.5, 0.4}, 359.8},
	} {
		got, err := stat.CircularMean(c.xs, 360)
		if err != nil || math.Abs(math.Remainder(got-c.want, 360)) > 1e-9 || got < 0 || got >= 360 {
			t.Errorf("%v: %v, want %v (%v)", c.xs, got, c.want, err)
		}
	}
	for _, xs := range [][]float64{{0, 180}, {0, 120, 240}} {
		if m, err := stat.CircularMean(xs, 360); !errors.Is(err, stat.ErrNoDirection) {
			t.Errorf("%v point all ways and gave %v, %v", xs, m, err)
		}
	}
	if _, err := stat.CircularMean(nil, 360); !errors.Is(err, stat.ErrTooFew) {
		t.Errorf("mean of nothing: %v", err)
	}
	if _, err := stat.CircularMean([]float64{1}, 0); err == nil {
		t.Error("a period of 0 was taken")
	}
}

// TestCircularMeanIsTheMean: for readings within half a turn, turning the
// wheel turns the mean, and away from the join it is the plain mean.
func TestCircularMeanIsTheMean(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		spread := rapid.SliceOfN(rapid.Float64Range(-40, 40), 1, 8).Draw(t, "spread")
		at := rapid.Float64Range(0, 360).Draw(t, "at")
		xs := make([]float64, len(spread))
		sum := 0.0
		for i, d := range spread {
			xs[i] = math.Mod(at+d+360, 360)
			sum += d
		}
		got, err := stat.CircularMean(xs, 360)
		if err != nil {
			t.Fatal(err)
		}
		if off := math.Remainder(got-at-sum/float64(len(spread)), 360); math.Abs(off) > 1e-9 {
			t.Fatalf("mean of %v is %v, off by %v", xs, got, off)
		}
		flat, err := stat.Unwrap(xs, 360)
		if err != nil {
			t.Fatal(err)
		}
		for i := range flat {
			if d := flat[i] - flat[0] - (spread[i] - spread[0]); math.Abs(d) > 1e-9 {
				t.Fatalf("unwrapped %v to %v", xs, flat)
			}
		}
	})
}
