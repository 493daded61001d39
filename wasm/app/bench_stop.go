package app

import (
	"math"

	"portwright/engine/unit"
	"portwright/engine/wheel"
)

// Limits of a stop check, none of which blocks: common practice, no source.
const (
	oddArcDeg  = 12.0 // stop readings closer than this halve badly
	farStopDeg = 60.0 // a stop further from the dead centre than this is asked about; 15 to 60 is usual
	movedDeg   = 10.0 // a check whose TDC is further than this from the last one's is asked about
)

// doubtStop asks about the second reading of a check when the stop would stand
// where no stop does, or TDC elsewhere than by the last check.
func (m *Model) doubtStop(q Question, v float64) string {
	w := m.Wheel()
	scale, err := wheel.New(w.Numbering, w.Numbers)
	if q.Check == "" || err != nil {
		return ""
	}
	p, _ := m.Open.Tally.pair(q.Check)
	dead := "TDC"
	if p.BDC {
		dead = "BDC"
	}
	if q.Way == WayRunning {
		p.First = v
	} else {
		p.Second = v
	}
	now, err := scale.Contact(p, nil)
	switch {
	case err != nil:
		return ""
	case now.Half < oddArcDeg/2:
		return "The two stop readings are only " + unit.Plain(2*now.Half, 2) + "° apart. Between 30 and 40 halves best: set the stop further in."
	case now.Half > farStopDeg:
		return "The stop would stand " + unit.Plain(now.Half, 0) + "° from " + dead + ", where 15° to 60° is usual. Is that right?"
	}
	stops := m.Open.Tally.Stops
	for i := len(stops) - 1; i >= 0; i-- {
		p, whole := m.Open.Tally.pair(stops[i].Check)
		if !whole || stops[i].Check == q.Check {
			continue
		}
		was, err := scale.Contact(p, nil)
		if err != nil {
			return ""
		}
		apart := math.Abs(unit.Signed(now.TDC - was.TDC))
		if scale.Top() == 90 { // the same numbers stand at both dead centres
			apart = math.Min(apart, 180-apart)
		}
		if apart > movedDeg {
			return "TDC would read " + unit.Plain(scale.Label(now.TDC), 1) + "°: this is " + unit.Plain(apart, 0) + "° from the last check. Is that right?"
		}
		return ""
	}
	return ""
}
