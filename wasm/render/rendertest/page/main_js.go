//go:build js && wasm

// Command page shows one scene, named by the address after "#", and lets a test
// or a measurement work it through window.rt.
package main

import (
	"runtime"
	"strings"
	"syscall/js"
	"time"

	"portwright/wasm/render"
	"portwright/wasm/render/rendertest/scene"

	"github.com/vugu/vugu"
)

func main() {
	name := strings.TrimPrefix(js.Global().Get("location").Get("hash").String(), "#")
	root := scene.Named(name)
	if root == nil {
		js.Global().Get("console").Call("error", "no scene "+name)
		return
	}
	panics := []any{}
	r, err := render.New("#app", root, render.OnPanic(func(p render.Panic) { panics = append(panics, p.Error()) }))
	if err != nil {
		js.Global().Get("console").Call("error", err.Error())
		return
	}
	begin := time.Now()
	if err := r.Render(); err != nil {
		return // the console has it
	}
	first := time.Since(begin)

	rt := map[string]any{"firstMS": float64(first.Microseconds()) / 1000}
	method := func(name string, f func(args []js.Value) any) {
		rt[name] = js.FuncOf(func(_ js.Value, args []js.Value) any { return f(args) })
	}
	method("stats", func([]js.Value) any { return stats(r) })
	method("panics", func([]js.Value) any { return panics })
	method("render", func([]js.Value) any { r.Do(func() {}); return nil })
	method("collect", func([]js.Value) any { runtime.GC(); runtime.GC(); return nil })
	method("close", func([]js.Value) any { r.Close(); return nil })
	method("order", func(args []js.Value) any { order(r, root, args[0].String()); return nil })
	method("cycle", func(args []js.Value) any { cycle(r, root, args[0].Int()); return made(root) })
	js.Global().Set("rt", rt)
	select {}
}

func stats(r *render.Renderer) any {
	s := r.Stats()
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	return map[string]any{
		"renders": s.Renders, "nodes": s.Nodes, "handlers": s.Handlers, "code": s.Code, "text": s.Text,
		"heap": float64(m.HeapAlloc),
	}
}

// order gives scene "moves" another order of its rows.
func order(r *render.Renderer, root vugu.Builder, keys string) {
	r.Do(func() {
		m := root.(*scene.Moves)
		m.Keys = strings.Fields(keys)
	})
}

// cycle shows and hides scene "churn" n times.
func cycle(r *render.Renderer, root vugu.Builder, n int) {
	c := root.(*scene.Churn)
	for range n {
		r.Do(func() { c.On = true })
		r.Do(func() { c.On = false })
	}
}

func made(root vugu.Builder) int { return root.(*scene.Churn).Made }
