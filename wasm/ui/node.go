package ui

import (
	"strings"

	"github.com/vugu/vugu"

	"portwright/wasm/view"
)

// What the compacted templates call. Text that was written in a template is
// constant, so that el can take an element apart where it is built.

// el makes an element and hangs it under parent, unless that is nil. packed is
// tag, namespace, and then name and value of each constant attribute.
func el(parent *vugu.VGNode, packed string) *vugu.VGNode {
	const separator = "\x1f"
	n := &vugu.VGNode{Type: vugu.ElementNode}
	n.Data, packed, _ = strings.Cut(packed, separator)
	var more bool
	n.Namespace, packed, more = strings.Cut(packed, separator)
	if more {
		n.Attr = make([]vugu.VGAttribute, 0, (strings.Count(packed, separator)+1)/2)
	}
	for more {
		var a vugu.VGAttribute
		a.Key, packed, _ = strings.Cut(packed, separator)
		a.Val, packed, more = strings.Cut(packed, separator)
		n.Attr = append(n.Attr, a)
	}
	if parent != nil {
		parent.AppendChild(n)
	}
	return n
}

// text hangs a text under parent.
func text(parent *vugu.VGNode, data string) {
	parent.AppendChild(&vugu.VGNode{Type: vugu.TextNode, Data: data})
}

// prop sets a property of n that holds text.
func prop(n *vugu.VGNode, key, value string) {
	n.Prop = append(n.Prop, vugu.VGProperty{Key: key, JSONVal: view.Quoted(value)})
}

// on adds a handler to n.
func on(n *vugu.VGNode, event string, do func(vugu.DOMEvent)) {
	n.DOMEventHandlerSpecList = append(n.DOMEventHandlerSpecList, vugu.DOMEventHandlerSpec{EventType: event, Func: do})
}

// instance returns the component that stood at this place in the last build,
// or a new one.
func instance[T any, P interface {
	*T
	vugu.Builder
}](in *vugu.BuildIn, place uint64, iteration any) P {
	key := vugu.MakeCompKey(place^in.CurrentPositionHash(), iteration)
	c, ok := in.BuildEnv.CachedComponent(key).(P)
	if !ok {
		c = P(new(T))
		in.BuildEnv.WireComponent(c)
	}
	in.BuildEnv.UseComponent(key, c)
	return c
}

// child hangs a component under parent, or makes it the root where that is
// nil.
func child(out *vugu.BuildOut, parent *vugu.VGNode, c vugu.Builder) *vugu.VGNode {
	out.Components = append(out.Components, c)
	n := &vugu.VGNode{Component: c}
	if parent != nil {
		parent.AppendChild(n)
	}
	return n
}
