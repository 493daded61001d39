//go:build js && wasm

package browser

import (
	"bytes"
	"syscall/js"
	"time"

	"portwright/engine/book"
	"portwright/engine/unit"
	"portwright/wasm/app"
)

const (
	maxPicked  = 32 << 20 // bytes of a file that is read
	exportSize = 1000     // entries read at a time

	// linkLife is how long a download may take to begin before its blob goes.
	linkLife = time.Minute
)

// saveFile hands a file to the person: through the share sheet on a touch
// device that can share files, else as a download. It returns false when the
// person closed the share sheet without choosing.
func saveFile(name, mime string, data []byte) bool {
	file := global.Get("File").New([]any{arrayOf(data)}, name, map[string]any{"type": mime})
	switch shared, err := share(file); {
	case shared:
		return true
	case err != nil && err.(*Failure).Name == "AbortError":
		return false
	}
	download(name, file)
	return true
}

// share offers the share sheet; shared is false and err nil where there is none.
func share(file js.Value) (shared bool, err error) {
	navigator := global.Get("navigator")
	what := map[string]any{"files": []any{file}}
	touch := callable(global, "matchMedia") && global.Call("matchMedia", "(pointer: coarse)").Get("matches").Bool()
	if !touch || !callable(navigator, "share") || !callable(navigator, "canShare") {
		return false, nil
	}
	var promise js.Value
	err = try(func() {
		if navigator.Call("canShare", what).Truthy() {
			promise = navigator.Call("share", what)
		}
	})
	if err != nil || promise.IsUndefined() {
		return false, err
	}
	_, err = await(promise)
	return err == nil, err
}

func download(name string, file js.Value) {
	url := global.Get("URL").Call("createObjectURL", file)
	link := document.Call("createElement", "a")
	link.Set("href", url)
	link.Set("download", name)
	body := document.Get("body")
	body.Call("append", link)
	link.Call("click")
	link.Call("remove")
	time.AfterFunc(linkLife, func() { global.Get("URL").Call("revokeObjectURL", url) })
}

// exportBook writes every entry of this device into a book file.
func (r *Runner) exportBook() {
	var file bytes.Buffer
	entries, err := r.store.Texts(exportSize)
	if err == nil {
		err = book.EncodeLines(&file, entries)
	}
	at := time.Now()
	msg := app.BookExported{Name: "portwright-" + at.Format("2006-01-02-1504") + ".book", Entries: len(entries), AtMS: at.UnixMilli()}
	if err != nil {
		msg.Err = "The book was not saved to a file. " + plainly(err)
	} else if !saveFile(msg.Name, "application/octet-stream", file.Bytes()) {
		msg.Err = "The book was not saved to a file: the share sheet was closed."
	}
	r.put(msg)
}

// pickFile opens the file chooser. Its listeners live until the chooser
// answers, or, where it never does, until the next one is opened.
func (r *Runner) pickFile() {
	if r.picking != nil {
		r.picking()
	}
	own := &funcs{}
	input := document.Call("createElement", "input")
	input.Set("type", "file")
	input.Set("hidden", true)
	r.picking = func() {
		r.picking = nil
		own.release()
		input.Call("remove")
	}
	own.on(input, "cancel", func(js.Value) {
		r.picking()
		r.put(app.FilePicked{})
	})
	own.on(input, "change", func(js.Value) {
		file := input.Get("files").Index(0)
		r.picking()
		r.start(func() { r.put(readPicked(file)) })
	})
	document.Get("body").Call("append", input)
	input.Call("click")
}

func readPicked(file js.Value) app.FilePicked {
	if !file.Truthy() {
		return app.FilePicked{}
	}
	msg := app.FilePicked{Name: text(file.Get("name"))}
	if size := number(file.Get("size")); size > maxPicked {
		msg.Err = unit.Sprintf("%s has %.0f MB; a file of this app has at most %d MB.", msg.Name, size/(1<<20), maxPicked>>20)
		return msg
	}
	buffer, err := await(file.Call("arrayBuffer"))
	if err != nil {
		msg.Err = unit.Sprintf("%s can't be read (%v). Choose it again.", msg.Name, err)
		return msg
	}
	msg.Data = bytesOf(buffer)
	return msg
}
