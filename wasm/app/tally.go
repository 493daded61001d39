package app

import (
	"portwright/engine/book"
	"portwright/engine/unit"
	"portwright/engine/wheel"
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
	Side              string
	Quarter           int
	Struck            string // reason; "" while it counts
}

// Stop is one kept reading against the stop.
type Stop struct {
	ID, Check, When, Near, Way string
	Value                      float64
	Struck                     string
}

// tallyOf collects the readings of a pass from what the entries amount to.
func tallyOf(f *book.Folded, pass string) Tally {
	var t Tally
	ids := make(map[string]string, len(f.Build.Windows))
	for _, w := range f.Build.Windows {
		ids[w.Name] = w.ID
	}
	for _, p := range f.Build.Passes {
		if p.ID != pass {
			continue
		}
		for _, r := range p.Readings {
			t.Readings = append(t.Readings, Reading{
				ID: r.ID, Window: ids[r.Window], Event: r.Event, Value: r.Value,
				Method: r.Method, Feeler: r.FeelerMM, Side: r.Side, Quarter: r.Quarter, Struck: r.Struck,
			})
		}
	}
	for _, s := range f.Stops {
		if s.Pass == pass {
			t.Stops = append(t.Stops, Stop{ID: s.ID, Check: s.Check, When: s.When, Near: s.Near, Way: s.Way, Value: s.Value, Struck: s.Struck})
		}
	}
	return t
}

// why returns the reason why a reading does not count, "" when it does; ok is
// false when there is none with this ID.
func (t Tally) why(id string) (reason string, ok bool) {
	for _, r := range t.Readings {
		if r.ID == id {
			return r.Struck, true
		}
	}
	for _, s := range t.Stops {
		if s.ID == id {
			return s.Struck, true
		}
	}
	return "", false
}

// Why is the reason why a reading does not count.
func (t Tally) Why(id string) string { reason, _ := t.why(id); return reason }

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

// StopRead says whether the pass in hand has a whole stop check of that time.
func (m *Model) StopRead(when string) bool {
	whole, _ := pairs(m.Open.Tally.StopsOf(when))
	return whole > 0
}

// pair returns both readings of a check; whole is false when one is missing.
func (t Tally) pair(check string) (p wheel.Pair, whole bool) {
	running, back := false, false
	for _, s := range t.Stops {
		switch {
		case s.Check != check || s.Struck != "":
			continue
		case s.Way == WayRunning:
			p.First, running = s.Value, true
		default:
			p.Second, back = s.Value, true
		}
		p.BDC = s.Near == NearBDC
	}
	return p, running && back
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
