//go:build js && wasm

package browser

import (
	"syscall/js"

	"portwright/wasm/app"
)

// keys hears the keyboard while no native field has the focus.
type keys struct {
	taken     bool  // the station in hand answers to keys
	byPointer bool  // the focus was last moved by a tap or the mouse
	at        int64 // when a key or the page was last pressed, ms
}

// TakeKeys says whether the station in hand answers to keys; then the browser
// itself does not (no scrolling by arrows, no going back by Backspace).
func (r *Runner) TakeKeys(on bool) { r.keys.taken = on }

func (r *Runner) listenToKeys() {
	r.page.on(global, "pointerdown", func(js.Value) { r.keys.byPointer, r.keys.at = true, now() })
	r.page.on(global, "keydown", func(e js.Value) {
		key := text(e.Get("key"))
		r.keys.at = now()
		if key == "Tab" {
			r.keys.byPointer = false
		}
		if modified(e) || !forApp(key, r.keys.focused()) {
			return
		}
		if r.keys.taken {
			e.Call("preventDefault")
		}
		if key == "Enter" && e.Get("repeat").Truthy() {
			return // held down: one press keeps one reading
		}
		r.put(app.Key{Key: key})
	})
}

func modified(e js.Value) bool {
	return e.Get("ctrlKey").Truthy() || e.Get("altKey").Truthy() || e.Get("metaKey").Truthy() || e.Get("isComposing").Truthy()
}

func (k *keys) focused() focused {
	el := document.Get("activeElement")
	if !el.Truthy() {
		return onNothing
	}
	switch text(el.Get("tagName")) {
	case "INPUT", "TEXTAREA", "SELECT":
		return onField
	case "BUTTON", "A", "SUMMARY":
		if !k.byPointer {
			return onControl
		}
	}
	if el.Get("isContentEditable").Truthy() {
		return onField
	}
	return onNothing
}
