package server

import "portwright/server/wire"

// Row is an entry as the index holds it.
type Row struct {
	Cursor uint64 // place among all entries, from 1
	Device string
	Seq    uint64
	Linked bool       // every entry of the device before it is here too
	Chain  wire.Chain // chain(Seq), when Linked
	Entry  []byte
}

// Tip is how far a device's entries go without a gap.
type Tip struct {
	Seq   uint64
	Chain wire.Chain
}

// State is how far an index goes.
type State struct {
	Head uint64 // cursor of the newest row
	Tips map[string]Tip
}

// Seen is what a device said of itself when it last pushed.
type Seen struct {
	Device   string `json:"device"`
	App      string `json:"app"`
	Schema   int    `json:"schema"`
	AtMS     int64  `json:"at_ms"`     // by the shop PC's clock
	OffsetMS int64  `json:"offset_ms"` // the shop PC's clock less the device's, the way of the message included
}

// Index finds entries. It is read by several goroutines while one writes.
type Index interface {
	// Put writes rows, the state that follows from them, and seen. When it
	// returns nil they are durable. After an error any first part of the rows
	// may be there; putting the same rows again completes it. A row that is
	// there with Linked false may be put again with Linked true.
	Put(rows []Row, seen []Seen) error
	// At returns the row of one entry.
	At(device string, seq uint64) (row Row, ok bool, err error)
	// After returns the rows behind a cursor in order, at most limit and about
	// size bytes of entries, but one if there is one. Linked and Chain may be
	// left out of them.
	After(cursor uint64, limit, size int) ([]Row, error)
	State() (State, error)
	Seen() ([]Seen, error)
	// Reset empties the index.
	Reset() error
}
