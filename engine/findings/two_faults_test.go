package findings_test

import (
	"slices"
	"testing"

	"portwright/engine/build"
	"portwright/engine/findings"
	"portwright/engine/unit"
)

// off adds to one reading, chosen by chance.
func off(s *simulated, b *build.Build, by float64) *build.Build {
	v := &b.Passes[0].Readings[s.rng.IntN(len(b.Passes[0].Readings))].Value.Value
	*v = unit.Turn(*v + by)
	return b
}

// TestTwoFaultsAtOnce: a fault does not hide another, nor draw it to itself.
func TestTwoFaultsAtOnce(t *testing.T) {
	const passes = 100
	for _, c := range []struct {
		name  string
		want  []string
		spoil func(s *simulated) *build.Build
	}{
		{"slip and a wild reading", []string{findings.CodeWheelSlipped, findings.CodeWildReading},
			func(s *simulated) *build.Build { return off(s, s.read(4+s.rng.IntN(22), 4), 5) }},
		{"zero out and a wild reading", []string{findings.CodeZeroError, findings.CodeWildReading},
			func(s *simulated) *build.Build { b := plain(s); turnStops(b, 2); return off(s, b, -5) }},
		{"zero out and a slip", []string{findings.CodeZeroError, findings.CodeWheelSlipped},
			func(s *simulated) *build.Build { b := s.read(4+s.rng.IntN(22), 4); turnStops(b, 2); return b }},
		{"zero out and a window from the other side", []string{findings.CodeWrongSide, findings.CodeZeroError},
			func(s *simulated) *build.Build {
				atTDC(s)
				b := plain(s)
				turnStops(b, 2)
				turn(b, "transfer left", true, true, func(v float64) float64 { return unit.Turn(180 - v) })
				return b
			}},
		{"two wild readings", []string{findings.CodeWildReading},
			func(s *simulated) *build.Build { return off(s, off(s, plain(s), 5), -4) }},
		{"a slip of the finger", []string{findings.CodeWildReading},
			func(s *simulated) *build.Build { return off(s, plain(s), -90) }},
	} {
		t.Run(c.name, func(t *testing.T) {
			rng := seeded(17)
			named := 0
			got := map[string]int{}
			for range passes {
				codes := codesOf(t, c.spoil(anEngine(rng)))
				slices.Sort(codes)
				codes = slices.Compact(codes)
				want := slices.Clone(c.want)
				slices.Sort(want)
				if slices.Equal(codes, want) {
					named++
				}
				for _, code := range codes {
					got[code]++
				}
			}
			t.Logf("%d of %d: %v", named, passes, got)
			if named < 85 {
				t.Errorf("both faults and nothing else in %d of %d, want 85: %v", named, passes, got)
			}
		})
	}
}
