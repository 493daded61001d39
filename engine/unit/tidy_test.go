package unit_test

import (
	"math"
	"testing"

	"portwright/engine/unit"
)

// The largest float stays finite: 1e300 times a million is not.
func TestTidyStaysFinite(t *testing.T) {
	for v, want := range map[float64]float64{1.23456789: 1.234568, -1e-9: 0, 1e300: 1e300, -math.MaxFloat64: -math.MaxFloat64} {
		if got := unit.Tidy(v); got != want {
			t.Errorf("Tidy(%v) = %v, want %v", v, got, want)
		}
	}
}
