package findings_test

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"portwright/engine/build"
	"portwright/engine/findings"
)

// stopped is a pass of a half-degree wheel with one stop check.
func stopped(lines ...string) *build.Build {
	half := 0.5
	return note{wheel: build.Wheel{StepDeg: &half}, before: []float64{340, 20}, lines: lines}.build()
}

// By hand: s^2 = (3 0.5^2 + nu s_p^2)/(3 + nu), t at 3 + nu degrees of freedom
// from the standard table; the zero from one stop check adds the same to all.
func TestDoubtWithFewRepeats(t *testing.T) {
	table := []struct {
		line     string
		s, df, t float64
	}{
		{"exhaust: 105 /", 0.5, 8, 2.306},
		{"exhaust: 105 105 /", math.Sqrt(0.75 / 4), 4, 2.776},
		{"exhaust: 105 105.5 /", math.Sqrt((0.75 + 0.125) / 4), 4, 2.776},
		{"exhaust: 105 105.5 104.5 /", math.Sqrt((0.75 + 0.5) / 5), 5, 2.571},
	}
	var first float64
	for i, row := range table {
		p := run(t, stopped(row.line))
		if math.Abs(p.Repeatability.SDeg-row.s) > 0.001 || p.Repeatability.DF != row.df {
			t.Errorf("%s: repeatability %+v, want %.3f at %g", row.line, p.Repeatability, row.s, row.df)
		}
		u := *p.Windows[0].OpensU95Deg
		if i == 0 {
			first = u
		} else if u > first {
			t.Errorf("%s: doubt %.2f, one reading alone has %.2f", row.line, u, first)
		}
		if u > row.t*row.s*1.5+0.3 || u < 0.5 {
			t.Errorf("%s: doubt %.2f with a scatter of %.2f", row.line, u, row.s)
		}
	}
}

// Repeats that all lie within one step never make the doubt larger.
func TestAgreeingRepeatsDontWiden(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		line, before := "exhaust: 104", math.Inf(1)
		for n := rapid.IntRange(2, 6).Draw(t, "readings"); n > 0; n-- {
			p := &must(findings.Run(stopped(line+" /"), findings.Options{})).Passes[0]
			u := *p.Windows[0].OpensU95Deg
			if u > before*1.03 {
				t.Fatalf("%s: doubt %.3f, %.3f before", line, u, before)
			}
			before = u
			line += fmt.Sprintf(" %g", 104+0.5*float64(rapid.IntRange(0, 1).Draw(t, "step")))
		}
	})
}

func must(r *findings.Result, err error) *findings.Result {
	if err != nil {
		panic(err)
	}
	return r
}

// One wild reading widens its own window's doubt and no other's.
func TestAWildReadingSpoilsItsOwnEventAlone(t *testing.T) {
	lines := []string{"exhaust: 100 100.5 100 / 260 260 259.5", "transfer: 121 121 121.5 / 239 239 239", "intake: 287 287.5 287 / 73 72.5 73"}
	sound := run(t, stopped(lines...))
	lines[2] = "intake: 287 355 287 / 73 72.5 73"
	wild := run(t, stopped(lines...))
	for i, name := range []string{"exhaust", "transfer"} {
		was, is := *sound.Windows[i].OpensU95Deg, *wild.Windows[i].OpensU95Deg
		if is > 1.1*was {
			t.Errorf("%s: doubt %.2f, %.2f without the wild intake reading", name, is, was)
		}
	}
	if u := *wild.Windows[2].OpensU95Deg; u < 20 {
		t.Errorf("intake: doubt %.2f although one of three readings is 68 off", u)
	}
	if u := wild.Zero.U95Deg; u > 1.1*sound.Zero.U95Deg {
		t.Errorf("zero: doubt %.2f, %.2f without the wild reading", u, sound.Zero.U95Deg)
	}
}

// Numbers that an unsettled problem may have moved say so, and no longer once
// the remedy is in force.
func TestDoubtedUntilSettled(t *testing.T) {
	b := stopped("exhaust: 102 102 102 / 262 262 262", "transfer: 124 124 124 / 240 240 240")
	p := run(t, b)
	if problem(p, findings.CodeZeroError) == nil {
		t.Fatalf("no zero error among %v", codes(p))
	}
	for _, w := range p.Windows {
		if len(w.DoubtedBy) != 1 || w.DoubtedBy[0] != findings.CodeZeroError {
			t.Errorf("%s doubted by %v", w.Name, w.DoubtedBy)
		}
	}
	for _, w := range run(t, b, findings.CodeZeroError).Windows {
		if len(w.DoubtedBy) != 0 {
			t.Errorf("%s still doubted by %v", w.Name, w.DoubtedBy)
		}
	}
}
