// Command stub is a small app that uses all that the boot script offers: it
// shows its build, keeps a text field as its draft, and takes a new version on
// a tap.
package main

import "syscall/js"

var build string

func main() {
	boot := js.Global().Get("portwright")
	if !boot.Call("hello", build).Bool() {
		return
	}
	document := js.Global().Get("document")
	make := func(tag, id string) js.Value {
		el := document.Call("createElement", tag)
		el.Set("id", id)
		document.Call("getElementById", "app").Call("append", el)
		return el
	}
	make("p", "build").Set("textContent", build)
	make("input", "draft")
	offline := make("p", "offline")
	bar := make("button", "update")
	bar.Set("hidden", true)
	bar.Call("addEventListener", "click", js.FuncOf(func(js.Value, []js.Value) any {
		boot.Call("takeUpdate")
		return nil
	}))
	boot.Set("onUpdateWaiting", js.FuncOf(func(_ js.Value, args []js.Value) any {
		bar.Set("hidden", false)
		bar.Set("textContent", "waiting: "+args[0].String())
		return nil
	}))
	boot.Set("onOffline", js.FuncOf(func(_ js.Value, args []js.Value) any {
		offline.Set("textContent", args[0].String())
		return nil
	}))
	boot.Call("ready")
	select {}
}
