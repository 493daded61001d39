//go:build js && wasm

package browser

import (
	"slices"
	"sort"
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
	differ int // an altered copy of one that is here, which stays
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
	sorted := slices.Clone(entries)
	sort.SliceStable(sorted, func(i, j int) bool {
		a, b := &sorted[i], &sorted[j]
		return a.Device < b.Device || a.Device == b.Device && a.Seq < b.Seq
	})
	for len(sorted) > 0 {
		batch := sorted[:min(mergeBatch, len(sorted))]
		sorted = sorted[len(batch):]
		in := intake{file: true}
		for _, e := range batch {
			in.entries = append(in.entries, book.AppendEntry(nil, e))
		}
		got, err := s.TakeIn(in)
		if err != nil {
			return sum, h, err
		}
		h = got.head
		sum.fresh += got.fresh
		sum.known += got.known
		sum.differ += got.differ
	}
	return sum, h, s.mergeCards(entries, cards)
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
