//go:build js && wasm

package browser

import (
	"syscall/js"

	"portwright/engine/unit"
	"portwright/wasm/trace"
)

// crashed, deferred, turns a fault of the app itself into a plain message.
func crashed() {
	if r := recover(); r != nil {
		Crash(r)
	}
}

const crashID = "crashed"

// Crashed says that the message of Crash is on the screen.
func Crashed() bool { return document.Call("getElementById", crashID).Truthy() }

// Crash shows a plain message in place of everything else. The cause goes to
// the console only, with the build whose names of functions go with the trace
// (go run ./cmd/dev names). What was kept is in the database and is not touched; the
// app takes no further input.
func Crash(cause any) {
	global.Get("console").Call("error", unit.Sprintf("%v\nbuild %s\n%s", cause, buildOfPage(), trace.Stack()))
	if Crashed() {
		return
	}
	_ = try(Ready) // the message is what there is to see
	box := document.Call("createElement", "main")
	box.Set("id", crashID)
	box.Set("className", "page")
	said := element("div", "")
	said.Call("setAttribute", "role", "alert")
	said.Call("append",
		element("h1", "The app has stopped"),
		element("p", "It met a fault of its own and does not go on, so that nothing wrong is kept. Every reading that had its tick is kept; a value still being typed may have to be typed again."),
		element("p", "Open the app again. If it stops at the same place, save the book to a file from the repair page."))
	box.Call("append", said, link("Open the app again", "/"), link("Repair page", "/repair#stopped"))
	document.Get("body").Call("replaceChildren", box)
}

func buildOfPage() string {
	if boot := global.Get("portwright"); boot.Truthy() {
		return boot.Get("build").String()
	}
	return "unknown"
}

func element(name, words string) js.Value {
	el := document.Call("createElement", name)
	el.Set("textContent", words)
	return el
}

func link(words, to string) js.Value {
	a := element("a", words)
	a.Set("href", to)
	a.Set("className", "button")
	return a
}
