package findings_test

import (
	"math"
	"slices"
	"testing"

	"portwright/engine/build"
	"portwright/engine/findings"
	"portwright/engine/unit"
	"portwright/engine/wheel"
)

// fault is something done to a pass that findings have to name.
type fault struct {
	name string
	want string
	// set prepares the engine and its reader.
	set func(s *simulated)
	// spoil does it, and returns what the remedy has to come to (0: not checked).
	spoil func(s *simulated) (*build.Build, float64)
	size  func(c *build.Correction) float64
	near  float64
}

func plain(s *simulated) *build.Build { return s.read(-1, 0) }

// turnStops makes the stop checks wrong by so many degrees on the wheel.
func turnStops(b *build.Build, by float64) {
	for i := range b.Passes[0].Stops {
		r := b.Passes[0].Stops[i].Readings
		for k := range r {
			r[k] = unit.Turn(r[k] + by)
		}
	}
}

// turn changes the readings of one window's events on a 0-360 wheel.
func turn(b *build.Build, window string, opens, closes bool, f func(v float64) float64) {
	for i := range b.Passes[0].Readings {
		r := &b.Passes[0].Readings[i]
		if r.Window == window && (r.Event == build.Opens && opens || r.Event == build.Closes && closes) {
			r.Value.Value = f(r.Value.Value)
		}
	}
}

// A saw as they are usual: exhaust near 101, transfers 20 later, intake at 75
// before TDC (common practice, no source).
func usualSaw(s *simulated) {
	transfer := 120 + 2*s.rng.Float64()
	s.setOpenings(100+2*s.rng.Float64(), transfer, transfer, 124, 73+4*s.rng.Float64())
}

func atTDC(s *simulated) { usualSaw(s); s.tdc = 0 }

func faultsToName() []fault {
	other := func(v float64) float64 { return unit.Turn(180 - v) }
	return []fault{
		{name: "zero out by 2", want: findings.CodeZeroError, near: 0.4,
			spoil: func(s *simulated) (*build.Build, float64) { b := plain(s); turnStops(b, 2); return b, -2 },
			size:  func(c *build.Correction) float64 { return c.ByDeg }},
		{name: "zero out by 2, no stop check", want: findings.CodeZeroError, near: 0.4,
			set:   func(s *simulated) { s.stops = 0; s.tdc = 2 },
			spoil: func(s *simulated) (*build.Build, float64) { return plain(s), 2 },
			size:  func(c *build.Correction) float64 { return c.ByDeg }},
		{name: "zero out by 2, numbers falling", want: findings.CodeZeroError, near: 0.4,
			set:   func(s *simulated) { s.wheel.Falls = true },
			spoil: func(s *simulated) (*build.Build, float64) { b := plain(s); turnStops(b, 2); return b, -2 },
			size:  func(c *build.Correction) float64 { return c.ByDeg }},
		{name: "slip by 4", want: findings.CodeWheelSlipped, near: 0.8,
			spoil: func(s *simulated) (*build.Build, float64) { return s.read(1+s.rng.IntN(29), 4), 4 },
			size:  func(c *build.Correction) float64 { return c.ByDeg }},
		{name: "slip by 4 back", want: findings.CodeWheelSlipped, near: 0.8,
			spoil: func(s *simulated) (*build.Build, float64) { return s.read(1+s.rng.IntN(29), -4), -4 },
			size:  func(c *build.Correction) float64 { return c.ByDeg }},
		{name: "slip by 4 in the middle, no check after", want: findings.CodeWheelSlipped, near: 0.8,
			set:   func(s *simulated) { s.after = false },
			spoil: func(s *simulated) (*build.Build, float64) { return s.read(7+s.rng.IntN(14), 4), 4 },
			size:  func(c *build.Correction) float64 { return c.ByDeg }},
		// An offset is told from a zero that is out by how the sums grow towards
		// BDC, some tenths of a degree: that takes a scale read to 0.1 deg.
		{name: "offset by 2 mm, fine scale", want: findings.CodeOffset, near: 0.6,
			set:   func(s *simulated) { s.noise, s.step, s.offset = 0.1, 0.1, 2 },
			spoil: func(s *simulated) (*build.Build, float64) { return plain(s), 2 },
			size:  func(c *build.Correction) float64 { return c.ByMM }},
		{name: "offset by 2 mm the other way, fine scale", want: findings.CodeOffset, near: 0.6,
			set:   func(s *simulated) { s.noise, s.step, s.offset = 0.1, 0.1, -2 },
			spoil: func(s *simulated) (*build.Build, float64) { return plain(s), -2 },
			size:  func(c *build.Correction) float64 { return c.ByMM }},
		{name: "wild reading by +4", want: findings.CodeWildReading, near: 0,
			spoil: func(s *simulated) (*build.Build, float64) {
				b := plain(s)
				i := s.rng.IntN(len(b.Passes[0].Readings))
				v := &b.Passes[0].Readings[i].Value.Value
				*v = unit.Turn(*v + 4)
				return b, float64(i + 1)
			},
			size: func(c *build.Correction) float64 { return float64(c.Readings[0]) }},
		{name: "transfer read from the other side", want: findings.CodeWrongSide, set: atTDC,
			spoil: func(s *simulated) (*build.Build, float64) {
				b := plain(s)
				turn(b, "transfer left", true, true, other)
				return b, 0
			}},
		{name: "exhaust opening read from the other side", want: findings.CodeWrongSide, set: atTDC,
			spoil: func(s *simulated) (*build.Build, float64) {
				b := plain(s)
				turn(b, "exhaust", true, false, other)
				return b, 0
			}},
		{name: "exhaust read from the other side, both events", want: findings.CodeWrongSide, set: atTDC,
			spoil: func(s *simulated) (*build.Build, float64) {
				b := plain(s)
				turn(b, "exhaust", true, true, other)
				return b, 0
			}},
		{name: "intake opening noted from BDC", want: findings.CodeWrongSide, set: atTDC,
			spoil: func(s *simulated) (*build.Build, float64) {
				b := plain(s)
				turn(b, "intake", true, false, func(v float64) float64 { return unit.Turn(540 - v) })
				return b, 0
			}},
		{name: "all closings noted from BDC", want: findings.CodeWrongSide, set: atTDC,
			spoil: func(s *simulated) (*build.Build, float64) {
				b := plain(s)
				for _, w := range []string{"exhaust", "transfer left", "transfer right", "boost"} {
					turn(b, w, false, true, func(v float64) float64 { return unit.Turn(v - 180) })
				}
				return b, 0
			}},
		{name: "wheel mounted the other way round", want: findings.CodeReversed,
			set: func(s *simulated) { s.wheel.Falls = true },
			spoil: func(s *simulated) (*build.Build, float64) {
				b := plain(s)
				b.Wheel.Numbers = build.NumbersRise
				return b, 0
			}},
		{name: "stop at BDC taken for TDC", want: findings.CodeZeroError,
			spoil: func(s *simulated) (*build.Build, float64) { b := plain(s); turnStops(b, 180); return b, 180 },
			size:  func(c *build.Correction) float64 { return math.Abs(unit.Signed(c.ByDeg)) }},
		{name: "exhaust and transfers kept under each other's name", want: findings.CodeImpossibleOrder, set: atTDC,
			spoil: func(s *simulated) (*build.Build, float64) {
				s.exhaust, s.left, s.right = s.left, s.exhaust, s.exhaust
				return plain(s), 0
			}},
		{name: "right transfer 2 deg later", want: findings.CodeSideToSide,
			set: func(s *simulated) {
				m := s.without()
				down, _, err := m.Angles(s.left)
				if err != nil {
					panic(err)
				}
				s.right = m.Travel(down + unit.Rad(2))
			},
			spoil: func(s *simulated) (*build.Build, float64) { return plain(s), 0 }},
	}
}

// TestFaultsAreNamed: what is done to a pass is named right in more than nine
// of ten, and its remedy comes to what was done.
func TestFaultsAreNamed(t *testing.T) {
	const passes = 100
	for _, f := range faultsToName() {
		t.Run(f.name, func(t *testing.T) {
			rng := seeded(3)
			named, alone, right := 0, 0, 0
			got := map[string]int{}
			for range passes {
				s := anEngine(rng)
				if f.set != nil {
					f.set(s)
				}
				b, size := f.spoil(s)
				r, err := findings.Run(b, findings.Options{})
				if err != nil {
					t.Fatal(err)
				}
				ps := r.Passes[0].Problems
				for _, p := range ps {
					got[p.Code]++
				}
				i := slices.IndexFunc(ps, func(p findings.Problem) bool { return p.Code == f.want })
				if i < 0 {
					continue
				}
				named++
				if len(ps) == 1 {
					alone++
				}
				if f.size == nil || ps[i].Remedy != nil && math.Abs(f.size(ps[i].Remedy)-size) <= f.near {
					right++
				}
			}
			t.Logf("named %d, alone %d, remedy right %d of %d: %v", named, alone, right, passes, got)
			if least := passes*9/10 + 1; named < least || alone < least || right < least {
				t.Errorf("named %d, alone %d, remedy right %d of %d, want %d: %v", named, alone, right, passes, least, got)
			}
		})
	}
}

// TestRemediesPutRight: with the remedy carried out the problem is gone and the
// numbers hold the truth.
func TestRemediesPutRight(t *testing.T) {
	for _, f := range faultsToName() {
		if f.want == findings.CodeSideToSide || f.want == findings.CodeImpossibleOrder {
			continue // nothing to apply
		}
		t.Run(f.name, func(t *testing.T) {
			rng := seeded(11)
			const passes = 40
			still, off := 0, 0
			for range passes {
				s := anEngine(rng)
				if f.set != nil {
					f.set(s)
				}
				b, _ := f.spoil(s)
				r, err := findings.Run(b, findings.Options{Apply: []string{f.want}})
				if err != nil {
					still++ // not named in the first place
					continue
				}
				p := &r.Passes[0]
				if len(p.Problems) > 0 {
					still++
				}
				o, c := s.truth(s.exhaust, false)
				if math.Abs(unit.Signed(*p.Windows[0].OpensDeg-o)) > 1 || math.Abs(*p.Windows[0].DurationDeg-unit.Turn(c-o)) > 1.2 {
					off++
				}
			}
			if still > passes/10 || off > passes/10 {
				t.Errorf("of %d: %d not clean afterwards, %d with the exhaust still out", passes, still, off)
			}
		})
	}
}

// TestHealthyPassIsQuiet: a pass without a fault gives an alarm in at most one
// of twenty, whatever the wheel.
func TestHealthyPassIsQuiet(t *testing.T) {
	for _, c := range []struct {
		name string
		set  func(s *simulated)
	}{
		{"three repeats", func(s *simulated) {}},
		{"careless reader", func(s *simulated) { s.noise = 1 }},
		{"as careless as is assumed, no repeats", func(s *simulated) { s.noise, s.repeats = 0.5, 1 }},
		{"no repeats, no check after", func(s *simulated) { s.noise, s.repeats, s.after = 0.4, 1, false }},
		{"no stop check, zero right", func(s *simulated) { s.stops, s.tdc = 0, 0 }},
		{"coarse wheel", func(s *simulated) { s.noise, s.step = 0.15, 1 }},
		{"fine scale", func(s *simulated) { s.noise, s.step = 0.08, 0.05 }},
		{"numbers falling", func(s *simulated) { s.wheel.Falls = true }},
		{"0-180-0 near TDC", func(s *simulated) { s.wheel.Numbering, s.tdc = wheel.To180, unit.Turn(4*s.rng.Float64()-2) }},
		{"0-90-0-90 near TDC, quarters noted", func(s *simulated) { s.wheel.Numbering, s.tdc = wheel.To90, unit.Turn(4*s.rng.Float64()-2) }},
		{"offset of 0.3 mm", func(s *simulated) { s.offset = 0.3 }},
	} {
		t.Run(c.name, func(t *testing.T) {
			rng := seeded(5)
			const passes = 200
			loud := 0
			got := map[string]int{}
			for range passes {
				s := anEngine(rng)
				c.set(s)
				codes := codesOf(t, plain(s))
				if len(codes) > 0 {
					loud++
				}
				for _, code := range codes {
					got[code]++
				}
			}
			t.Logf("%d of %d: %v", loud, passes, got)
			if loud > passes/20 {
				t.Errorf("%d of %d healthy passes gave an alarm: %v", loud, passes, got)
			}
		})
	}
}
