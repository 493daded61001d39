//go:build js && wasm

package browser

import (
	"syscall/js"

	"portwright/wasm/app"
)

var (
	global   = js.Global()
	document = global.Get("document")
)

// funcs owns callbacks until release. A listener is taken off its target first:
// events come when nobody waits for them any more, such as a file chooser's
// cancel once another one was opened.
type funcs struct {
	all   []js.Func
	heard []listener
}

type listener struct {
	target js.Value
	event  string
	do     js.Func
}

// make returns a callback that belongs to f.
func (f *funcs) make(do func(arg js.Value)) js.Func {
	fn := js.FuncOf(func(_ js.Value, args []js.Value) any {
		defer crashed()
		arg := js.Undefined()
		if len(args) > 0 {
			arg = args[0]
		}
		do(arg)
		return nil
	})
	f.all = append(f.all, fn)
	return fn
}

// on listens to an event for as long as f is not released.
func (f *funcs) on(target js.Value, event string, do func(e js.Value)) {
	f.listen(target, event, f.make(do))
}

func (f *funcs) listen(target js.Value, event string, do js.Func) {
	target.Call("addEventListener", event, do)
	f.heard = append(f.heard, listener{target, event, do})
}

func (f *funcs) release() {
	for _, l := range f.heard {
		l.target.Call("removeEventListener", l.event, l.do)
	}
	for _, fn := range f.all {
		fn.Release()
	}
	f.all, f.heard = nil, nil
}

// try runs do and returns what JavaScript threw in it as a *Failure. Faults of
// our own go on upwards.
func try(do func()) (err error) {
	defer func() {
		switch r := recover().(type) {
		case nil:
		case js.Error:
			err = failureOf(r.Value)
		default:
			panic(r)
		}
	}()
	do()
	return nil
}

// failureOf reads an Error or DOMException.
func failureOf(v js.Value) *Failure {
	if v.Type() != js.TypeObject {
		return &Failure{Name: "UnknownError", Message: "no reason given"}
	}
	return &Failure{Name: text(v.Get("name")), Message: text(v.Get("message"))}
}

// text returns the string v, "" for anything else.
func text(v js.Value) string {
	if v.Type() != js.TypeString {
		return ""
	}
	return v.String()
}

// number returns the number v, 0 for anything else.
func number(v js.Value) float64 {
	if v.Type() != js.TypeNumber {
		return 0
	}
	return v.Float()
}

// await waits for a promise. It must not be called from a callback.
func await(promise js.Value) (js.Value, error) {
	type outcome struct {
		v   js.Value
		err error
	}
	var own funcs
	defer own.release()
	done := make(chan outcome, 1)
	promise.Call("then",
		own.make(func(v js.Value) { done <- outcome{v: v} }),
		own.make(func(e js.Value) { done <- outcome{err: failureOf(e)} }))
	o := <-done
	return o.v, o.err
}

// callable says whether object has a method of this name.
func callable(object js.Value, name string) bool {
	t := object.Type()
	return (t == js.TypeObject || t == js.TypeFunction) && object.Get(name).Type() == js.TypeFunction
}

// fresh returns a new UUID version 7.
func fresh(nowMS int64) string {
	box := global.Get("Uint8Array").New(10)
	global.Get("crypto").Call("getRandomValues", box)
	var random [10]byte
	js.CopyBytesToGo(random[:], box)
	return uuid7(nowMS, random)
}

// bytesOf copies an ArrayBuffer.
func bytesOf(buffer js.Value) []byte {
	view := global.Get("Uint8Array").New(buffer)
	b := make([]byte, view.Get("length").Int())
	js.CopyBytesToGo(b, view)
	return b
}

// arrayOf copies bytes into a Uint8Array.
func arrayOf(b []byte) js.Value {
	view := global.Get("Uint8Array").New(len(b))
	js.CopyBytesToJS(view, b)
	return view
}

// Fresh is what Update may know of the world now.
func Fresh() app.Input {
	at := now()
	id := fresh(at)
	// The last four digits count the IDs of one message (app.Input.ID); the ID
	// itself is the last of them.
	return app.Input{NowMS: at, Fresh: id[:len(id)-4] + "ffff"}
}
