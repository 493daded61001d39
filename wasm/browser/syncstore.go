//go:build js && wasm

package browser

import (
	"syscall/js"

	"portwright/wasm/sync"
)

// script is browser.js, which the page has loaded.
func script() js.Value { return global.Get("portwrightSync") }

// js runs a function of browser.js within the transaction, and do with what it
// calls done with.
func (t *transaction) js(name string, do func(result js.Value), args ...any) {
	all := append([]any{t.tx}, args...)
	all = append(all, t.own.make(func(result js.Value) { t.guard(func() { do(result) }) }))
	script().Call(name, all...)
}

// Look says what lies on the device, and the text of what the sync kept. Only
// keys are read.
func (s *Store) Look() (l *sync.Looked, saved string, err error) {
	err = s.db.read([]string{storeEntries, storeMeta}, func(t *transaction) {
		l = &sync.Looked{}
		meta := t.store(storeMeta)
		t.then([]js.Value{meta.Call("get", keyHead), meta.Call("get", keySync)}, func(got []js.Value) {
			h, _ := headOf(got[0])
			saved = text(got[1])
			l.Device, l.Entries = h.Device, h.Entries
			savedOf(saved, &l.Saved)
		})
		t.js("held", func(all js.Value) {
			for i := 0; i < all.Length(); i += 3 {
				l.Held = append(l.Held, sync.Held{Device: text(all.Index(i)), Last: uint64(number(all.Index(i + 1))), Count: all.Index(i + 2).Int()})
			}
		})
	})
	return l, saved, err
}

// Rows reads entries, range by range.
func (s *Store) Rows(ranges []sync.Range) (rows []sync.Row, err error) {
	err = s.db.read([]string{storeEntries}, func(t *transaction) {
		t.rows(ranges, func(got []sync.Row) { rows = got })
	})
	return rows, err
}

// rows reads the entries of ranges and runs do with them.
func (t *transaction) rows(ranges []sync.Range, do func([]sync.Row)) {
	var spans []any
	for _, r := range ranges {
		spans = append(spans, r.Device, float64(r.From), float64(r.To))
	}
	t.js("rows", func(all js.Value) {
		var rows []sync.Row
		for i := 0; i < all.Length(); i += 3 {
			rows = append(rows, sync.Row{Device: text(all.Index(i)), Seq: uint64(number(all.Index(i + 1))), Text: bytesIn(all.Index(i + 2))})
		}
		do(rows)
	}, spans)
}
