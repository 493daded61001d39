package app

import (
	"encoding/json"
	"slices"
	"strings"

	"portwright/engine/book"
	"portwright/engine/unit"
)

// Tally is what was read in one pass, struck readings included, in the order
// taken. It keeps the entry's ID with every number, which a build file does
// not need and the bench does.
type Tally struct {
	Readings []Reading
	Stops    []Stop
}

// Reading is one kept reading.
type Reading struct {
	ID, Window, Event string
	Value             unit.Length
	Method            string
	Feeler            *unit.Length
	Struck            string // reason; "" while it counts
}

// Stop is one kept reading against the stop.
type Stop struct {
	ID, Check, When, Near, Way string
	Value                      float64
	Struck                     string
}

// tallyOf collects the readings of a pass.
func tallyOf(entries []book.Entry, pass string) Tally {
	sorted := slices.Clone(entries)
	slices.SortStableFunc(sorted, byClock)
	var t Tally
	struck := map[string]string{}
	for _, e := range sorted {
		switch e.Kind {
		case book.KindReading:
			var b book.ReadingBody
			if json.Unmarshal(e.Body, &b) == nil && b.Pass == pass {
				r := Reading{ID: e.ID, Window: b.Window, Event: b.Event, Method: b.Method}
				if r.Value.UnmarshalJSON(b.Value) != nil {
					continue
				}
				if len(b.Feeler) > 0 {
					var f unit.Length
					if f.UnmarshalJSON(b.Feeler) == nil {
						r.Feeler = &f
					}
				}
				t.Readings = append(t.Readings, r)
			}
		case book.KindStop:
			var b book.StopBody
			if json.Unmarshal(e.Body, &b) == nil && b.Pass == pass {
				t.Stops = append(t.Stops, Stop{ID: e.ID, Check: b.Check, When: b.When, Near: b.Near, Way: b.Way, Value: b.Value})
			}
		case book.KindStrike:
			var b book.StrikeBody
			if json.Unmarshal(e.Body, &b) == nil {
				struck[b.Target] = b.Reason
			}
		case book.KindUnstrike:
			var b book.TargetBody
			if json.Unmarshal(e.Body, &b) == nil {
				delete(struck, b.Target)
			}
		}
	}
	for i := range t.Readings {
		t.Readings[i].Struck = struck[t.Readings[i].ID]
	}
	for i := range t.Stops {
		t.Stops[i].Struck = struck[t.Stops[i].ID]
	}
	return t
}

// byClock orders entries as they happened: by clock, then device and sequence.
func byClock(a, b book.Entry) int {
	switch {
	case a.Clock.MS != b.Clock.MS:
		return sign(a.Clock.MS < b.Clock.MS)
	case a.Clock.Ctr != b.Clock.Ctr:
		return sign(a.Clock.Ctr < b.Clock.Ctr)
	case a.Device != b.Device:
		return strings.Compare(a.Device, b.Device)
	case a.Seq != b.Seq:
		return sign(a.Seq < b.Seq)
	}
	return strings.Compare(a.ID, b.ID)
}

func sign(less bool) int {
	if less {
		return -1
	}
	return 1
}

// Of returns the readings of one window's event.
func (t Tally) Of(window, event string) []Reading {
	var out []Reading
	for _, r := range t.Readings {
		if r.Window == window && r.Event == event {
			out = append(out, r)
		}
	}
	return out
}

// StopsOf returns the stop readings before or after the readings.
func (t Tally) StopsOf(when string) []Stop {
	var out []Stop
	for _, s := range t.Stops {
		if s.When == when {
			out = append(out, s)
		}
	}
	return out
}

// Counted returns the values that are not struck out.
func Counted(rs []Reading) []unit.Length {
	var out []unit.Length
	for _, r := range rs {
		if r.Struck == "" {
			out = append(out, r.Value)
		}
	}
	return out
}

// pairs returns how many whole checks there are, and the last check when only
// its first reading is there.
func pairs(stops []Stop) (whole int, open *Stop) {
	ways := map[string]map[string]Stop{}
	for _, s := range stops {
		if s.Struck != "" {
			continue
		}
		if ways[s.Check] == nil {
			ways[s.Check] = map[string]Stop{}
		}
		ways[s.Check][s.Way] = s
	}
	for _, w := range ways {
		if len(w) == 2 {
			whole++
		}
	}
	for i := len(stops) - 1; i >= 0; i-- {
		if s := stops[i]; s.Struck == "" && len(ways[s.Check]) == 1 {
			return whole, &s
		}
	}
	return whole, nil
}
