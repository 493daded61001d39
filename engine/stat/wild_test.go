package stat_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"

	"portwright/engine/stat"
)

type place struct{ group, index int }

func wild(t *testing.T, groups [][]float64, floor float64) map[place]bool {
	t.Helper()
	ws, err := stat.Wild(groups, floor)
	if err != nil {
		t.Fatal(err)
	}
	out := map[place]bool{}
	for _, w := range ws {
		out[place{w.Group, w.Index}] = true
		if !(math.Abs(w.Off) > w.Limit) && len(ws) == 1 {
			t.Errorf("named within its limit: %+v", w)
		}
	}
	return out
}

// TestWild holds made-up passes read to half a degree.
func TestWild(t *testing.T) {
	for _, c := range []struct {
		name   string
		groups [][]float64
		want   []place
	}{
		{"one far off among four", [][]float64{{101.5, 102, 101.5, 106}}, []place{{0, 3}}},
		{"the same beside a quiet event", [][]float64{{101.5, 102, 101.5, 106}, {121, 121.5, 121}}, []place{{0, 3}}},
		{"a step each way", [][]float64{{101, 101.5, 102}}, nil},
		{"all the same", [][]float64{{101, 101, 101, 101}}, nil},
		{"one step off three equal ones", [][]float64{{101, 101, 101, 101.5}}, nil},
		{"two steps off two equal ones", [][]float64{{101, 101, 102}}, nil},
		{"five degrees off two equal ones", [][]float64{{101, 101, 106}}, []place{{0, 2}}},
		{"two that disagree", [][]float64{{101, 106}}, nil},
		{"two that disagree beside quiet events", [][]float64{{101, 106}, {121, 121.5, 121}, {285, 285, 285.5}}, nil},
		{"a wild one in each of two events", [][]float64{{101, 101.5, 101, 106}, {121, 121.5, 115, 121}}, []place{{0, 3}, {1, 2}}},
		{"two wild ones in an event of eight", [][]float64{{101, 101.5, 101, 101, 101.5, 101, 109, 110}}, []place{{0, 6}, {0, 7}}},
		{"scatter of some degrees everywhere", [][]float64{{100, 103, 101}, {121, 118, 124}, {285, 288, 284}}, nil},
		{"nothing", nil, nil},
		{"single readings", [][]float64{{101}, {121}, {285}}, nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := wild(t, c.groups, 0.5)
			if len(got) != len(c.want) {
				t.Errorf("named %v, want %v", got, c.want)
			}
			for _, p := range c.want {
				if !got[p] {
					t.Errorf("%v not named; named %v", p, got)
				}
			}
		})
	}
}

func TestWildDoesNotDependOnOrderOrPlace(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		xs := rapid.SliceOfN(rapid.Float64Range(-3, 3), 3, 8).Draw(t, "xs")
		quiet := rapid.SliceOfN(rapid.Float64Range(-0.5, 0.5), 3, 5).Draw(t, "quiet")
		by := rapid.Float64Range(-300, 300).Draw(t, "by")
		floor := rapid.Float64Range(0, 1).Draw(t, "floor")
		before, err := stat.Wild([][]float64{xs, quiet}, floor)
		if err != nil {
			t.Fatal(err)
		}
		turned := make([]float64, len(xs))
		for i, x := range xs {
			turned[len(xs)-1-i] = x + by
		}
		after, err := stat.Wild([][]float64{quiet, turned}, floor)
		if err != nil {
			t.Fatal(err)
		}
		if len(before) != len(after) {
			t.Fatalf("named %v, and %v with the groups turned round and moved", before, after)
		}
		if len(before) > (len(xs)+len(quiet))/3 {
			t.Fatalf("named %d of %d", len(before), len(xs)+len(quiet))
		}
	})
}

// TestWildFalseAlarms counts how often passes without a wild reading have one
// named. One step is at 5 %; several, over groups as small as three, may reach
// twice that where scatter is far above the wheel's step, and must stay well
// below 5 % where it is not.
func TestWildFalseAlarms(t *testing.T) {
	for _, c := range []struct{ sd, most float64 }{{0.1, 0.005}, {0.5, 0.03}, {1.5, 0.10}} {
		rng := rand.New(rand.NewPCG(11, 13))
		const runs = 2000
		alarms := 0
		for range runs {
			groups := make([][]float64, 5)
			for g := range groups {
				for range 3 {
					groups[g] = append(groups[g], math.Round(2*(100+c.sd*rng.NormFloat64()))/2)
				}
			}
			ws, err := stat.Wild(groups, 0.5)
			if err != nil {
				t.Fatal(err)
			}
			if len(ws) > 0 {
				alarms++
			}
		}
		if share := float64(alarms) / runs; share > c.most {
			t.Errorf("scatter %v: a wild reading named in %.1f %% of sound passes", c.sd, 100*share)
		}
	}
}

// TestWildIsFound: a reading five degrees off, a slip of one mark on many
// wheels, is named in nearly every pass of three repeats and ordinary scatter.
func TestWildIsFound(t *testing.T) {
	rng := rand.New(rand.NewPCG(17, 19))
	const runs = 500
	found := 0
	for range runs {
		groups := make([][]float64, 4)
		for g := range groups {
			for range 3 {
				groups[g] = append(groups[g], math.Round(2*(100+0.4*rng.NormFloat64()))/2)
			}
		}
		groups[2][1] += 5
		if got := wild(t, groups, 0.5); got[place{2, 1}] {
			found++
		}
	}
	if share := float64(found) / runs; share < 0.95 {
		t.Errorf("found in %.1f %% of passes", 100*share)
	}
}

func TestWildRefuses(t *testing.T) {
	for _, floor := range []float64{-1, math.NaN(), math.Inf(1)} {
		if _, err := stat.Wild([][]float64{{1, 2, 3}}, floor); err == nil {
			t.Errorf("a floor of %v was taken", floor)
		}
	}
}
