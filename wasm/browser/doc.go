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
//	entries  key [device, seq], or [device, seq, id] for a further entry that
//	         claims the same number; value {entry, build, id}: entry is the exact
//	         JSON text; index "build" on build, unique index "id" on id
//	meta     key "head": {device, seq, ms, ctr, entries}, this device's ID, the
//	         last sequence number and clock it used, and how many entries the
//	         store holds; key "settings": JSON text
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
package browser
