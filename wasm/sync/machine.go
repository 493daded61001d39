package sync

import (
	"slices"

	"portwright/server/wire"
)

// Machine is one phone's side of the sync.
type Machine struct {
	App   string // build of this app
	Batch int    // entries in one push and in one pull; 0: MaxRead

	// What lies on the phone, as of the last Look and what was done since.
	device  string
	entries int
	saved   Saved
	lines   []*line // by device; also of devices of which nothing lies here

	// What the shop PC answered last.
	known bool // it has answered
	have  []tip
	head  uint64
	mark  string

	closed []tip // by device: what the shop PC takes from the device alone

	round
	fails  int // rounds that failed in a row
	status Status
}

// round is what is forgotten when the next one begins.
type round struct {
	awake     bool
	addresses []string
	tried     int    // of the addresses
	room      int    // entries in one push
	asked     bool   // a push was answered
	healed    bool   // everything was pulled again
	full      bool   // the shop PC takes no entries; pulling goes on
	trouble   string // code of what could not be done on the way
	words     string // the shop PC's to that
	resting   int64  // what is being kept is the last; then comes the rest
	steps     int
	hand
}

// hand is what waits for an answer.
type hand struct {
	reading []Range     // asked for
	push    *wire.Push  // being filled, then asked
	ready   bool        // it is filled
	sent    bool        // it is asked
	pulled  *pullAnswer // being taken
	branch  *Row        // to be renamed, or being so
}

// How long to wait until the next round.
const (
	quietMS   = 25_000  // when all is well: others may have written
	firstMS   = 1_000   // at most, after the first failure; doubled with each
	longestMS = 300_000 // at most
	leastMS   = 250     // in any case
)

// pullBatch bounds the transaction that takes entries in: a reading that is kept
// meanwhile waits for it.
const pullBatch = 200

// maxSteps ends a round that gets nowhere: a million entries take 2000 pushes.
const maxSteps = 20_000

// Next takes what happened and returns what is to be done.
func (m *Machine) Next(ev Event, in *In) Effect {
	if m.steps++; m.steps > maxSteps && m.resting == 0 {
		return m.fail(Endless, "", in)
	}
	switch ev := ev.(type) {
	case *Wake:
		return m.wake(ev)
	case *Looked:
		m.looked(ev)
	case *Rows:
		if !m.read(ev.Rows) {
			return m.look()
		}
	case *Answered:
		if end := m.answered(ev, in); end != nil {
			return end
		}
	case *Took:
		m.entries = ev.Entries
		switch {
		case m.resting > 0:
			return m.rest()
		case m.branch != nil, len(ev.Renames) > 0:
			return m.look()
		}
		m.took()
	case *Changed:
		return m.look()
	case *Failed:
		m.status.Code, m.status.Said = Storage, ev.Reason
		m.resting = m.patience(in)
		return m.rest()
	}
	return m.plan(in)
}

func (m *Machine) wake(ev *Wake) Effect {
	if ev.Eager {
		m.fails, m.closed = 0, nil
	}
	m.round = round{awake: true, addresses: slices.Clone(ev.Addresses), room: m.batch()}
	return m.look()
}

func (m *Machine) batch() int {
	if m.Batch > 0 {
		return min(m.Batch, MaxRead)
	}
	return MaxRead
}

// look forgets what is under way and asks what lies on the phone.
func (m *Machine) look() Effect {
	m.hand = hand{}
	return &Look{}
}

func (m *Machine) looked(ev *Looked) {
	m.device, m.entries, m.saved, m.lines = ev.Device, ev.Entries, ev.Saved, nil
	for _, h := range ev.Held {
		l := m.line(h.Device)
		l.last, l.count = h.Last, h.Count
	}
	for i := range ev.Saved.Lines {
		s := &ev.Saved.Lines[i]
		if l := m.line(s.Device); s.Seq <= l.last && s.Has <= s.Seq {
			l.tip, l.has = s.Seq, s.Has
			if l.tip+s.Loose <= uint64(l.count) {
				l.loose = s.Loose
			}
			l.marks = []mark{{s.Has, s.ChainAtHas}, {s.Seq, s.Chain}}
		}
	}
	m.theirs()
	for _, t := range m.closed {
		m.line(t.device).closedAt = t.Seq
	}
	if i := slices.Index(m.addresses, ev.Saved.Address); i > 0 && !m.asked {
		copy(m.addresses[1:i+1], m.addresses)
		m.addresses[0] = ev.Saved.Address
	}
}

// theirs tells every line what the shop PC has of it.
func (m *Machine) theirs() {
	for _, l := range m.lines {
		l.theirs = wire.Tip{}
	}
	for i := range m.have {
		m.line(m.have[i].device).theirs = m.have[i].Tip
	}
}

// line is the line of a device.
func (m *Machine) line(device string) *line {
	i := 0
	for i < len(m.lines) && m.lines[i].device < device {
		i++
	}
	if i == len(m.lines) || m.lines[i].device != device {
		m.lines = append(m.lines, nil)
		copy(m.lines[i+1:], m.lines[i:])
		m.lines[i] = &line{device: device}
	}
	return m.lines[i]
}

// plan finds out what is to be done next.
func (m *Machine) plan(in *In) Effect {
	if m.branch != nil {
		return &Take{Branch: m.branch, Saved: m.keep()}
	}
	if m.ready {
		return m.send(in)
	}
	if e := m.unread(); e != nil {
		return e
	}
	if !m.known {
		return m.give(nil, in)
	}
	runs := m.runs()
	if e := m.unread(); e != nil { // a chain is wanted
		return e
	}
	switch {
	case len(runs) > 0, !m.asked:
		return m.give(runs, in)
	case m.behind():
		return m.ask(nil, pullQuery(m.saved.Epoch, m.saved.Cursor, m.saved.Mark, min(m.batch(), pullBatch)))
	}
	if runs = m.questions(); len(runs) > 0 {
		return m.give(runs, in)
	}
	if !m.healed && m.short() {
		m.healed, m.saved.Cursor, m.saved.Mark = true, 0, ""
		m.again()
		return m.plan(in)
	}
	return m.settled(in)
}

// unread asks for entries that are to be chained.
func (m *Machine) unread() Effect {
	m.reading = nil
	room := uint64(m.batch())
	for _, l := range m.lines {
		if from, to := l.unread(room); from > 0 && room > 0 {
			room -= to - from + 1
			m.reading = append(m.reading, Range{l.device, from, to})
		}
	}
	if len(m.reading) == 0 {
		return nil
	}
	return &Read{Ranges: m.reading}
}

// read takes entries that were asked for; false: they are not what they were.
func (m *Machine) read(rows []Row) bool {
	if m.push != nil {
		return m.fill(rows)
	}
	for _, r := range m.reading {
		var own []Row
		own, rows = split(rows, r)
		if !m.line(r.Device).read(r, own) {
			return false
		}
	}
	return true
}

// split returns the rows of a range, which come first, and the others.
func split(rows []Row, r Range) (own, rest []Row) {
	n := 0
	for n < len(rows) && rows[n].Device == r.Device && rows[n].Seq <= r.To {
		n++
	}
	return rows[:n], rows[n:]
}

// short says that the shop PC names entries that are not here, though nothing
// is left to pull.
func (m *Machine) short() bool {
	for _, l := range m.lines {
		if l.theirs.Seq > l.tip {
			return true
		}
	}
	return false
}

// keep is what is kept now.
func (m *Machine) keep() *Saved {
	s := m.saved
	s.Lines = nil
	for _, l := range m.lines {
		k := Line{Device: l.device, Seq: l.tip, Loose: l.loose}
		k.Chain, _ = l.chain(l.tip)
		if c, ok := l.chain(l.has); ok && l.has <= l.tip {
			k.Has, k.ChainAtHas = l.has, c
		}
		if l.count > 0 {
			s.Lines = append(s.Lines, k)
		}
	}
	return &s
}

// settled ends a round in which nothing is left on either side.
func (m *Machine) settled(in *In) Effect {
	if m.trouble != "" {
		return m.fail(m.trouble, m.words, in)
	}
	m.fails, m.status.Code, m.status.Said, m.resting = 0, "", "", quietMS
	m.saved.SameMS = in.NowMS
	return &Take{Saved: m.keep()}
}

// fail ends a round that could not be finished.
func (m *Machine) fail(code, said string, in *In) Effect {
	m.hand = hand{}
	m.status.Code, m.status.Said = code, said
	m.resting = m.patience(in)
	return &Take{Saved: m.keep()}
}

// patience is how long to wait after a failure: a random part of a time that
// doubles with each ("full jitter"), so that many phones don't come at once.
func (m *Machine) patience(in *In) int64 {
	most := int64(longestMS)
	if m.fails < 9 {
		most = min(most, firstMS<<m.fails)
	}
	m.fails++
	return leastMS + int64(in.Random%uint64(most))
}

func (m *Machine) rest() Effect {
	m.awake = false
	return &Rest{ForMS: m.resting}
}
