package sync

import "portwright/server/wire"

// line is what is known of one device's entries.
type line struct {
	device string
	last   uint64 // largest number that lies here
	count  int    // entries that lie here
	tip    uint64 // up to there they were chained, without a gap
	gap    bool   // tip+1 does not lie here
	has    uint64 // up to there the shop PC said that it has the same
	loose  uint64 // entries beyond the gap that the shop PC gave: it has them too

	points map[uint64]wire.Chain // chains that are known: of 0, of the tip, and others
	wanted bool                  // all of them are: somewhere it differs
	loaded uint64                // up to there all of them are known

	probe *probe
	stuck bool // what comes next can't be given, in this round
}

// closed says that what comes next is another device's, which the shop PC takes
// from that device alone until it has more.
func (m *Machine) closed(l *line) bool { return m.closedAt[l.device] == l.has+1 && l.has < l.tip }

// probe searches for the first entry that differs: entry same does not, and
// differs, or one between, does.
type probe struct{ same, differs uint64 }

func newLine(h Held, saved Line) *line {
	l := &line{device: h.Device, last: h.Last, count: h.Count, points: map[uint64]wire.Chain{0: {}}}
	if saved.Seq > 0 && saved.Seq <= h.Last && saved.Has <= saved.Seq {
		l.tip, l.has = saved.Seq, saved.Has
		l.points[l.has] = saved.ChainAtHas
		l.points[l.tip] = saved.Chain
	}
	if saved.Seq == l.tip && l.tip+saved.Loose <= uint64(h.Count) {
		l.loose = saved.Loose
	}
	return l
}

// saved is what is kept of it.
func (l *line) saved() Line {
	s := Line{Seq: l.tip, Chain: l.points[l.tip], Loose: l.loose}
	if c, ok := l.points[l.has]; ok && l.has <= l.tip {
		s.Has, s.ChainAtHas = l.has, c
	}
	return s
}

// add chains one more entry, which comes right after the tip.
func (l *line) add(text []byte) {
	c := l.points[l.tip].Next(text)
	switch {
	case l.wanted && l.loaded == l.tip: // all are known and stay so
		l.loaded++
	case l.tip != l.has:
		delete(l.points, l.tip)
	}
	l.tip++
	l.points[l.tip] = c
	l.loose = 0 // some of them may have joined
}

// met takes an entry that was brought to the disk.
func (l *line) met(seq uint64, text []byte) {
	switch {
	case seq <= l.tip:
		return
	case seq == l.tip+1:
		l.add(text)
	default:
		l.loose++
	}
	l.count++ // one too many when it lay here behind a gap: the next Look counts
	l.last, l.gap = max(l.last, seq), false
}

// chain is chain(seq); where it is not known, all are made from the entries
// first.
func (l *line) chain(seq uint64) (c wire.Chain, ok bool) {
	if c, ok = l.points[seq]; !ok {
		l.wanted = true
	}
	return c, ok
}

// unread is the next stretch of entries to be chained.
func (l *line) unread() (r Range, ok bool) {
	switch {
	case l.wanted && l.loaded < l.tip:
		return Range{l.device, l.loaded + 1, min(l.tip, l.loaded+MaxRead)}, true
	case l.tip < l.last && !l.gap:
		return Range{l.device, l.tip + 1, min(l.last, l.tip+MaxRead)}, true
	}
	return Range{}, false
}

// read chains the entries of such a stretch; false: they are not what they
// were.
func (l *line) read(r Range, rows []Row) bool {
	if r.From > l.tip {
		for _, row := range rows {
			if row.Seq != l.tip+1 {
				break
			}
			l.add(row.Text)
		}
		l.gap = l.tip < r.To
		return true
	}
	for i, row := range rows {
		if row.Seq != r.From+uint64(i) {
			return false
		}
		c := l.points[row.Seq-1].Next(row.Text)
		if old, ok := l.points[row.Seq]; ok && old != c {
			return false
		}
		l.points[row.Seq], l.loaded = c, row.Seq
	}
	return l.loaded == r.To
}

// lacking is how many of the entries here the shop PC is not known to have.
func (l *line) lacking() int { return max(0, l.count-int(l.has+l.loose)) }
