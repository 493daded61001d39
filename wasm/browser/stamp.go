package browser

import (
	"maps"
	"strings"

	"portwright/engine/book"
	"portwright/engine/build"
	"portwright/server/wire"
	"portwright/wasm/app"
)

// head is what the database knows of this device.
type head struct {
	Device  string
	Seq     uint64     // last sequence number used
	Clock   book.Clock // last clock used or seen
	Entries int        // entries in the store, of all devices
	Was     string     // names under which this device wrote before, separated by spaces
}

// renamed returns the head of a device that writes on under another name.
func (h head) renamed(name string, seq uint64) head {
	h.Was = strings.TrimSpace(h.Was + " " + h.Device)
	h.Device, h.Seq = name, seq
	return h
}

// former lists the names under which this device wrote before.
func (h head) former() []string { return strings.Fields(h.Was) }

// row is an entry as it lies in the store.
type row struct {
	Entry book.Entry
	Text  string // the line that a book file holds
}

func rowOf(e book.Entry) row { return row{Entry: e, Text: string(book.AppendEntry(nil, e))} }

// rowOfText reads an entry that came in. Of one that a newer version wrote, what
// can be read here is: it is kept as it came, and handed on.
func rowOfText(text []byte) row {
	e, err := book.ParseEntry(text)
	if err != nil {
		var part partEntry
		_ = build.ReadRecord(text, &part)
		e = book.Entry{ID: part.ID, Build: part.Build}
		e.Device, e.Seq, _ = wire.Address(text)
	}
	return row{Entry: e, Text: string(text)}
}

type partEntry struct{ ID, Build string }

func (p *partEntry) Fields(f *build.Form) {
	f.Text("id", &p.ID)
	f.Text("build", &p.Build)
}

// idOf is the ID of an entry, as far as it can be read here.
func idOf(text []byte) string {
	var part partEntry
	_ = build.ReadRecord(text, &part)
	return part.ID
}

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

// mergeSettings is what is written of a window's settings: what only the shop
// PC gives, another window may have got meanwhile.
func mergeSettings(set, read, stored app.Settings) app.Settings {
	if set.Token == read.Token {
		set.Token = stored.Token
	}
	if set.Places == read.Places {
		set.Places = stored.Places
	}
	if set.Names == read.Names {
		set.Names = stored.Names
	}
	return set
}

// seen returns the head after entries from elsewhere were added: its clock is
// later than theirs.
func (h head) seen(entries []book.Entry, nowMS int64) head {
	for _, e := range entries {
		h.Clock = h.Clock.Observe(e.Clock, nowMS)
		// A device's own clock never runs backwards, however far ahead it was.
		if e.Device == h.Device && e.Clock.Compare(h.Clock) > 0 {
			h.Clock = e.Clock
		}
	}
	return h
}
