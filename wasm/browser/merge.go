//go:build js && wasm

package browser

import (
	"syscall/js"

	"portwright/engine/book"
)

// mergeBatch bounds one transaction of a merge, so that a phone neither runs
// out of memory nor lets a Keep wait for long.
const mergeBatch = 500

// tally counts what became of the entries of another book.
type tally struct {
	fresh  int // new here
	known  int // here already, the same in every byte
	differ int // the ID is taken by another entry, which stays
}

// Merge adds entries of another book: the union of both. An entry that is here
// already is never touched. Cards are those of the other book; a build that has
// more entries here gets its card from all of them.
func (s *Store) Merge(entries []book.Entry, cards []book.Card) (sum tally, h head, err error) {
	for _, e := range entries {
		if err := book.Validate(e); err != nil {
			return sum, h, err
		}
	}
	for rest := entries; len(rest) > 0; {
		n := min(mergeBatch, len(rest))
		got, after, err := s.mergeBatch(rest[:n])
		if err != nil {
			return sum, h, err
		}
		h = after
		sum.fresh += got.fresh
		sum.known += got.known
		sum.differ += got.differ
		rest = rest[n:]
	}
	return sum, h, s.mergeCards(entries, cards)
}

func (s *Store) mergeBatch(entries []book.Entry) (sum tally, after head, err error) {
	newDevice := fresh(now())
	err = s.db.write([]string{storeEntries, storeMeta}, strict, func(t *transaction) {
		sum = tally{}
		meta := t.store(storeMeta)
		t.then([]js.Value{meta.Call("get", keyHead)}, func(got []js.Value) {
			h, ok := headOf(got[0])
			if !ok {
				h = head{Device: newDevice}
			}
			t.addAll(entries, &sum, func() {
				after = h.seen(entries, sum.fresh, now())
				putHead(meta, after)
			})
		})
	})
	return sum, after, err
}

// addAll adds every entry that is not there, counts the others, and runs done
// in the callback of the last request.
func (t *transaction) addAll(entries []book.Entry, sum *tally, done func()) {
	left := len(entries)
	for _, e := range entries {
		t.addUnder(entryKey(e.Device, e.Seq), rowOf(e), sum, func() {
			if left--; left == 0 {
				done()
			}
		})
	}
}

// addUnder adds an entry under a key. Where only the device's sequence number
// is taken (a fork), it goes under a key of its own.
func (t *transaction) addUnder(key []any, r row, sum *tally, done func()) {
	t.add(r, key, func(free bool) {
		if free {
			sum.fresh++
			done()
			return
		}
		byID := t.store(storeEntries).Call("index", "id").Call("get", r.Entry.ID)
		t.then([]js.Value{byID}, func(got []js.Value) {
			switch v := got[0]; {
			case v.Type() != js.TypeObject:
				t.addUnder(append(entryKey(r.Entry.Device, r.Entry.Seq), r.Entry.ID), r, sum, done)
				return
			case text(v.Get("entry")) == r.Text:
				sum.known++
			default:
				sum.differ++
			}
			done()
		})
	})
}

// add adds an entry under a key and says whether key and ID were free.
func (t *transaction) add(r row, key []any, then func(free bool)) {
	req := addEntry(t.store(storeEntries), r, key)
	t.own.on(req, "success", func(js.Value) { t.guard(func() { then(true) }) })
	t.own.on(req, "error", func(ev js.Value) {
		if text(req.Get("error").Get("name")) != "ConstraintError" {
			return
		}
		ev.Call("preventDefault") // a taken key is no reason to give up
		ev.Call("stopPropagation")
		t.guard(func() { then(false) })
	})
}

// mergeCards puts the cards of the builds that the entries belong to.
func (s *Store) mergeCards(entries []book.Entry, cards []book.Card) error {
	const batch = 50
	given := map[string]book.Card{}
	for _, c := range cards {
		given[c.Build] = c
	}
	ids := map[string]map[string]bool{}
	var builds []string
	for _, e := range entries {
		if ids[e.Build] == nil {
			ids[e.Build] = map[string]bool{}
			builds = append(builds, e.Build)
		}
		ids[e.Build][e.ID] = true
	}
	for len(builds) > 0 {
		n := min(batch, len(builds))
		if err := s.putCards(builds[:n], given, func(b string) int { return len(ids[b]) }); err != nil {
			return err
		}
		builds = builds[n:]
	}
	return nil
}

// putCards takes the given card where it counts all the entries that the build
// has here, else makes one from them.
func (s *Store) putCards(builds []string, given map[string]book.Card, counted func(string) int) error {
	return s.db.write([]string{storeEntries, storeCards}, relaxed, func(t *transaction) {
		index, store := t.store(storeEntries).Call("index", "build"), t.store(storeCards)
		for _, b := range builds {
			t.then([]js.Value{index.Call("count", b)}, func(got []js.Value) {
				if c, ok := given[b]; ok && got[0].Int() == counted(b) {
					c.Entries = counted(b)
					putCard(store, c)
					return
				}
				t.then([]js.Value{index.Call("getAll", b)}, func(got []js.Value) {
					if err := s.foldCard(store, b, got[0]); err != nil {
						t.giveUp(err)
					}
				})
			})
		}
	})
}
