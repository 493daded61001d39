package sheet

import (
	"bytes"
	"crypto/sha256"
	"encoding/csv"
	"fmt"
	"testing"
)

// The table holds every number of every state, read back by the library.
func TestNumbersAsTable(t *testing.T) {
	s := made(t, finished(t), Options{})
	rows, err := csv.NewReader(bytes.NewReader(CSV(s))).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	numbers := 0
	for _, state := range s.Cylinders[0].States {
		for _, g := range state.Groups {
			numbers += len(g.Numbers)
		}
	}
	if len(rows) != numbers+1 || numbers < 40 {
		t.Errorf("%d rows for %d numbers", len(rows), numbers)
	}
	find := func(state, of, number string) []string {
		for _, r := range rows {
			if r[3] == state && r[4] == of && r[5] == number {
				return r[6:]
			}
		}
		t.Fatalf("no row %s, %s, %s", state, of, number)
		return nil
	}
	// The intake was read at 286.5, 286.5 and 287 and TDC at 0.5: it opens at
	// 286.17 after TDC, arithmetic. Squish was not measured since a gasket was
	// changed.
	if r := find("as received", "intake", "Opens"); r[0] != "286.2" || r[2] != "deg" || r[1] == "" {
		t.Errorf("%q", r)
	}
	if r := find("finished", "Cylinder", "Squish, pin axis"); r[0] != "" || r[1] != "" || r[3] != "not measured since the cut" {
		t.Errorf("%q", r)
	}
}

func TestDigest(t *testing.T) {
	for _, file := range []string{"", "{}\n", "ä"} {
		if got, want := Digest([]byte(file)), fmt.Sprintf("SHA-256 %x", sha256.Sum256([]byte(file))); got != want {
			t.Errorf("%q: %s, the library says %s", file, got, want)
		}
	}
}

// An instant as one reads it.
func TestClock(t *testing.T) {
	for at, want := range map[string]string{
		"2026-03-14T10:30:00Z": "2026-03-14 10:30 UTC", "2026-03-14T10:30:00.123Z": "2026-03-14 10:30 UTC",
		"2026-03-14T10:30:00+01:00": "2026-03-14 10:30 +01:00", "": "", "yesterday": "yesterday",
	} {
		if got := clock(at); got != want {
			t.Errorf("%q is %q, want %q", at, got, want)
		}
	}
}
