//go:build js && wasm

// Command fault is an app whose model can't take its first message.
package main

import (
	"syscall/js"
	"time"

	"portwright/wasm/app"
	"portwright/wasm/browser"
)

var build string

func main() {
	js.Global().Get("portwright").Call("hello", build)
	loop := browser.NewLoop(nil)
	loop.Fresh, loop.Crash, loop.Crashed = browser.Fresh, browser.Crash, browser.Crashed
	loop.Put(app.Navigated{})
	loop.Live(func(turn func()) { turn() }, func(*app.Model) {})
	time.Sleep(time.Hour)
}
