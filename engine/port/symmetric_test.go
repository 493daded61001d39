package port_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"portwright/engine/port"
	"portwright/engine/unit"
)

// Common practice, no source: an exhaust opening at 104 is 152 of duration, 104
// and 128 make 24 of blowdown, an intake at 73 before TDC is 146.
func TestDurationFromOneEvent(t *testing.T) {
	if d := port.SymmetricDuration(104, port.AroundBDC); d != 152 {
		t.Errorf("exhaust at 104: %v, want 152", d)
	}
	if d := port.SymmetricDuration(287, port.AroundTDC); d != 146 {
		t.Errorf("intake at 73 before TDC: %v, want 146", d)
	}
	if b := port.Blowdown(104, 128); b != 24 {
		t.Errorf("104 and 128: blowdown %v, want 24", b)
	}
}

func TestSymmetryIsOneThing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		around := rapid.SampledFrom([]port.Centre{port.AroundBDC, port.AroundTDC}).Draw(t, "around")
		opens := unit.Turn(float64(around) - rapid.Float64Range(1, 179).Draw(t, "before"))
		closes := port.SymmetricClosing(opens)
		d := port.SymmetricDuration(opens, around)
		if got := port.Duration(opens, closes); math.Abs(got-d) > 1e-9 {
			t.Fatalf("opens %v, closes %v: %v open, by symmetry %v", opens, closes, got, d)
		}
		if back := port.SymmetricOpening(d, around); math.Abs(unit.Signed(back-opens)) > 1e-9 {
			t.Fatalf("duration %v opens at %v, want %v", d, back, opens)
		}
		if sum := port.PairSum(opens, closes); math.Abs(sum-360) > 1e-9 {
			t.Fatalf("pair adds to %v", sum)
		}
		// A wheel that is z out makes the sum 360 + 2z.
		z := rapid.Float64Range(-40, 40).Draw(t, "zero out")
		if sum := port.PairSum(unit.Turn(opens+z), unit.Turn(closes+z)); math.Abs(sum-360-2*z) > 1e-9 {
			t.Fatalf("zero out by %v: pair adds to %v", z, sum)
		}
	})
}

func TestFirstToOpen(t *testing.T) {
	if at := port.First([]port.Opening{{"left", 122}, {"right", 120.5}, {"boost", 125}}); at != 1 {
		t.Errorf("first is %d, want 1", at)
	}
	if at := port.First(nil); at != -1 {
		t.Errorf("first of none is %d", at)
	}
}
