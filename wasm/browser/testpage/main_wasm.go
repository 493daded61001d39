//go:build js && wasm

// Command testpage lets a browser test run effects by hand: it sets
// window.storage.run(name, json, ...), which runs effects in one turn as the app's
// loop does, and collects every message in window.said.
package main

import (
	"encoding/json"
	"fmt"
	"strings"
	"syscall/js"

	"portwright/engine/book"
	"portwright/wasm/app"
	"portwright/wasm/browser"
)

func main() {
	inbox := browser.NewInbox()
	runner := browser.NewRunner(inbox.Put, cardOf)
	said := js.Global().Get("Array").New()
	js.Global().Set("said", said)
	run := js.FuncOf(func(_ js.Value, args []js.Value) any {
		for ; len(args) >= 2; args = args[2:] {
			e, err := effect(args[0].String(), []byte(args[1].String()))
			if err != nil {
				js.Global().Get("console").Call("error", err.Error())
				return nil
			}
			runner.Run(e)
		}
		return nil
	})
	js.Global().Set("storage", map[string]any{"run": run})
	for {
		for _, m := range inbox.Take() {
			body, err := json.Marshal(m)
			if err != nil {
				panic(err)
			}
			v := js.Global().Get("JSON").Call("parse", string(body))
			v.Set("type", strings.TrimPrefix(fmt.Sprintf("%T", m), "app."))
			said.Call("push", v)
		}
	}
}

// cardOf counts entries, no more.
func cardOf(build string, entries []book.Entry) (book.Card, error) {
	return book.Card{Build: build, Name: "made from entries", Readings: len(entries)}, nil
}

func effect(name string, body []byte) (app.Effect, error) {
	switch name {
	case "LoadBook":
		return app.LoadBook{}, nil
	case "LoadBuild":
		return read[app.LoadBuild](body)
	case "Append":
		return read[app.Append](body)
	case "Forget":
		return read[app.Forget](body)
	case "MergeEntries":
		return read[app.MergeEntries](body)
	case "SaveDraft":
		return read[app.SaveDraft](body)
	case "SaveSettings":
		return read[app.SaveSettings](body)
	case "ExportBook":
		return app.ExportBook{}, nil
	case "AskPersist":
		return app.AskPersist{}, nil
	case "PickFile":
		return app.PickFile{}, nil
	case "GoTo":
		return read[app.GoTo](body)
	case "Awake":
		return read[app.Awake](body)
	case "Appear":
		return read[app.Appear](body)
	case "SaveFile":
		return read[app.SaveFile](body)
	}
	return nil, fmt.Errorf("no effect %q", name)
}

func read[E app.Effect](body []byte) (app.Effect, error) {
	var e E
	err := json.Unmarshal(body, &e)
	return e, err
}
