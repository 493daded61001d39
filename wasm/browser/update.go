//go:build js && wasm

package browser

import (
	"syscall/js"

	"portwright/wasm/app"
)

// boot is the boot script's side of the page (static/shell/boot.js); undefined
// on a page that has none.
func boot() js.Value { return global.Get("portwright") }

// Hello is the app's first call: build is the id linked into it. False means
// that the page belongs to another build and is about to be replaced, so the
// app must return at once.
func Hello(build string) bool {
	if b := boot(); callable(b, "hello") {
		return b.Call("hello", build).Truthy()
	}
	return true
}

// Ready says that the first view is on the screen.
func Ready() {
	if b := boot(); callable(b, "ready") {
		b.Call("ready")
	}
}

func (r *Runner) listenForUpdates() {
	b := boot()
	if b.Type() != js.TypeObject {
		return
	}
	b.Set("onUpdateWaiting", r.page.make(func(id js.Value) { r.put(app.UpdateWaiting{Build: text(id)}) }))
}

func takeUpdate() {
	if b := boot(); callable(b, "takeUpdate") {
		b.Call("takeUpdate")
	}
}
