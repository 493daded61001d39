//go:build js && wasm

package browser

import (
	"encoding/json"
	"slices"
	"syscall/js"

	"portwright/engine/book"
	"portwright/engine/build"
)

const (
	unsavedKey = "portwright-unsaved"
	damagedKey = "portwright-unsaved-damaged" // what once stood there and could not be read
)

// aside is localStorage: small, written at once, and a different place from the
// database. Where it can't be used, nothing is stored and nothing is found.
type aside struct{}

const markerKey = "portwright-marker"

func (aside) do(f func(storage js.Value)) error {
	return try(func() {
		if s := global.Get("localStorage"); s.Truthy() {
			f(s)
		}
	})
}

// keep copies items that the database would not take.
func (a aside) keep(items []book.Item) {
	a.change(func(waiting []book.Item) []book.Item { return withItems(waiting, items) })
}

// clear takes the copies away after the items were kept.
func (a aside) clear(kept []book.Entry) {
	a.change(func(waiting []book.Item) []book.Item { return withoutKept(waiting, kept) })
}

// forget takes the copies of items away that the person gave up.
func (a aside) forget(ids []string) {
	a.change(func(waiting []book.Item) []book.Item {
		return slices.DeleteFunc(waiting, func(w book.Item) bool { return slices.Contains(ids, w.ID) })
	})
}

func (a aside) change(f func([]book.Item) []book.Item) {
	was := a.waiting()
	is := f(slices.Clone(was))
	if len(was) == len(is) {
		return
	}
	list := unsavedText(is)
	_ = a.do(func(s js.Value) {
		if list == "" {
			s.Call("removeItem", unsavedKey)
			return
		}
		s.Call("setItem", unsavedKey, list)
	})
}

// waiting returns the copies. What can't be read is put out of the way, but
// kept for a person to look at.
func (a aside) waiting() (items []book.Item) {
	_ = a.do(func(s js.Value) {
		stored := text(s.Call("getItem", unsavedKey))
		var err error
		if items, err = unsavedItems(stored); err != nil {
			s.Call("setItem", damagedKey, stored)
			s.Call("removeItem", unsavedKey)
		}
	})
	return items
}

// marker says which device's book this browser holds, so that a book that the
// browser threw away is missed.
type marker struct {
	Device  string `json:"device"`
	Entries int    `json:"entries"`
}

func (m *marker) Fields(f *build.Form) {
	f.Text("device", &m.Device)
	f.Whole("entries", &m.Entries)
}

func (a aside) mark(m marker) {
	if m.Device == "" {
		return
	}
	v := build.WriteRecord(&m)
	_ = a.do(func(s js.Value) { s.Call("setItem", markerKey, string(v)) })
}

func (a aside) marked() (m marker) {
	_ = a.do(func(s js.Value) { _ = build.ReadRecord(json.RawMessage(text(s.Call("getItem", markerKey))), &m) })
	return m
}
