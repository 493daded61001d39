package sync

import (
	"encoding/json"

	"portwright/server/wire"
)

// runs lists what the shop PC lacks as far as is known, still without the
// entries, and the questions where the two differ.
func (m *Machine) runs() (runs []wire.Run) {
	room := uint64(min(m.room, m.batch()))
	for _, l := range m.lines {
		l.probing = l.probing && l.differs <= l.tip
		if l.tip == 0 || l.stuck || len(runs) == wire.MaxRuns {
			continue
		}
		same := l.compare()
		switch {
		case l.probing && l.differs == l.same+1: // sent, so that the shop PC itself says that it differs
			runs = l.run(runs, l.differs, 1)
		case l.probing: // halved
			runs = l.run(runs, (l.same+l.differs)/2+1, 0)
		case same && l.has < l.tip && room > 0 && !m.full && !l.closed():
			n := min(room, l.tip-l.has)
			room -= n
			runs = l.run(runs, l.has+1, n)
		}
	}
	return runs
}

// compare holds the shop PC's tip against the same entry here. It returns true
// when the shop PC has just what begins the line here; where it has another
// past, the search for the first entry that differs begins.
func (l *line) compare() (same bool) {
	if l.probing || l.theirs.Seq > l.tip {
		return false
	}
	c, ok := l.chain(l.theirs.Seq)
	switch {
	case !ok:
		return false
	case l.theirs.Seq == 0 || c.String() == l.theirs.Chain:
		l.has = l.theirs.Seq
		return true
	}
	l.has, l.probing, l.same, l.differs = 0, true, 0, l.theirs.Seq
	return false
}

// questions asks whether both ends agree where the shop PC has more than lies
// here.
func (m *Machine) questions() (runs []wire.Run) {
	for _, l := range m.lines {
		if l.tip > 0 && !l.stuck && l.theirs.Seq > l.tip && l.has < l.tip && len(runs) < wire.MaxRuns {
			runs = l.run(runs, l.tip+1, 0)
		}
	}
	return runs
}

// run adds a run of n entries, which are filled in later.
func (l *line) run(runs []wire.Run, from, n uint64) []wire.Run {
	c, ok := l.chain(from - 1)
	if !ok {
		return runs
	}
	return append(runs, wire.Run{Device: l.device, From: from, Before: c.String(), Entries: make([]json.RawMessage, n)})
}

// give reads the entries of a push, or sends it when it has none.
func (m *Machine) give(runs []wire.Run, in *In) Effect {
	m.push = &wire.Push{Device: m.device, App: m.App, Schema: wire.Schema, Epoch: m.saved.Epoch, Runs: runs}
	m.reading = nil
	for i := range runs {
		if n := uint64(len(runs[i].Entries)); n > 0 {
			m.reading = append(m.reading, Range{runs[i].Device, runs[i].From, runs[i].From + n - 1})
		}
	}
	if len(m.reading) > 0 {
		return &Read{Ranges: m.reading}
	}
	return m.send(in)
}

func (m *Machine) send(in *In) Effect {
	m.ready, m.sent = false, true
	m.push.NowMS = in.NowMS
	return m.ask(wire.AppendPush(nil, m.push), "")
}

// fill puts the entries into a push, as many as it may have. False: they are
// not what they were.
func (m *Machine) fill(rows []Row) bool {
	size, runs := 0, m.push.Runs[:0]
	for _, r := range m.push.Runs {
		if n := len(r.Entries); n > 0 {
			var own []Row
			own, rows = split(rows, Range{r.Device, r.From, r.From + uint64(n) - 1})
			if len(own) != n || own[0].Seq != r.From {
				return false
			}
			l := m.line(r.Device)
			c, _ := l.chain(r.From - 1)
			r.Entries = r.Entries[:0]
			for i := range own {
				text := own[i].Text
				if size += len(text); len(text) > wire.MaxEntryBytes || size > wire.MaxBatchBytes {
					break
				}
				c = c.Next(text)
				r.Entries = append(r.Entries, text)
			}
			if len(own[0].Text) > wire.MaxEntryBytes {
				l.stuck, m.trouble = true, TooLong
			}
			if len(r.Entries) == 0 {
				continue
			}
			l.know(r.From+uint64(len(r.Entries))-1, c) // the shop PC's tip once it took them
		}
		runs = append(runs, r)
	}
	if m.push.Runs = runs; len(runs) == 0 {
		m.push = nil
	}
	m.ready = len(runs) > 0
	return true
}

// pushed takes the answer to a push in.
func (m *Machine) pushed(a *pushAnswer) {
	s, sent := &m.saved, m.push
	m.push = nil
	if a.epoch != s.Epoch {
		s.Epoch, s.Cursor, s.Mark = a.epoch, 0, ""
		m.doubt()
	}
	if a.taken > 0 && s.Cursor+uint64(a.taken) == a.head { // what came since the last pull is what was given now
		s.Cursor, s.Mark = a.head, a.mark
	}
	if a.places != "" {
		m.status.Places = a.places
	}
	if len(a.names) > 0 {
		m.status.Names = string(a.names)
	}
	m.known, m.have, m.head, m.mark = true, a.have, a.head, a.mark
	m.theirs()
	for i := range sent.Runs {
		var no *refusal
		for j := range a.refused {
			if a.refused[j].Device == sent.Runs[i].Device {
				no = &a.refused[j]
			}
		}
		m.ran(&sent.Runs[i], no)
	}
	for _, l := range m.lines {
		l.compare()
	}
}

// doubt forgets what a shop PC of another past had.
func (m *Machine) doubt() {
	m.again()
	for _, l := range m.lines {
		l.has = 0
	}
}

// again forgets what was pulled loose, before everything is pulled again.
func (m *Machine) again() {
	for _, l := range m.lines {
		l.loose = 0
	}
}

// ran draws what follows from the answer to one run; no is nil when it was not
// refused.
func (m *Machine) ran(run *wire.Run, no *refusal) {
	l, end := m.line(run.Device), run.From+uint64(len(run.Entries))
	switch {
	case no == nil && len(run.Entries) == 0:
		l.has = max(l.has, min(l.tip, run.From-1))
		l.same = max(l.same, run.From-1)
	case no == nil:
		l.probing = false
		if l.theirs.Seq < end-1 { // not what a shop PC says
			l.stuck, m.trouble = true, Garbled
		}
	case no.Code == wire.Fork:
		if no.Seq >= run.From && no.Seq < end {
			m.branch = &Row{run.Device, no.Seq, run.Entries[no.Seq-run.From]}
		}
		l.probing = false
	case no.Code == wire.ForkBefore:
		if l.differs = run.From - 1; !l.probing || l.same >= l.differs {
			l.probing, l.same = true, 0
		}
	case no.Code == wire.NotYours:
		l.closedAt, l.probing = no.Seq, false
		m.closed = append(m.closed, tip{run.Device, wire.Tip{Seq: no.Seq}})
	case no.Code == wire.Gap:
		l.probing = false // the shop PC lost some since it was asked; Have says from where
	default:
		l.stuck, m.trouble, m.words = true, no.Code, no.Message
	}
}
