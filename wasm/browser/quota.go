//go:build js && wasm

package browser

import (
	"syscall/js"

	"portwright/wasm/app"
)

// storageOf asks the browser what it keeps and how much it would.
func storageOf(entries int) app.Storage {
	s := app.Storage{Entries: entries}
	manager := global.Get("navigator").Get("storage")
	if !callable(manager, "persisted") {
		return s
	}
	if v, err := await(manager.Call("persisted")); err == nil {
		s.Known, s.Persisted = true, v.Type() == js.TypeBoolean && v.Bool()
	}
	if !callable(manager, "estimate") {
		return s
	}
	if v, err := await(manager.Call("estimate")); err == nil {
		const mb = 1e6
		s.UsedMB, s.QuotaMB = number(v.Get("usage"))/mb, number(v.Get("quota"))/mb
	}
	return s
}

func (r *Runner) askPersist() {
	manager := global.Get("navigator").Get("storage")
	if callable(manager, "persist") {
		_, _ = await(manager.Call("persist")) // persisted, asked below, tells the outcome
	}
	h, _ := r.store.Head()
	r.put(app.PersistAnswer{Storage: storageOf(h.Entries)})
}
