//go:build js && wasm

package render

import (
	"syscall/js"

	"github.com/vugu/vugu"
	vjs "github.com/vugu/vugu/js"
)

// event is vugu's DOMEvent. Nothing is read before a handler asks for it.
type event struct {
	js js.Value
	id uint32 // of the element that listens
	r  *Renderer
}

var _ vugu.DOMEvent = (*event)(nil)

// at follows keys from the event; the second result is false when something on
// the way is not there.
func (e *event) at(keys []string) (js.Value, bool) {
	v := e.js
	for i, k := range keys {
		if v.Type() != js.TypeObject && v.Type() != js.TypeFunction {
			return js.Undefined(), false
		}
		if i == 0 && k == "currentTarget" {
			v = js.Value(e.JSEventCurrentTarget())
			continue
		}
		v = v.Get(k)
	}
	return v, true
}

// Prop returns a string, float64, bool or nil; an object gives a map of its
// plain properties.
func (e *event) Prop(keys ...string) any {
	v, ok := e.at(keys)
	if !ok {
		return nil
	}
	if v.Type() == js.TypeObject {
		return plainProperties(v)
	}
	return plain(v)
}

func (e *event) PropString(keys ...string) string {
	if v, ok := e.at(keys); ok && v.Type() == js.TypeString {
		return v.String()
	}
	return ""
}

func (e *event) PropFloat64(keys ...string) float64 {
	if v, ok := e.at(keys); ok && v.Type() == js.TypeNumber {
		return v.Float()
	}
	return 0
}

func (e *event) PropBool(keys ...string) bool {
	v, ok := e.at(keys)
	return ok && v.Type() == js.TypeBoolean && v.Bool()
}

// EventSummary returns the plain properties of the event and, under "target",
// of its target. It reads them all: prefer Prop.
func (e *event) EventSummary() map[string]any {
	all := plainProperties(e.js)
	if t := e.js.Get("target"); t.Truthy() {
		all["target"] = plainProperties(t)
	}
	return all
}

func (e *event) JSEvent() vjs.Value { return vjs.Value(e.js) }

func (e *event) JSEventTarget() vjs.Value { return vjs.Value(e.js.Get("target")) }

// JSEventCurrentTarget is the element that has the handler, for a queued event
// too.
func (e *event) JSEventCurrentTarget() vjs.Value { return e.r.page.node(e.id) }

func (e *event) EventEnv() vugu.EventEnv { return e.r.EventEnv() }

func (e *event) PreventDefault() { e.js.Call("preventDefault") }

func (e *event) StopPropagation() { e.js.Call("stopPropagation") }

// plain converts what is no object.
func plain(v js.Value) any {
	switch v.Type() {
	case js.TypeString:
		return v.String()
	case js.TypeNumber:
		return v.Float()
	case js.TypeBoolean:
		return v.Bool()
	}
	return nil
}

// plainProperties lists the strings, numbers and booleans of an object and its
// prototypes.
func plainProperties(v js.Value) map[string]any {
	out := map[string]any{}
	object := js.Global().Get("Object")
	for o := v; o.Truthy(); o = object.Call("getPrototypeOf", o) {
		names := object.Call("getOwnPropertyNames", o)
		for i := range names.Length() {
			name := names.Index(i).String()
			if _, known := out[name]; known {
				continue
			}
			if p := plain(v.Get(name)); p != nil {
				out[name] = p
			}
		}
	}
	return out
}
