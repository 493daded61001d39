package unit

import (
	"math"
	"strconv"
	"testing"

	"pgregory.net/rapid"
)

// JCGM 100:2008, 7.2.6: an uncertainty of 10.47 milliohm is written 11 (from
// memory). What is shown is never less, and by less than one of its last place
// more.
func TestUp(t *testing.T) {
	for _, c := range []struct {
		u        float64
		decimals int
		want     string
	}{{10.47, 0, "11"}, {0.151, 2, "0.16"}, {0.15, 2, "0.15"}, {0.1 + 0.2, 1, "0.3"}, {0, 2, "0.00"}, {0.0001, 2, "0.01"}, {math.NaN(), 2, "unknown"}} {
		if got := Up(c.u, c.decimals); got != c.want {
			t.Errorf("%v with %d: %s, want %s", c.u, c.decimals, got, c.want)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		u, decimals := rapid.Float64Range(0, 100).Draw(t, "u"), rapid.IntRange(0, 3).Draw(t, "decimals")
		v, err := strconv.ParseFloat(Up(u, decimals), 64)
		if place := math.Pow10(-decimals); err != nil || v < u-2e-6*place || v > u+place*(1+1e-6) {
			t.Fatalf("%v is written %v", u, v)
		}
	})
}
