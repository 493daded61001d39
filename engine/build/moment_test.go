package build

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// Independent: time.Parse, which takes more than RFC 3339 in three places: one
// digit for the hour, a comma before a fraction, 60 minutes or 24 hours of offset.
func TestIsMomentAgainstTime(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		of := func(label string, most int) int { return rapid.IntRange(0, most).Draw(t, label) }
		year := rapid.SampledFrom([]int{0, 1900, 2000, 2024, 2026, 2100, 9999}).Draw(t, "year")
		s := fmt.Sprintf("%04d-%02d-%02dT%02d:%02d:%02d", year, of("month", 13), of("day", 32), of("hour", 24), of("minute", 60), of("second", 60))
		s += rapid.SampledFrom([]string{"", ".5", ".123456789012", ".", ".x"}).Draw(t, "fraction")
		s += rapid.SampledFrom([]string{"Z", "z", "", "+01:00", "-23:59", "+01:60", "+0100", "+01:0", "Z ", "+25:00"}).Draw(t, "zone")
		if rapid.Bool().Draw(t, "spoiled") {
			i := rapid.IntRange(0, len(s)-1).Draw(t, "at")
			s = s[:i] + rapid.SampledFrom([]string{"", "x", "0", "-", "é"}).Draw(t, "with") + s[i+1:]
		}
		_, err := time.Parse(time.RFC3339, s)
		lax := strings.HasSuffix(s, ":60") || strings.Contains(s, "T") && len(strings.SplitN(s[strings.Index(s, "T")+1:], ":", 2)[0]) == 1
		if got := isMoment(s); got != (err == nil) && !lax {
			t.Fatalf("%q: %v, time.Parse %v", s, got, err)
		}
	})
}

func TestIsMoment(t *testing.T) {
	for s, want := range map[string]bool{
		"2026-03-14T09:12:00Z": true, "2024-02-29T23:59:59.001-05:30": true, "2026-02-29T00:00:00Z": false,
		"2026-03-14": false, "": false, "2026-03-14 09:12:00Z": false, "2026-03-14T09:12Z": false, "2026-03-14T9:12:00Z": false, "2026-03-14T24:00:00Z": false,
	} {
		if got := isMoment(s); got != want {
			t.Errorf("%q: %v", s, got)
		}
	}
}
