//go:build js && wasm

package browser

import (
	"encoding/json"
	"slices"
	"syscall/js"

	"portwright/engine/book"
	"portwright/engine/build"
	"portwright/wasm/sync"
)

// intake is what one transaction takes in from elsewhere.
type intake struct {
	entries [][]byte
	branch  *sync.Row   // in place of entries: what gets another name
	file    bool        // they are of a book file
	saved   *sync.Saved // kept with them; nil: what is there stays
	was     string      // that saved takes the place of
}

// taken is what became of it.
type taken struct {
	fresh, known, differ int
	renames              []sync.Rename
	head                 head
	saved                string
	builds               []string
}

// errChanged says that another window kept something else meanwhile.
var errChanged = &Failure{Name: nameChanged, Message: "another window synced"}

// TakeIn brings entries of other devices into the book, and what the sync knows
// with them, in one transaction with strict durability.
func (s *Store) TakeIn(in intake) (out taken, err error) {
	newDevice := fresh(now())
	err = s.db.write([]string{storeEntries, storeMeta}, strict, func(t *transaction) {
		var same func(a, b []byte) bool
		if in.file {
			same = func(a, b []byte) bool { return idOf(a) == idOf(b) }
		}
		w := &takingIn{transaction: t, in: &in, shelf: sync.NewShelf(same), newDevice: newDevice, out: &out}
		out = taken{}
		meta := t.store(storeMeta)
		t.then([]js.Value{meta.Call("get", keyHead), meta.Call("get", keySync), meta.Call("get", keyStale)}, func(got []js.Value) {
			var ok bool
			if w.head, ok = headOf(got[0]); !ok {
				w.head = head{Device: newDevice}
			}
			w.saved, w.stale = text(got[1]), got[2]
			if in.saved != nil && w.saved != in.was {
				t.giveUp(errChanged)
				return
			}
			w.look()
		})
	})
	return out, err
}

// takingIn is such a transaction.
type takingIn struct {
	*transaction
	in        *intake
	shelf     *sync.Shelf
	head      head
	saved     string
	stale     js.Value
	newDevice string
	rows      []book.Entry
	out       *taken
}

// look reads what the shelf asks for until it knows what to do.
func (w *takingIn) look() {
	var need []sync.Range
	if w.in.branch != nil {
		need = w.shelf.Branch(w.in.branch)
	} else {
		need = w.shelf.Take(w.in.entries)
	}
	switch {
	case w.shelf.Err != nil:
		w.giveUp(w.shelf.Err)
	case len(need) == 0:
		w.apply()
	default:
		w.transaction.rows(need, func(rows []sync.Row) {
			for _, r := range need {
				n := 0
				for n < len(rows) && rows[n].Device == r.Device && rows[n].Seq <= r.To {
					n++
				}
				w.shelf.Saw(r, rows[:n])
				rows = rows[n:]
			}
			w.look()
		})
	}
}

// apply writes what changes.
func (w *takingIn) apply() {
	gone, rows := w.shelf.Changes()
	w.head.Entries += len(rows) - len(gone)
	own := w.head.Device
	for _, r := range w.shelf.Renames {
		if r.Device == own {
			own = r.Name
		}
	}
	touched := own != w.head.Device
	var away, added []any
	for i := range gone {
		away = append(away, gone[i].Device, float64(gone[i].Seq))
		touched = touched || gone[i].Device == own
	}
	for i := range rows {
		r := rowOfText(rows[i].Text)
		w.rows = append(w.rows, r.Entry)
		added = append(added, r.Entry.Device, float64(r.Entry.Seq), r.value(), r.Entry.Build, r.Entry.ID)
		touched = touched || r.Entry.Device == own
	}
	w.js("change", func(js.Value) {
		if touched {
			w.js("own", func(found js.Value) { w.own(own, uint64(number(found.Index(0))), uint64(number(found.Index(1)))) }, own)
			return
		}
		w.finish()
	}, away, added)
}

// own sees to the device's own name: a branch of its own goes on under the new
// one, and so does a line that has a gap now, behind which nothing could be given
// to the shop PC.
func (w *takingIn) own(device string, last, count uint64) {
	switch {
	case count != last:
		w.head = w.head.renamed(w.newDevice, 0)
	case device != w.head.Device:
		w.head = w.head.renamed(device, last)
	default:
		w.head.Seq = last
	}
	w.finish()
}

// finish keeps the head, what the sync knows, and which cards are to be made.
func (w *takingIn) finish() {
	w.head = w.head.seen(w.rows, now())
	meta := w.store(storeMeta)
	putHead(meta, w.head)
	if saved := w.keep(); saved != w.saved {
		meta.Call("put", saved, keySync)
		w.saved = saved
	}
	builds := slices.DeleteFunc(buildsOf(w.rows), func(b string) bool { return b == "" })
	if !w.in.file && len(builds) > 0 {
		stale := distinct(append(staleOf(w.stale), builds...), func(b string) string { return b })
		meta.Call("put", anyOf(stale), keyStale)
	}
	s := w.shelf
	*w.out = taken{fresh: s.Fresh, known: s.Known, differ: s.Differ, renames: s.Renames, head: w.head, saved: w.saved, builds: builds}
}

// keep is what the sync knows from now on.
func (w *takingIn) keep() string {
	s := w.in.saved
	switch {
	case s != nil:
	case len(w.shelf.Renames) == 0:
		return w.saved
	default:
		s = &sync.Saved{}
		savedOf(w.saved, s)
	}
	s.Renamed(w.shelf.Renames)
	return string(build.WriteRecord(s))
}

// savedOf reads what the sync kept; what can't be read is found out again.
func savedOf(text string, to *sync.Saved) {
	if text != "" && build.ReadRecord(json.RawMessage(text), to) != nil {
		*to = sync.Saved{}
	}
}

func staleOf(v js.Value) []string {
	if v.Type() != js.TypeObject {
		return nil
	}
	return texts(v)
}

func anyOf(list []string) []any {
	out := make([]any, len(list))
	for i, s := range list {
		out[i] = s
	}
	return out
}

// RefreshStale makes the cards anew that entries from elsewhere have changed.
func (s *Store) RefreshStale() error {
	const batch = 50
	for more := true; more; {
		err := s.db.write([]string{storeEntries, storeCards, storeMeta}, relaxed, func(t *transaction) {
			more = false
			meta := t.store(storeMeta)
			t.then([]js.Value{meta.Call("get", keyStale)}, func(got []js.Value) {
				stale := staleOf(got[0])
				if len(stale) == 0 {
					return
				}
				n := min(batch, len(stale))
				more = n < len(stale)
				meta.Call("put", anyOf(stale[n:]), keyStale)
				s.foldCards(t, stale[:n])
			})
		})
		if err != nil {
			return err
		}
	}
	return nil
}
