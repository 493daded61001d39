package sync

import (
	"encoding/json"

	"portwright/server/wire"
)

// runs lists what the shop PC lacks as far as is known, still without the
// entries, and the questions where the two differ.
func (m *Machine) runs() (runs []wire.Run) {
	room := uint64(m.room)
	for _, l := range m.sorted() {
		if len(runs) == wire.MaxRuns {
			break
		}
		if l.probe != nil && l.probe.differs > l.tip {
			l.probe = nil
		}
		if l.tip == 0 || l.stuck {
			continue
		}
		same := m.compare(l)
		switch {
		case l.probe != nil:
			if r, ok := l.ask(); ok {
				runs = append(runs, r)
			}
		case same && l.has < l.tip && room > 0 && !m.full && !m.closed(l):
			n := min(room, l.tip-l.has)
			room -= n
			if r, ok := l.run(l.has+1, n); ok {
				runs = append(runs, r)
			}
		}
	}
	return runs
}

// compare holds the shop PC's tip of a device against the same entry here. It
// returns true when the shop PC has just what begins the line here; where it
// has another past, the search for the difference begins.
func (m *Machine) compare(l *line) (same bool) {
	t := m.have[l.device]
	if l.probe != nil || t.Seq > l.tip {
		return false
	}
	c, ok := l.chain(t.Seq)
	switch {
	case !ok:
		return false
	case t.Seq == 0 || c.String() == t.Chain:
		l.has = t.Seq
		return true
	}
	l.has, l.probe = 0, &probe{differs: t.Seq}
	return false
}

// questions asks whether both ends agree where the shop PC has more than lies
// here.
func (m *Machine) questions() (runs []wire.Run) {
	for _, l := range m.sorted() {
		if l.tip > 0 && !l.stuck && m.have[l.device].Seq > l.tip && l.has < l.tip && len(runs) < wire.MaxRuns {
			if r, ok := l.run(l.tip+1, 0); ok {
				runs = append(runs, r)
			}
		}
	}
	return runs
}

// ask halves the stretch in which the first differing entry stands; when that
// is one entry, it is sent, so that the shop PC itself says that it differs.
func (l *line) ask() (wire.Run, bool) {
	if l.probe.differs == l.probe.same+1 {
		return l.run(l.probe.differs, 1)
	}
	return l.run((l.probe.same+l.probe.differs)/2+1, 0)
}

// run is a run of n entries, which are filled in later.
func (l *line) run(from, n uint64) (r wire.Run, ok bool) {
	c, ok := l.chain(from - 1)
	return wire.Run{Device: l.device, From: from, Before: c.String(), Entries: make([]json.RawMessage, n)}, ok
}

// push reads the entries of a push, or sends it when it has none.
func (m *Machine) push(runs []wire.Run, in In) Effect {
	p := &wire.Push{Device: m.device, App: m.App, Schema: wire.Schema, Epoch: m.saved.Epoch, Runs: runs}
	var ranges []Range
	for _, r := range runs {
		if n := uint64(len(r.Entries)); n > 0 {
			ranges = append(ranges, Range{r.Device, r.From, r.From + n - 1})
		}
	}
	if len(ranges) > 0 {
		m.filling, m.reading = p, ranges
		return Read{Ranges: ranges}
	}
	m.ready = p
	return m.send(in)
}

func (m *Machine) send(in In) Effect {
	m.sent, m.ready = m.ready, nil
	m.sent.NowMS = in.NowMS
	return m.ask(Ask{Push: wire.AppendPush(nil, *m.sent)})
}

// fill puts the entries into a push, as many as it may have. False: they are
// not what they were.
func (m *Machine) fill(p *wire.Push, rows []Row) bool {
	size, runs := 0, p.Runs[:0]
	for _, r := range p.Runs {
		if len(r.Entries) == 0 { // a question
			runs = append(runs, r)
			continue
		}
		var own []Row
		own, rows = split(rows, Range{r.Device, r.From, r.From + uint64(len(r.Entries)) - 1})
		l := m.lines[r.Device]
		if l == nil || len(own) != len(r.Entries) || own[0].Seq != r.From {
			return false
		}
		r.Entries = r.Entries[:0]
		c := l.points[r.From-1]
		for _, row := range own {
			if len(row.Text) > wire.MaxEntryBytes || size+len(row.Text) > wire.MaxBatchBytes {
				break
			}
			size += len(row.Text)
			c = c.Next(row.Text)
			r.Entries = append(r.Entries, row.Text)
		}
		if len(own[0].Text) > wire.MaxEntryBytes {
			l.stuck, m.trouble = true, TooLong
		}
		if n := uint64(len(r.Entries)); n > 0 {
			l.points[r.From+n-1] = c // the shop PC's tip once it took them
			runs = append(runs, r)
		}
	}
	if len(runs) > 0 {
		p.Runs = runs
		m.ready = p
	}
	return true
}

// pushed takes the answer to a push in.
func (m *Machine) pushed(sent *wire.Push, a wire.PushAnswer) {
	s := &m.saved
	if a.Epoch != s.Epoch {
		s.Epoch, s.Cursor, s.Mark = a.Epoch, 0, ""
		m.doubt()
	}
	if a.Taken > 0 && s.Cursor+uint64(a.Taken) == a.Head { // what came since the last pull is what was given now
		s.Cursor, s.Mark = a.Head, a.Mark
	}
	m.have, m.head, m.mark = a.Have, a.Head, a.Mark
	m.status.App = a.App
	refused := map[string]wire.Refusal{}
	for _, r := range a.Refused {
		refused[r.Device] = r
	}
	for _, run := range sent.Runs {
		if l := m.lines[run.Device]; l != nil {
			no, is := refused[run.Device]
			m.ran(l, run, no, is)
		}
	}
	for _, l := range m.lines {
		m.compare(l)
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

// ran draws what follows from the answer to one run.
func (m *Machine) ran(l *line, run wire.Run, no wire.Refusal, refused bool) {
	b := l.probe
	switch {
	case !refused && len(run.Entries) == 0:
		l.has = max(l.has, min(l.tip, run.From-1))
		if b != nil {
			b.same = max(b.same, run.From-1)
		}
	case !refused && m.have[l.device].Seq < run.From+uint64(len(run.Entries))-1: // not what a shop PC says
		l.stuck, m.trouble = true, Garbled
	case !refused:
		l.probe = nil
	case no.Code == wire.Fork:
		if no.Seq >= run.From && no.Seq < run.From+uint64(len(run.Entries)) {
			m.branch = &Row{run.Device, no.Seq, run.Entries[no.Seq-run.From]}
		}
		l.probe = nil
	case no.Code == wire.ForkBefore:
		if b == nil {
			b = &probe{}
			l.probe = b
		}
		if b.differs = run.From - 1; b.same >= b.differs {
			b.same = 0
		}
	case no.Code == wire.NotYours:
		if m.closedAt == nil {
			m.closedAt = map[string]uint64{}
		}
		m.closedAt[l.device], l.probe = no.Seq, nil
	case no.Code == wire.Gap:
		l.probe = nil // the shop PC lost some since it was asked; Have says from where
	default:
		l.stuck, m.trouble, m.words = true, no.Code, no.Message
	}
}
