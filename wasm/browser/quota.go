//go:build js && wasm

package browser

import (
	"syscall/js"
	"time"

	"portwright/wasm/app"
)

// quotaPatience bounds the wait for numbers that are only shown.
const quotaPatience = 2 * time.Second

// storageOf asks the browser what it keeps and how much it would.
func storageOf() app.Storage {
	got := make(chan app.Storage, 1)
	go func() {
		defer crashed()
		got <- askStorage()
	}()
	patience := time.NewTimer(quotaPatience)
	defer patience.Stop()
	select {
	case s := <-got:
		return s
	case <-patience.C:
		return app.Storage{}
	}
}

func askStorage() (s app.Storage) {
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
	s := storageOf()
	if h, err := r.store.Head(); err == nil {
		s.Entries = h.Entries
	}
	r.put(app.PersistAnswer{Storage: s})
}
