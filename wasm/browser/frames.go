//go:build js && wasm

package browser

import (
	"runtime"
	"syscall/js"
	"time"

	"portwright/wasm/app"
)

// frames asks for one frame after the other while that is wanted. A hidden page
// is shown none.
type frames struct {
	on, waiting, calm bool
	hear              js.Func
}

// turnFrames starts and stops the ticks.
func (r *Runner) turnFrames(on bool) {
	f := &r.frames
	f.on = on
	if f.hear.IsUndefined() {
		f.hear = r.page.make(func(at js.Value) {
			f.waiting = false
			if f.on {
				f.next()
				r.put(app.Tick{MS: number(at), Calm: f.calm})
			}
		})
	}
	if on && !f.waiting {
		f.calm = global.Call("matchMedia", "(prefers-reduced-motion: reduce)").Get("matches").Truthy()
		f.next()
	}
}

func (f *frames) next() {
	f.waiting = true
	if f.calm {
		global.Call("setTimeout", f.hear, app.CalmMS)
		return
	}
	global.Call("requestAnimationFrame", f.hear)
}

// tidy waits until the frame in hand is shown. The collector stops the page for
// as long as it takes: all of a WebAssembly runs on one thread.
func tidy() {
	time.Sleep(100 * time.Millisecond)
	runtime.GC()
}
