// Package sync is the phone's side of the sync with the shop PC
// (server/PROTOCOL.md, "What a phone does") as a machine without clock,
// randomness, storage or network: events go in, and out comes the one thing to
// be done next. Package browser does it and brings the answer as the next
// event; the tests of package phonetest do the same in memory.
//
//	Wake -> Look -> Looked -> Read -> Rows -> Ask -> Answered -> Take -> Took ... -> Rest
//
// What the machine is told of the phone it may forget at any time: a new one
// goes on from what lies on the disk (Saved, kept in one transaction with the
// entries that it speaks of).
//
// Every entry stays on the phone and travels as the exact bytes that were
// written. What the shop PC holds is known from its answers alone, so that a
// shop PC that lost something gets it back.
//
// Shelf works out, within that transaction, what taking entries in does to
// those that are there: where one number has two entries, the phone's branch
// gets a new name.
package sync
