package browser

import (
	"maps"

	"portwright/engine/book"
)

// head is what the database knows of this device.
type head struct {
	Device  string
	Seq     uint64     // last sequence number used
	Clock   book.Clock // last clock used or seen
	Entries int        // entries in the store, of all devices
}

// row is an entry as it lies in the store.
type row struct {
	Entry book.Entry
	Text  string // the line that a book file holds
}

func rowOf(e book.Entry) row { return row{Entry: e, Text: string(book.AppendEntry(nil, e))} }

// stamp makes entries of the items that are not in the store yet, in their
// order. known holds the entries that are there already, by ID; they are not
// made again. It returns the rows to write, all entries in the items' order,
// and the new head. Every item has its ID.
func stamp(h head, items []book.Item, known map[string]book.Entry, nowMS int64) (rows []row, all []book.Entry, next head, err error) {
	var fresh []book.Item
	asked := map[string]bool{}
	for _, it := range items {
		if _, ok := known[it.ID]; !ok && !asked[it.ID] {
			fresh = append(fresh, it)
		}
		asked[it.ID] = true
	}
	next = h
	var made []book.Entry
	made, next.Seq, next.Clock = book.Stamp(fresh, h.Device, h.Seq, h.Clock, nowMS, nil)
	next.Entries += len(made)
	by := maps.Clone(known)
	for _, e := range made {
		if err := book.Validate(e); err != nil {
			return nil, nil, h, err
		}
		rows = append(rows, rowOf(e))
		by[e.ID] = e
	}
	for _, it := range items {
		if asked[it.ID] {
			all = append(all, by[it.ID])
			asked[it.ID] = false
		}
	}
	return rows, all, next, nil
}

// seen returns the head after entries from elsewhere were added: its clock is
// later than theirs, and its sequence not below its own device's among them.
func (h head) seen(entries []book.Entry, added int, nowMS int64) head {
	h.Entries += added
	for _, e := range entries {
		h.Clock = h.Clock.Observe(e.Clock, nowMS)
		if e.Device == h.Device {
			// A device's own clock never runs backwards, however far ahead it was.
			if e.Clock.Compare(h.Clock) > 0 {
				h.Clock = e.Clock
			}
			h.Seq = max(h.Seq, e.Seq)
		}
	}
	return h
}
