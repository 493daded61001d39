package render

import (
	"bytes"
	"slices"

	"github.com/vugu/vugu"
)

// listen is one listener that an element has in the page.
type listen struct {
	event string
	flags uint32
}

// attributes writes what differs between two lists. Where a name stands more
// than once, the last one counts.
func (t *tree) attributes(m *mount, old, now []vugu.VGAttribute) {
	if slices.Equal(old, now) {
		return
	}
	for i, a := range now {
		if !lastOf(now, i) {
			continue
		}
		if was, ok := valueIn(old, a.Key); ok && was == a.Val {
			continue
		}
		t.setAttribute(m, a.Key, a.Val)
	}
	for i, a := range old {
		if !lastOf(old, i) {
			continue
		}
		if _, stays := valueIn(now, a.Key); !stays {
			t.dropAttribute(m, a.Key)
		}
	}
}

func (t *tree) setAttribute(m *mount, name, val string) {
	switch {
	case name == "style":
		t.prog.op(opStyle, m.id)
		t.prog.str(val)
	case isHeld(m.kind.tag, name):
		// held writes it as a property
	default:
		w := t.prog.word(name)
		t.prog.op(opAttribute, m.id, w)
		t.prog.str(val)
	}
}

func (t *tree) dropAttribute(m *mount, name string) {
	switch {
	case name == "style":
		t.prog.op(opStyle, m.id)
		t.prog.str("")
	case isHeld(m.kind.tag, name):
	default:
		w := t.prog.word(name)
		t.prog.op(opNoAttr, m.id, w)
	}
}

// lastOf says whether no later attribute has the name of list[i].
func lastOf(list []vugu.VGAttribute, i int) bool {
	for _, b := range list[i+1:] {
		if b.Key == list[i].Key {
			return false
		}
	}
	return true
}

func valueIn(list []vugu.VGAttribute, name string) (string, bool) {
	for i := len(list) - 1; i >= 0; i-- {
		if list[i].Key == name {
			return list[i].Val, true
		}
	}
	return "", false
}

// isHeld names the attributes that only give a form control's first state, so
// that the property is what a person sees.
func isHeld(tag, name string) bool {
	switch name {
	case "value":
		return tag == "input" || tag == "textarea" || tag == "select"
	case "checked":
		return tag == "input"
	case "selected":
		return tag == "option"
	}
	return false
}

// hold is what the model wants a form control to show.
type hold struct {
	value              string
	hasValue, isJSON   bool
	checked, isChecked bool
	selected, isOption bool
}

// holdOf reads it from attributes and properties; a property counts more.
func holdOf(tag string, n *vugu.VGNode) (h hold) {
	switch tag {
	case "input", "textarea", "select":
		h.value, h.hasValue = valueIn(n.Attr, "value")
		if tag == "input" {
			_, h.checked = valueIn(n.Attr, "checked")
			h.isChecked = h.checked
		}
	case "option":
		_, h.selected = valueIn(n.Attr, "selected")
		h.isOption = h.selected
	default:
		return h
	}
	for _, p := range n.Prop {
		switch {
		case p.Key == "value" && tag != "option":
			h.value, h.hasValue, h.isJSON = string(p.JSONVal), true, true
		case p.Key == "checked" && tag == "input":
			h.checked, h.isChecked = string(p.JSONVal) == "true", true
		case p.Key == "selected" && tag == "option":
			h.selected, h.isOption = string(p.JSONVal) == "true", true
		}
	}
	return h
}

// held writes value, checked and selected where the model changed them. The
// attribute checked, absent, means off for a control that had it.
func (t *tree) held(m *mount, old *vugu.VGNode) {
	switch m.kind.tag {
	case "input", "textarea", "select", "option":
	default:
		return
	}
	was, now := holdOf(m.kind.tag, old), holdOf(m.kind.tag, m.node)
	switch {
	case now.hasValue && (!was.hasValue || was.isJSON != now.isJSON || was.value != now.value):
		t.prog.op(opValue, m.id, bit(now.isJSON))
		t.prog.str(now.value)
	case was.hasValue && !now.hasValue:
		t.prog.op(opNoValue, m.id)
	}
	if now.isChecked != was.isChecked || now.checked != was.checked {
		t.prog.op(opChecked, m.id, bit(now.checked))
	}
	if now.isOption != was.isOption || now.selected != was.selected {
		w := t.prog.word("selected")
		t.prog.op(opProperty, m.id, w)
		t.prog.str(map[bool]string{true: "true", false: "false"}[now.selected])
	}
}

// properties writes the other properties that changed.
func (t *tree) properties(m *mount, old, now []vugu.VGProperty) {
	for i, p := range now {
		if isHeld(m.kind.tag, p.Key) {
			continue
		}
		if i < len(old) && old[i].Key == p.Key && bytes.Equal(old[i].JSONVal, p.JSONVal) {
			continue
		}
		w := t.prog.word(p.Key)
		t.prog.op(opProperty, m.id, w)
		t.prog.str(string(p.JSONVal))
	}
}

// listeners brings the listeners in the page to what the node's handlers need.
// The handlers themselves are looked up in m.node when an event comes.
func (t *tree) listeners(m *mount) {
	specs := m.node.DOMEventHandlerSpecList
	if slices.EqualFunc(specs, m.listens, func(s vugu.DOMEventHandlerSpec, l listen) bool { return listenFor(&s) == l }) {
		return
	}
	had := len(m.listens) > 0
	var want []listen
	for i := range specs {
		if l := listenFor(&specs[i]); !slices.Contains(want, l) {
			want = append(want, l)
		}
	}
	for _, l := range m.listens {
		if !slices.Contains(want, l) {
			w := t.prog.word(l.event)
			t.prog.op(opUnlisten, m.id, w, l.flags)
		}
	}
	for _, l := range want {
		if !slices.Contains(m.listens, l) {
			w := t.prog.word(l.event)
			t.prog.op(opListen, m.id, w, l.flags)
		}
	}
	m.listens = want
	switch {
	case len(want) > 0:
		t.events[m.id] = m
	case had:
		delete(t.events, m.id)
	}
}

func listenFor(s *vugu.DOMEventHandlerSpec) listen {
	return listen{event: s.EventType, flags: bit(s.Capture)*flagCapture | bit(s.Passive)*flagPassive}
}

func bit(b bool) uint32 {
	if b {
		return 1
	}
	return 0
}
