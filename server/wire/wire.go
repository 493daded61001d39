// Package wire is what phone and shop PC say to each other. server/PROTOCOL.md
// describes every message; both ends use these types.
//
// An entry travels as the exact bytes that were stored when it was written; of
// what stands in it only "device" and "seq" are read here (Address).
// The chain of a device is a hash over its entries in order:
//
//	chain(0) = 32 zero bytes
//	chain(n) = SHA-256(chain(n-1) || bytes of entry n)
//
// so that two ends with the same sequence number and chain hold the same
// entries, and a copied or restored phone is noticed at the first entry that
// differs.
package wire

import "encoding/json"

// Schema is the version of the entries' meaning that this build writes.
// Entries of a newer one are stored and passed on as they came.
const Schema = 1

// Bounds of one batch.
const (
	MaxEntries    = 500
	MaxBatchBytes = 1 << 20   // after decompression
	MaxEntryBytes = 256 << 10 // one entry
	MaxRuns       = 64
)

// Push sends what the shop PC lacks; without runs it asks how things stand,
// which makes a sync with nothing to do one request. POST /api/v1/push.
type Push struct {
	Device string `json:"device"` // who sends
	App    string `json:"app"`    // build of the app that sends
	Schema int    `json:"schema"`
	Epoch  string `json:"epoch"` // of the last answer, "" when there was none
	NowMS  int64  `json:"now_ms"`
	Runs   []Run  `json:"runs,omitempty"`
}

// Run is entries of one device with contiguous sequence numbers. A phone sends
// its own, and those of others that the shop PC has lost. A run without
// entries asks whether both ends agree up to From-1.
type Run struct {
	Device  string            `json:"device"`
	From    uint64            `json:"from"`   // sequence number of the first entry
	Before  string            `json:"before"` // hex of chain(From-1)
	Entries []json.RawMessage `json:"entries"`
}

// Tip is how far a device's entries go without a gap.
type Tip struct {
	Seq   uint64 `json:"seq"`
	Chain string `json:"chain"` // hex of chain(Seq)
}

// Have says what the shop PC holds, per device. It drives the next push.
type Have map[string]Tip

// PushAnswer follows the disk: what Have names is durable.
type PushAnswer struct {
	Epoch    string    `json:"epoch"`
	Have     Have      `json:"have"`
	Head     uint64    `json:"head"`           // cursor of the newest entry
	Mark     string    `json:"mark,omitempty"` // of the entry at Head: epoch, head and mark equal to the phone's, there is nothing to pull
	Taken    int       `json:"taken"`          // entries that were new
	Known    int       `json:"known"`          // entries that were here already
	Refused  []Refusal `json:"refused,omitempty"`
	ServerMS int64     `json:"server_ms"`
	App      string    `json:"app"`              // build of the app that the shop PC serves
	Places   string    `json:"places,omitempty"` // where else it is asked, separated by spaces: https://shop-pc.local:8443

	Names map[string]string `json:"names,omitempty"` // by device of Have: what a person called it when it was paired
}

// Refusal says why a run, or the rest of it, was not taken.
type Refusal struct {
	Device  string `json:"device"`
	Seq     uint64 `json:"seq"` // first entry that was not taken
	Code    string `json:"code"`
	Message string `json:"message"`
}

// PullAnswer is a batch of entries that came after a cursor, in the order in
// which the shop PC took them. GET /api/v1/pull?epoch=&cursor=&mark=&limit=
type PullAnswer struct {
	Epoch    string            `json:"epoch"`
	Reset    bool              `json:"reset,omitempty"` // the cursor is of another past: start again from 0
	Entries  []json.RawMessage `json:"entries,omitempty"`
	Next     uint64            `json:"next"`
	Mark     string            `json:"mark,omitempty"` // of the entry at Next
	More     bool              `json:"more"`
	ServerMS int64             `json:"server_ms"`
}

// HaveAnswer is how things stand, for a person and for tests. GET /api/v1/have
type HaveAnswer struct {
	Epoch    string `json:"epoch"`
	Have     Have   `json:"have"`
	Head     uint64 `json:"head"`
	Entries  uint64 `json:"entries"`
	Digest   string `json:"digest"` // hex of SHA-256 over the tips in order of device
	ServerMS int64  `json:"server_ms"`
}
