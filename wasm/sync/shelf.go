package sync

import (
	"bytes"
	"sort"

	"portwright/server/wire"
)

// Shelf works out what is to be written when entries are taken in, knowing
// those parts of the book that it asks for. It is used within one transaction:
//
//	for need := shelf.Take(entries); len(need) > 0; need = shelf.Take(entries) {
//		for _, r := range need { shelf.Saw(r, read(r)) }
//	}
//
// A book of any size is so read only where entries come in.
type Shelf struct {
	Fresh, Known int      // of the entries that came in
	Renames      []Rename // branches that got another name
	Err          error    // an entry that is none; nothing is to be written then

	was  map[place][]byte
	now  map[place][]byte // what differs from was; nil: taken away
	seen []Range
	need []Range
}

// Rename says that the entries of Device from From on are those of Name now.
type Rename struct {
	Device string
	From   uint64
	Name   string
}

type place struct {
	device string
	seq    uint64
}

// NewShelf returns a shelf that knows nothing.
func NewShelf() *Shelf { return &Shelf{was: map[place][]byte{}} }

// Saw says what lies in a range; all of it.
func (s *Shelf) Saw(r Range, rows []Row) {
	s.seen = append(s.seen, r)
	for _, row := range rows {
		s.was[place{row.Device, row.Seq}] = row.Text
	}
}

// Take takes entries in. It returns what it must see first, and is then to be
// called again with the same entries.
func (s *Shelf) Take(entries [][]byte) (need []Range) {
	s.begin()
	at := make([]place, len(entries))
	spans := map[string]Range{}
	for i, e := range entries {
		device, seq, err := wire.Address(e)
		if err != nil {
			s.Err = err
			return nil
		}
		at[i] = place{device, seq}
		span, ok := spans[device]
		if !ok {
			span = Range{device, seq, seq}
		}
		spans[device] = Range{device, min(span.From, seq), max(span.To, seq)}
	}
	for _, span := range spans {
		s.knows(span)
	}
	if len(s.need) > 0 {
		return s.need
	}
	for i, e := range entries {
		if bytes.Equal(s.at(at[i]), e) {
			s.Known++
			continue
		}
		s.Fresh++
		if !s.put(at[i], e) {
			return s.need
		}
	}
	return nil
}

// Branch gives the entries from first on their new name, if first lies there
// still.
func (s *Shelf) Branch(first Row) (need []Range) {
	s.begin()
	at := place{first.Device, first.Seq}
	if s.knows(Range{at.device, at.seq, at.seq}) && bytes.Equal(s.at(at), first.Text) {
		s.branch(at)
	}
	return s.need
}

func (s *Shelf) begin() {
	s.now, s.need = map[place][]byte{}, nil
	s.Fresh, s.Known, s.Renames, s.Err = 0, 0, nil, nil
}

// knows says whether the range was seen, and asks for it if it was not.
func (s *Shelf) knows(r Range) bool {
	for _, seen := range s.seen {
		if seen.Device == r.Device && seen.From <= r.From && r.To <= seen.To {
			return true
		}
	}
	s.need = append(s.need, r)
	return false
}

func (s *Shelf) at(p place) []byte {
	if text, ok := s.now[p]; ok {
		return text
	}
	return s.was[p]
}

// put lays an entry in its place. What lies there and is another becomes a
// branch.
func (s *Shelf) put(p place, text []byte) bool {
	if !s.knows(Range{p.device, p.seq, p.seq}) {
		return false
	}
	switch old := s.at(p); {
	case bytes.Equal(old, text):
		return true
	case old != nil && !s.branch(p):
		return false
	}
	s.now[p] = text
	return true
}

// branch gives the entries from first on their new name. Every phone that holds
// them gives them the same.
func (s *Shelf) branch(first place) bool {
	if !s.knows(Range{first.device, first.seq, wire.MaxSeq}) {
		return false
	}
	rows := s.from(first)
	name := wire.BranchName(first.device, first.seq, rows[0].Text)
	s.Renames = append(s.Renames, Rename{first.device, first.seq, name})
	for _, r := range rows {
		s.now[place{r.Device, r.Seq}] = nil
	}
	for _, r := range rows {
		seq := r.Seq - first.seq + 1
		again, err := wire.Readdress(r.Text, name, seq)
		if err != nil {
			s.Err = err
			return false
		}
		if !s.put(place{name, seq}, again) {
			return false
		}
	}
	return true
}

// from lists the entries of a device from one on, in order.
func (s *Shelf) from(first place) []Row {
	var rows []Row
	add := func(p place, text []byte) {
		if p.device == first.device && p.seq >= first.seq && text != nil {
			rows = append(rows, Row{p.device, p.seq, text})
		}
	}
	for p, text := range s.was {
		if _, changed := s.now[p]; !changed {
			add(p, text)
		}
	}
	for p, text := range s.now {
		add(p, text)
	}
	sortRows(rows)
	return rows
}

func sortRows(rows []Row) {
	sort.Slice(rows, func(i, j int) bool {
		a, b := rows[i], rows[j]
		return a.Device < b.Device || a.Device == b.Device && a.Seq < b.Seq
	})
}

// Changes lists what is to be taken away and then what is to be written, each
// in order.
func (s *Shelf) Changes() (gone, rows []Row) {
	for p, text := range s.now {
		old := s.was[p]
		if old != nil && !bytes.Equal(old, text) {
			gone = append(gone, Row{p.device, p.seq, old})
		}
		if text != nil && !bytes.Equal(old, text) {
			rows = append(rows, Row{p.device, p.seq, text})
		}
	}
	sortRows(gone)
	sortRows(rows)
	return gone, rows
}
