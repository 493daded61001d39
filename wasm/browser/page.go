//go:build js && wasm

package browser

import (
	"strings"
	"syscall/js"

	"portwright/wasm/app"
)

// listen hears what happens to the page for as long as it lives.
func (r *Runner) listen() {
	r.listenToKeys()
	r.listenForUpdates()
	was := app.ParseRoute(Hash())
	r.page.on(global, "hashchange", func(js.Value) {
		if now := app.ParseRoute(Hash()); now.Station != was.Station || now.Build != was.Build {
			was = now
			global.Call("scrollTo", 0, 0) // another station begins at its top
		}
		r.put(app.Navigated{Hash: Hash()})
	})
	r.page.on(document, "visibilitychange", func(js.Value) {
		if shown() {
			r.screen.ask()
		}
		r.put(app.Visible{Shown: shown()})
	})
	r.page.on(global, "online", func(js.Value) { r.put(app.Online{}) })
}

// Hash is the address after "#".
func Hash() string { return strings.TrimPrefix(text(global.Get("location").Get("hash")), "#") }

// goTo changes the address. The browser answers with hashchange, but not when
// the address stays the same.
func (r *Runner) goTo(hash string) {
	if hash == Hash() {
		r.put(app.Navigated{Hash: hash})
		return
	}
	global.Get("location").Set("hash", hash)
}
