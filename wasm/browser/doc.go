// Package browser carries out the app's effects and answers with its
// messages: IndexedDB, files, the address, the keyboard, the wake lock, the
// service worker. With the renderer it is the only place where JavaScript is
// called.
//
// # The book's database
//
// Name "portwright", version 1 for ever: versions live inside the values, so
// that an older build of the app can still open the store. Stores:
//
//	entries  key [device, seq]; value {entry, build, id}: entry is the exact JSON
//	         text; index "build" on build, unique index "id" on id. An entry whose
//	         ID another one has under another device's name (a branch) has no id
//	meta     key "head": {device, seq, ms, ctr, entries, was}, this device's ID, the
//	         last sequence number and clock it used, how many entries the store
//	         holds, and the IDs it had before; key "settings": JSON text; key
//	         "sync": JSON text of sync.Saved; key "stale": builds whose cards the
//	         entries that came in have not reached yet
//	cards    key build; value the card's JSON text
//	drafts   key build; value the draft's JSON text
//
// # What a write promises
//
// One transaction with strict durability takes the sequence number and the
// clock from the head, writes the entries, the head, the card and a draft that
// waits to be written.
// Nothing is waited for inside it but its own requests. An answer is given only
// after its complete event. Every item has its ID before the first attempt and
// is looked up by it, so that the same write can be tried any number of times,
// from any tab, and is stored once.
//
// A write that failed twice is copied to localStorage ("portwright-unsaved")
// and tried again when the app starts or the page comes to the front.
// localStorage also holds a marker ("portwright-marker"): a marker without a
// head in the database means that the browser threw the book away.
//
// # The sync
//
// The machine of package sync says what is to be done; this package looks,
// reads, asks and takes in, one round at a time and, by a Web Lock, in one of the
// browser's windows at a time. What comes in, and how far it goes, is one strict
// transaction, a branch's new name included. A window that finds that another
// one has written there meanwhile begins again.
package browser
