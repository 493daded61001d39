package server

import "errors"

// ErrFull is wrapped by a Journal or an Index when the disk has no room.
var ErrFull = errors.New("the disk is full")

// Journal keeps records in order, for ever.
type Journal interface {
	// Append writes records behind the last. When it returns nil they are
	// durable; when it returns an error none of them counts, now or after the
	// next start, or the journal refuses every Append from then on.
	Append(records ...[]byte) error
	// Each calls f with each record from the first on, until f returns an
	// error. The record is f's only until it returns.
	Each(f func(record []byte) error) error
}
