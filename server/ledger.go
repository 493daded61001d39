package server

import (
	"bytes"
	"maps"

	"portwright/server/wire"
)

// ledger is how far the entries of each device go, kept in memory.
type ledger struct {
	head  uint64
	lines map[string]*line
}

// line is one device. Entries behind a gap are loose: a damaged journal lost
// what stood between.
type line struct {
	tip   Tip
	loose map[uint64]Row // by sequence
}

func newLedger() *ledger { return &ledger{lines: map[string]*line{}} }

// copy returns a ledger in which lines can be changed without the original.
func (l *ledger) copy() *ledger {
	return &ledger{head: l.head, lines: maps.Clone(l.lines)}
}

// own returns the line of a device, copied so that it may be changed.
func (l *ledger) own(device string) *line {
	n := &line{}
	if old := l.lines[device]; old != nil {
		*n = line{tip: old.tip, loose: maps.Clone(old.loose)}
	}
	l.lines[device] = n
	return n
}

// line returns the line of a device for reading.
func (l *ledger) line(device string) *line {
	if n := l.lines[device]; n != nil {
		return n
	}
	return &line{}
}

// admit takes an entry in and returns the rows that follow: its own, and those
// that were loose and are linked by it. There are none when the entry is known.
// n must belong to the ledger and be its own.
func (l *ledger) admit(n *line, device string, seq uint64, entry []byte) []Row {
	if _, loose := n.loose[seq]; loose || seq <= n.tip.Seq {
		return nil
	}
	l.head++
	row := Row{Cursor: l.head, Device: device, Seq: seq, Entry: entry}
	if seq > n.tip.Seq+1 {
		if n.loose == nil {
			n.loose = map[uint64]Row{}
		}
		row.Entry = bytes.Clone(entry)
		n.loose[seq] = row
		return []Row{row}
	}
	rows := []Row{n.link(row)}
	for {
		next, ok := n.loose[n.tip.Seq+1]
		if !ok {
			return rows
		}
		delete(n.loose, next.Seq)
		rows = append(rows, n.link(next))
	}
}

func (n *line) link(row Row) Row {
	n.tip = Tip{Seq: row.Seq, Chain: n.tip.Chain.Next(row.Entry)}
	row.Linked, row.Chain = true, n.tip.Chain
	return row
}

// agrees says whether the ledger stands exactly where an index does.
func (l *ledger) agrees(s State) bool {
	if l.head != s.Head {
		return false
	}
	linked := 0
	for device, n := range l.lines {
		if n.tip.Seq == 0 {
			continue
		}
		linked++
		if s.Tips[device] != n.tip {
			return false
		}
	}
	return linked == len(s.Tips)
}

// holds says whether an entry is among those taken in.
func (l *ledger) holds(device string, seq uint64) bool {
	n := l.line(device)
	_, loose := n.loose[seq]
	return loose || (seq > 0 && seq <= n.tip.Seq)
}

func (l *ledger) have() wire.Have {
	have := wire.Have{}
	for device, n := range l.lines {
		if n.tip.Seq > 0 {
			have[device] = wire.Tip{Seq: n.tip.Seq, Chain: n.tip.Chain.String()}
		}
	}
	return have
}
