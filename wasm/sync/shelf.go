package sync

import (
	"bytes"

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
	Fresh, Known, Differ int      // of the entries that came in
	Renames              []Rename // branches that got another name
	Err                  error    // an entry that is none; nothing is to be written then

	same  func(here, comes []byte) bool
	cells []cell // by device and number
	seen  []Range
	need  []Range
}

// cell is a place for one entry.
type cell struct {
	device   string
	seq      uint64
	was, now []byte // nil: nothing lies there
}

// Rename says that the entries of Device from From on are those of Name now.
type Rename struct {
	Device string
	From   uint64
	Name   string
}

// NewShelf returns a shelf that knows nothing. same, where it is not nil, tells
// that an entry is an altered copy of the one in its place: it is left out
// (Differ). A book file is taken in so; what the shop PC has counts as it is.
func NewShelf(same func(here, comes []byte) bool) *Shelf { return &Shelf{same: same} }

// Saw says what lies in a range; all of it.
func (s *Shelf) Saw(r Range, rows []Row) {
	s.seen = append(s.seen, r)
	for i := range rows {
		s.cell(r.Device, rows[i].Seq).was = rows[i].Text
	}
}

// Take takes entries in. It returns what it must see first, and is then to be
// called again with the same entries.
func (s *Shelf) Take(entries [][]byte) (need []Range) {
	s.begin()
	rows := make([]Row, len(entries))
	for i, e := range entries {
		r := &rows[i]
		if r.Device, r.Seq, s.Err = wire.Address(e); s.Err != nil {
			return nil
		}
		r.Text = e
		s.knows(Range{r.Device, r.Seq, r.Seq})
	}
	for i := range rows {
		if len(s.need) == 0 {
			s.take(&rows[i])
		}
	}
	return s.need
}

// take takes an entry in, and counts it.
func (s *Shelf) take(r *Row) {
	switch old := s.cell(r.Device, r.Seq).now; {
	case bytes.Equal(old, r.Text):
		s.Known++
	case old != nil && s.same != nil && s.same(old, r.Text):
		s.Differ++
	default:
		s.Fresh++
		s.put(r.Device, r.Seq, r.Text)
	}
}

// Branch gives the entries from first on their new name, if first lies there
// still.
func (s *Shelf) Branch(first *Row) (need []Range) {
	s.begin()
	if s.knows(Range{first.Device, first.Seq, first.Seq}) && bytes.Equal(s.cell(first.Device, first.Seq).now, first.Text) {
		s.branch(first.Device, first.Seq)
	}
	return s.need
}

func (s *Shelf) begin() {
	s.Fresh, s.Known, s.Differ, s.Renames, s.Err, s.need = 0, 0, 0, nil, nil, nil
	for i := range s.cells {
		s.cells[i].now = s.cells[i].was
	}
}

// cell is the cell of an entry.
func (s *Shelf) cell(device string, seq uint64) *cell {
	i := s.place(device, seq)
	if i == len(s.cells) || s.cells[i].device != device || s.cells[i].seq != seq {
		s.cells = append(s.cells, cell{})
		copy(s.cells[i+1:], s.cells[i:])
		s.cells[i] = cell{device: device, seq: seq}
	}
	return &s.cells[i]
}

// place is the first place that is not before that of an entry.
func (s *Shelf) place(device string, seq uint64) int {
	low, high := 0, len(s.cells)
	for low < high {
		mid := (low + high) / 2
		if c := &s.cells[mid]; c.device < device || c.device == device && c.seq < seq {
			low = mid + 1
		} else {
			high = mid
		}
	}
	return low
}

// knows says whether the range was seen, and asks for it if it was not.
func (s *Shelf) knows(r Range) bool {
	for i := range s.seen {
		if seen := &s.seen[i]; seen.Device == r.Device && seen.From <= r.From && r.To <= seen.To {
			return true
		}
	}
	for i := range s.need {
		if n := &s.need[i]; n.Device == r.Device && n.From <= r.From && r.From <= n.To+1 {
			n.To = max(n.To, r.To)
			return false
		}
	}
	s.need = append(s.need, r)
	return false
}

// put lays an entry in its place. What lies there and is another becomes a
// branch.
func (s *Shelf) put(device string, seq uint64, text []byte) {
	if !s.knows(Range{device, seq, seq}) {
		return
	}
	old := s.cell(device, seq).now
	if old != nil && !bytes.Equal(old, text) {
		s.branch(device, seq)
	}
	if len(s.need) == 0 {
		s.cell(device, seq).now = text
	}
}

// branch gives the entries from seq on their new name. Every phone that holds
// them gives them the same.
func (s *Shelf) branch(device string, seq uint64) {
	if !s.knows(Range{device, seq, wire.MaxSeq}) {
		return
	}
	var rows []Row
	for i := s.place(device, seq); i < len(s.cells) && s.cells[i].device == device; i++ {
		if c := &s.cells[i]; c.now != nil {
			rows = append(rows, Row{device, c.seq, c.now})
			c.now = nil
		}
	}
	name := wire.BranchName(device, seq, rows[0].Text)
	s.Renames = append(s.Renames, Rename{device, seq, name})
	for i := range rows {
		at := rows[i].Seq - seq + 1
		again, err := wire.Readdress(rows[i].Text, name, at)
		if err != nil {
			s.Err = err
			return
		}
		s.put(name, at, again)
	}
}

// Changes lists what is to be taken away and then what is to be written, each
// in order.
func (s *Shelf) Changes() (gone, rows []Row) {
	for i := range s.cells {
		c := &s.cells[i]
		if bytes.Equal(c.was, c.now) {
			continue
		}
		if c.was != nil {
			gone = append(gone, Row{c.device, c.seq, c.was})
		}
		if c.now != nil {
			rows = append(rows, Row{c.device, c.seq, c.now})
		}
	}
	return gone, rows
}
