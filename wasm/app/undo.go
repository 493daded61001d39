package app

import (
	"sort"

	"portwright/engine/book"
	"portwright/engine/build"
)

// Deed is one thing that was done to a reading and can be taken back.
type Deed struct {
	Kind   string // book.KindReading, KindStop, KindStrike, KindUnstrike
	Target string // the reading's ID
	Reason string // of a strike
}

// deeds follow from this device's own entries in the pass in hand alone, so that they are the same
// after a kill: what can be taken back, and what was taken back and can be put
// back, latest last. A strike with reason "taken back" of the latest reading
// takes it back; an unstrike after that puts it back; everything new that is
// done forgets what was taken back.
func (m *Model) deeds() (done, undone []Deed) {
	var own []book.Entry
	for _, e := range m.Open.Entries {
		if m.Mine(e.Device) {
			own = append(own, e)
		}
	}
	sort.SliceStable(own, func(i, j int) bool { return own[i].Seq < own[j].Seq })
	for _, e := range own {
		d, ok := deedOf(e)
		if _, known := m.Open.Tally.why(d.Target); !ok || !known {
			continue
		}
		switch {
		case undoes(d, lastDeed(done)):
			done, undone = done[:len(done)-1], append(undone, lastDeed(done))
		case redoes(d, lastDeed(undone)):
			undone, done = undone[:len(undone)-1], append(done, lastDeed(undone))
		default:
			done, undone = append(done, d), nil
		}
	}
	return done, undone
}

func deedOf(e book.Entry) (Deed, bool) {
	d := Deed{Kind: e.Kind, Target: e.ID}
	switch e.Kind {
	case book.KindReading, book.KindStop:
	case book.KindStrike:
		var b book.StrikeBody
		if build.ReadRecord(e.Body, &b) != nil {
			return d, false
		}
		d.Target, d.Reason = b.Target, b.Reason
	case book.KindUnstrike:
		var b book.TargetBody
		if build.ReadRecord(e.Body, &b) != nil {
			return d, false
		}
		d.Target = b.Target
	default:
		return d, false
	}
	return d, true
}

// undoes says that d takes was back.
func undoes(d, was Deed) bool {
	if d.Target != was.Target {
		return false
	}
	if d.Kind == book.KindUnstrike {
		return was.Kind == book.KindStrike
	}
	return d.Kind == book.KindStrike && d.Reason == ReasonTakenBack && was.Kind != book.KindStrike && was.Kind != ""
}

// redoes says that d puts was back, after it had been taken back.
func redoes(d, was Deed) bool {
	if d.Target != was.Target {
		return false
	}
	if was.Kind == book.KindStrike {
		return d.Kind == book.KindStrike
	}
	return d.Kind == book.KindUnstrike && was.Kind != ""
}

func lastDeed(ds []Deed) Deed {
	if len(ds) == 0 {
		return Deed{}
	}
	return ds[len(ds)-1]
}

// takeBack undoes the latest deed and asks its question again.
func (m *Model) takeBack(in Input) []Effect {
	d := lastDeed(m.Open.Done)
	if d.Kind == "" || m.doubleUndo(in) {
		return nil
	}
	if step := m.stepOf(d.Target); step != "" {
		m.benchTo(step)
	}
	if d.Kind == book.KindStrike {
		return m.unstrike(d.Target, in)
	}
	return m.strike(d.Target, ReasonTakenBack, in)
}

// putBack undoes the latest takeBack.
func (m *Model) putBack(in Input) []Effect {
	d := lastDeed(m.Open.Undone)
	if d.Kind == "" || m.doubleUndo(in) {
		return nil
	}
	if d.Kind == book.KindStrike {
		return m.strike(d.Target, d.Reason, in)
	}
	return m.unstrike(d.Target, in)
}

// doubleUndo says that a tap comes too soon: within a double tap, or before
// the disk has what it would undo.
func (m *Model) doubleUndo(in Input) bool {
	if m.writing() || in.NowMS-m.Bench.undoMS < doubleMS {
		return true
	}
	m.Bench.undoMS = in.NowMS
	return false
}
