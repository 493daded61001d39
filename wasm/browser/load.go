//go:build js && wasm

package browser

import (
	"encoding/json"
	"syscall/js"

	"portwright/engine/book"
	"portwright/engine/build"
	"portwright/wasm/app"
)

// loaded is what the app needs to show the Book.
type loaded struct {
	head     head
	cards    []book.Card
	settings app.Settings
}

// Open opens the database and says why it can't be opened.
func (s *Store) Open() error {
	_, err := s.db.connected()
	return err
}

// LoadBook reads the cards and settings; no entry is read. A device that is
// new gets its ID. A head that lags behind its own entries is mended, since it
// would make every further write fail.
func (s *Store) LoadBook() (loaded, error) {
	var l loaded
	var found, stale bool
	var last js.Value
	var settings string
	err := s.db.read([]string{storeEntries, storeMeta}, func(t *transaction) {
		meta := t.store(storeMeta)
		t.then([]js.Value{meta.Call("get", keyHead), meta.Call("get", keySettings), meta.Call("get", keyStale)}, func(got []js.Value) {
			l.head, found = headOf(got[0])
			settings, stale = text(got[1]), len(staleOf(got[2])) > 0
			t.then([]js.Value{lastOf(t, l.head.Device)}, func(got []js.Value) { last = got[0] })
		})
	})
	if err != nil {
		return l, err
	}
	if !found || lastSeq(last) > l.head.Seq {
		if l.head, err = s.mendHead(); err != nil {
			return l, err
		}
	}
	l.settings = settingsOf(settings)
	s.settings = l.settings
	if stale {
		_ = s.RefreshStale() // the cards as they were are better than none
	}
	l.cards, err = s.loadCards()
	return l, err
}

// loadCards reads every card. Cards that this version can't read are made
// anew from the entries.
func (s *Store) loadCards() ([]book.Card, error) {
	for mended := false; ; mended = true {
		var list string
		var keys js.Value
		err := s.db.read([]string{storeCards}, func(t *transaction) {
			store := t.store(storeCards)
			t.then([]js.Value{store.Call("getAll"), store.Call("getAllKeys")}, func(got []js.Value) {
				// One string of all cards crosses into Go once.
				list, keys = "["+got[0].Call("join", ",").String()+"]", got[1]
			})
		})
		if err != nil {
			return nil, err
		}
		var cards []book.Card
		err = build.ReadRecords(json.RawMessage(list), func() build.Record {
			cards = append(cards, book.Card{})
			return &cards[len(cards)-1]
		})
		if err == nil || mended {
			return cards, err
		}
		if err := s.RefreshCards(texts(keys)); err != nil {
			return nil, err
		}
	}
}

// texts returns an array of strings.
func texts(array js.Value) []string {
	out := make([]string, array.Get("length").Int())
	for i := range out {
		out[i] = text(array.Index(i))
	}
	return out
}

// lastOf asks for the last key of a device's entries.
func lastOf(t *transaction, device string) js.Value {
	all := global.Get("IDBKeyRange").Call("bound", entryKey(device, 0), []any{device, maxSafe})
	return t.store(storeEntries).Call("openKeyCursor", all, "prev")
}

const maxSafe = 1<<53 - 1 // JavaScript's largest exact whole number

func lastSeq(cursor js.Value) uint64 {
	if cursor.Type() != js.TypeObject {
		return 0
	}
	return uint64(number(cursor.Get("key").Index(1)))
}

// mendHead makes the head agree with the entries, or makes a new one.
func (s *Store) mendHead() (head, error) {
	var h head
	newDevice := fresh(now())
	err := s.db.write([]string{storeEntries, storeMeta}, strict, func(t *transaction) {
		requests := []js.Value{t.store(storeMeta).Call("get", keyHead), t.store(storeEntries).Call("count")}
		t.then(requests, func(got []js.Value) {
			var ok bool
			if h, ok = headOf(got[0]); !ok {
				h = head{Device: newDevice}
			}
			h.Entries = got[1].Int()
			t.then([]js.Value{lastOf(t, h.Device)}, func(got []js.Value) {
				h.Seq = max(h.Seq, lastSeq(got[0]))
				putHead(t.store(storeMeta), h)
			})
		})
	})
	return h, err
}

// LoadBuild reads every entry of a build, and its draft.
func (s *Store) LoadBuild(build string) (entries []book.Entry, draft json.RawMessage, err error) {
	var damaged error
	err = s.db.read([]string{storeEntries, storeDrafts}, func(t *transaction) {
		requests := []js.Value{
			t.store(storeEntries).Call("index", "build").Call("getAll", build),
			t.store(storeDrafts).Call("get", build),
		}
		t.then(requests, func(got []js.Value) {
			entries, damaged = entriesOf(got[0])
			draft = nil
			if d := text(got[1]); d != "" {
				draft = json.RawMessage(d)
			}
		})
	})
	if err == nil {
		err = damaged
	}
	return entries, draft, err
}

// Texts returns every entry as it lies there, in the order of device and
// sequence. size bounds one transaction.
func (s *Store) Texts(size int) (all [][]byte, err error) {
	after := js.Null()
	for {
		var batch [][]byte
		var n int
		var lastKey js.Value
		err := s.db.read([]string{storeEntries}, func(t *transaction) {
			store := t.store(storeEntries)
			requests := []js.Value{store.Call("getAll", after, size), store.Call("getAllKeys", after, size)}
			t.then(requests, func(got []js.Value) {
				batch = nil
				if n = got[1].Get("length").Int(); n > 0 {
					lastKey = got[1].Index(n - 1)
				}
				for i := range n {
					batch = append(batch, textOf(got[0].Index(i)))
				}
			})
		})
		if err != nil {
			return nil, err
		}
		all = append(all, batch...)
		if n < size {
			return all, nil
		}
		after = global.Get("IDBKeyRange").Call("lowerBound", lastKey, true)
	}
}

// KeepSettings stores this device's settings.
func (s *Store) KeepSettings(set app.Settings) error {
	return s.db.write([]string{storeMeta}, relaxed, func(tx *transaction) {
		meta := tx.store(storeMeta)
		tx.then([]js.Value{meta.Call("get", keySettings)}, func(got []js.Value) {
			next := mergeSettings(set, s.settings, settingsOf(text(got[0])))
			meta.Call("put", string(build.WriteRecord(&next)), keySettings)
			s.settings = next
		})
	})
}

// settingsOf reads settings; those of a version that meant something else are
// forgotten.
func settingsOf(text string) (set app.Settings) {
	if text != "" && build.ReadRecord(json.RawMessage(text), &set) != nil {
		return app.Settings{}
	}
	return set
}

// KeepDraft stores a draft, or takes it away when it is empty.
func (s *Store) KeepDraft(d draft) error {
	return s.db.write([]string{storeDrafts}, relaxed, func(t *transaction) {
		putDraft(t.store(storeDrafts), d)
	})
}

// Head reads the head.
func (s *Store) Head() (h head, err error) {
	err = s.db.read([]string{storeMeta}, func(t *transaction) {
		t.then([]js.Value{t.store(storeMeta).Call("get", keyHead)}, func(got []js.Value) { h, _ = headOf(got[0]) })
	})
	return h, err
}
