//go:build js && wasm

// Command wasm is the phone app: it puts model, view, renderer and browser
// together.
package main

import (
	"runtime/debug"

	"portwright/wasm/app"
	"portwright/wasm/browser"
	"portwright/wasm/render"
	"portwright/wasm/ui"
	"portwright/wasm/view"
)

// build is the ID of this build of the app, linked in. Page, app and service
// worker compare theirs, so that parts of two versions never run together.
var build string

// memoryLimit makes the collector work harder before a phone runs out of
// memory; the heap of a WebAssembly grows and never shrinks.
const memoryLimit = 64 << 20 // bytes

func main() {
	if !browser.Hello(build) {
		return // the boot script replaces this page
	}
	debug.SetMemoryLimit(memoryLimit)

	loop := browser.NewLoop(app.New())
	runner := browser.NewRunner(loop.Put, app.CardOf)
	loop.Fresh, loop.Run = browser.Fresh, runner.Run
	loop.Crash, loop.Crashed = browser.Crash, browser.Crashed
	loop.Put(app.Started{Hash: browser.Hash()})
	loop.Open()

	root := &ui.Root{Send: loop.Put}
	renderer, err := render.New("#app", root,
		render.OnRendered(loop.Rendered),
		render.OnPanic(func(p render.Panic) { loop.Stop(p) }))
	if err != nil {
		loop.Stop(err)
		select {}
	}
	loop.Live(renderer.Do, func(m *app.Model) {
		root.Screen = view.Of(m)
		runner.TakeKeys(m.Station == app.AtBench)
	})
	browser.Ready()
	select {} // the app lives as long as its page
}
