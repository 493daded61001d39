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
	theirs wire.Tip

	marks  []mark       // chains that are known: of the tip, of has, of what was sent last
	wanted bool         // every chain is: somewhere it differs
	all    []wire.Chain // by number from 0, as far as they were made; nil: none

	probing       bool // the first entry that differs is searched for:
	same, differs uint64
	stuck         bool   // what comes next can't be given, in this round
	closedAt      uint64 // the first entry that the shop PC takes from its device alone
}

type mark struct {
	seq   uint64
	chain wire.Chain
}

// chain is chain(seq); where it is not known, all are made from the entries
// first.
func (l *line) chain(seq uint64) (c wire.Chain, ok bool) {
	for i := range l.marks {
		if l.marks[i].seq == seq {
			return l.marks[i].chain, true
		}
	}
	if seq < uint64(len(l.all)) {
		return l.all[seq], true
	}
	l.wanted = l.wanted || seq > 0
	return c, seq == 0
}

// know remembers a chain, and forgets those that nothing can ask for.
func (l *line) know(seq uint64, c wire.Chain) {
	kept := l.marks[:0]
	for _, k := range l.marks {
		if k.seq != seq && (k.seq == l.has || k.seq == l.tip || k.seq == l.theirs.Seq) {
			kept = append(kept, k)
		}
	}
	l.marks = append(kept, mark{seq, c})
}

// add chains one more entry, which comes right after the tip.
func (l *line) add(text []byte) {
	c, _ := l.chain(l.tip)
	c = c.Next(text)
	l.tip++
	l.loose = 0 // some of them may have joined
	l.know(l.tip, c)
	if uint64(len(l.all)) == l.tip {
		l.all = append(l.all, c)
	}
}

// met takes an entry that the shop PC gave. Where the shop PC has all before it,
// it has this one too.
func (l *line) met(seq uint64, text []byte) {
	switch {
	case seq <= l.tip:
		return
	case seq == l.tip+1:
		whole := l.has == l.tip && !l.probing
		l.add(text)
		if whole {
			l.has = l.tip
		}
	default:
		l.loose++
	}
	l.count++ // one too many when it lay here behind a gap: the next Look counts
	l.last, l.gap = max(l.last, seq), false
}

// unread is the next stretch of entries to be chained, of at most n.
func (l *line) unread(n uint64) (from, to uint64) {
	loaded := uint64(len(l.all))
	switch {
	case l.wanted && loaded <= l.tip:
		from, to = max(loaded, 1), l.tip
	case l.tip < l.last && !l.gap:
		from, to = l.tip+1, l.last
	default:
		return 0, 0
	}
	return from, min(to, from+n-1)
}

// read chains the entries of such a stretch; false: they are not what they
// were.
func (l *line) read(r Range, rows []Row) bool {
	if r.From > l.tip {
		for i := range rows {
			if rows[i].Seq != l.tip+1 {
				break
			}
			l.add(rows[i].Text)
		}
		l.gap = l.tip < r.To
		return true
	}
	if r.From == 1 {
		l.all = []wire.Chain{{}}
	}
	for i := range rows {
		if rows[i].Seq != uint64(len(l.all)) {
			return false
		}
		l.all = append(l.all, l.all[len(l.all)-1].Next(rows[i].Text))
	}
	if uint64(len(l.all)) <= l.tip {
		return uint64(len(l.all)) == r.To+1
	}
	c, _ := l.chain(l.tip)
	return c == l.all[l.tip]
}

// lacking is how many of the entries here the shop PC is not known to have.
func (l *line) lacking() int { return max(0, l.count-int(l.has+l.loose)) }

// closed says that what comes next is another device's, which the shop PC takes
// from that device alone until it has more.
func (l *line) closed() bool { return l.closedAt == l.has+1 && l.has < l.tip }
