//go:build js && wasm

package browser

import (
	"syscall/js"

	"portwright/engine/book"
)

// write is what one Keep stores.
type write struct {
	items  []book.Item // every one with its ID
	card   *book.Card
	drafts []draft // what was in hand when the items were kept
}

// kept is what became of a write.
type kept struct {
	entries []book.Entry
	head    head
	stale   []string // builds whose cards have to be made from all entries
}

// Keep stores the items and returns after the transaction completed with
// strict durability. An item whose ID is in the store already is not written
// again; its stored entry is returned.
func (s *Store) Keep(w write) (kept, error) {
	var k kept
	newDevice := fresh(now())
	err := s.db.write([]string{storeEntries, storeMeta, storeCards, storeDrafts}, strict, func(t *transaction) {
		byID := t.store(storeEntries).Call("index", "id")
		requests := []js.Value{t.store(storeMeta).Call("get", keyHead)}
		for _, it := range w.items {
			requests = append(requests, byID.Call("get", it.ID))
		}
		if w.card != nil {
			requests = append(requests, t.store(storeEntries).Call("index", "build").Call("count", w.card.Build))
		}
		t.then(requests, func(got []js.Value) {
			var err error
			if k, err = keepIn(t, w, got, newDevice); err != nil {
				t.giveUp(err)
			}
		})
	})
	return k, err
}

// keepIn writes, knowing the head, the items that are there and how many
// entries the card's build has.
func keepIn(t *transaction, w write, got []js.Value, newDevice string) (k kept, err error) {
	h, ok := headOf(got[0])
	if !ok {
		h = head{Device: newDevice}
	}
	known := map[string]book.Entry{}
	for i, it := range w.items {
		if v := got[1+i]; v.Type() == js.TypeObject {
			if known[it.ID], err = entryOf(v); err != nil {
				return k, err
			}
		}
	}
	rows, all, next, err := stamp(h, w.items, known, now())
	if err != nil {
		return k, err
	}
	k = kept{entries: all, head: next}
	for _, r := range rows {
		addEntry(t.store(storeEntries), r, entryKey(r.Entry.Device, r.Entry.Seq))
	}
	if len(rows) > 0 {
		putHead(t.store(storeMeta), next)
	}
	for _, d := range w.drafts {
		putDraft(t.store(storeDrafts), d)
	}
	if w.card == nil {
		k.stale = buildsOf(all)
		return k, nil
	}
	c := *w.card
	has := got[len(got)-1].Int()
	for _, r := range rows {
		if r.Entry.Build == c.Build {
			has++
		}
	}
	if c.Entries != has { // another tab wrote to this build too
		k.stale = []string{c.Build}
		c.Entries = has
	}
	putCard(t.store(storeCards), c)
	return k, nil
}
