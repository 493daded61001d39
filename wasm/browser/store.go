//go:build js && wasm

package browser

import (
	"encoding/json"
	"errors"
	"syscall/js"
	"time"
	"unicode/utf8"

	"portwright/engine/book"
	"portwright/engine/build"
	"portwright/engine/unit"
	"portwright/server/wire"
	"portwright/wasm/app"
)

// Store is the book on this device.
type Store struct {
	db       database
	cardOf   CardOf
	settings app.Settings // as this window read or wrote them last
}

// CardOf makes the card of a build from all of its entries.
type CardOf func(build string, entries []book.Entry) (book.Card, error)

// NewStore returns the store; the database is opened at its first use.
func NewStore(cardOf CardOf) *Store { return &Store{cardOf: cardOf} }

func now() int64 { return time.Now().UnixMilli() }

const (
	keyHead     = "head"
	keySettings = "settings"
	keySync     = "sync"  // what the sync keeps, as JSON text
	keyStale    = "stale" // builds whose cards have to be made anew
)

// headOf reads the head; ok is false when there is none.
func headOf(v js.Value) (h head, ok bool) {
	if v.Type() != js.TypeObject {
		return head{}, false
	}
	return head{
		Device:  text(v.Get("device")),
		Seq:     uint64(number(v.Get("seq"))),
		Clock:   book.Clock{MS: int64(number(v.Get("ms"))), Ctr: uint32(number(v.Get("ctr")))},
		Entries: int(number(v.Get("entries"))),
		Was:     text(v.Get("was")),
	}, true
}

func putHead(meta js.Value, h head) {
	meta.Call("put", map[string]any{
		"device": h.Device, "seq": float64(h.Seq), "entries": h.Entries,
		"ms": float64(h.Clock.MS), "ctr": float64(h.Clock.Ctr), "was": h.Was,
	}, keyHead)
}

// entryKey is the key of an entry in the store.
func entryKey(device string, seq uint64) []any { return []any{device, float64(seq)} }

func addEntry(entries js.Value, r row, key []any) js.Value {
	return entries.Call("add", map[string]any{"entry": r.Text, "build": r.Entry.Build, "id": r.Entry.ID}, key)
}

// value is what is stored of the text: a string, but where another program wrote
// bytes that a JavaScript string would not hold.
func (r row) value() any {
	if utf8.ValidString(r.Text) {
		return r.Text
	}
	return arrayOf([]byte(r.Text))
}

// textOf is the text of a stored entry, byte for byte.
func textOf(v js.Value) []byte { return bytesIn(v.Get("entry")) }

// bytesIn returns the bytes of a string or of a Uint8Array.
func bytesIn(v js.Value) []byte {
	if v.Type() == js.TypeObject {
		b := make([]byte, v.Length())
		js.CopyBytesToGo(b, v)
		return b
	}
	return []byte(text(v))
}

// entryOf reads a stored entry.
func entryOf(v js.Value) (book.Entry, error) {
	e, err := book.ParseEntry(textOf(v))
	if err != nil {
		return e, unit.Errorf("stored entry %s: %v", text(v.Get("id")), err)
	}
	return e, nil
}

// entriesOf reads an array of stored entries. An entry that can't be read is
// left out and said in the error, but for one that a newer version wrote; the
// others are returned all the same.
func entriesOf(array js.Value) ([]book.Entry, error) {
	n := array.Get("length").Int()
	out := make([]book.Entry, 0, n)
	var errs []error
	for i := range n {
		e, err := entryOf(array.Index(i))
		if err != nil {
			if _, _, damaged := wire.Address(textOf(array.Index(i))); damaged == nil {
				continue
			}
			errs = append(errs, err)
			continue
		}
		out = append(out, e)
	}
	return out, errors.Join(errs...)
}

func putCard(cards js.Value, c book.Card) {
	cards.Call("put", string(build.WriteRecord(&c)), c.Build)
}

// draft is the state of the field in hand in one build.
type draft struct {
	build string
	text  json.RawMessage
}

// putDraft keeps a draft; an empty one is taken away.
func putDraft(drafts js.Value, d draft) {
	if len(d.text) == 0 || string(d.text) == "null" {
		drafts.Call("delete", d.build)
		return
	}
	drafts.Call("put", string(d.text), d.build)
}

// RefreshCards makes the cards of builds anew from all their entries.
func (s *Store) RefreshCards(builds []string) error {
	if len(builds) == 0 {
		return nil
	}
	return s.db.write([]string{storeEntries, storeCards}, relaxed, func(t *transaction) { s.foldCards(t, builds) })
}

func (s *Store) foldCards(t *transaction, builds []string) {
	index, cards := t.store(storeEntries).Call("index", "build"), t.store(storeCards)
	for _, b := range builds {
		t.then([]js.Value{index.Call("getAll", b)}, func(got []js.Value) {
			if err := s.foldCard(cards, b, got[0]); err != nil {
				t.giveUp(err)
			}
		})
	}
}

func (s *Store) foldCard(cards js.Value, build string, array js.Value) error {
	entries, err := entriesOf(array)
	if len(entries) == 0 {
		return err
	}
	card, err := s.cardOf(build, entries)
	if err != nil {
		return unit.Errorf("build %s: %v", build, err)
	}
	card.Entries = len(entries)
	putCard(cards, card)
	return nil
}
