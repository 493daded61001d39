// Package server is what runs on the shop PC: its domain and its errors. The
// packages below it each wrap one technology and don't know each other;
// cmd/portwright wires them together.
//
// A Keeper takes entries from phones and gives them out again. An entry goes
// into the Journal first, which is on the disk when Append returns, and then
// into the Index, from which it is read. The index can always be made again
// from the journal; where it holds more than the journal, the journal gets
// that back from it.
//
//	push:  check the runs -> Journal.Append -> Index.Put -> answer
//	start: read the journal -> compare with the index -> catch up, or rebuild
//
// An entry's cursor is its place among the journal's distinct entries, from 1.
// The epoch names one past of the store: whenever cursors that phones remember
// may stand for something else (after a restore, or when the index could not
// confirm that the journal is whole) a new epoch makes the phones pull again
// from the start, and what the store lacks they push by themselves.
package server
