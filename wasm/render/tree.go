package render

import (
	"reflect"
	"strconv"
	"strings"

	"github.com/vugu/vugu"
)

// namespace of an element, inherited from the parent across components.
type namespace uint32

const (
	inHTML namespace = iota
	inSVG
	inMathML
)

// kind says which nodes may be made into one another.
type kind struct {
	node  vugu.VGNodeType
	tag   string
	ns    namespace
	input string       // the type of an <input>
	comp  reflect.Type // of the component whose output the node heads
}

// key identifies a child among its siblings. The zero key means: by order.
type key struct {
	name string // data-key or id: never made into another one
	comp any    // the component instance, when it is no name
	nth  int    // which of the component's nodes
}

// mount is a node that stands in the page.
type mount struct {
	id      uint32
	node    *vugu.VGNode
	kind    kind
	key     key
	kids    []*mount
	listens []listen
	filled  bool // its content was set as HTML or plain text
	gone    bool // removed; its events count no more
}

// child is a node to be shown: what flattening the tree gives for a parent.
type child struct {
	node *vugu.VGNode
	kind kind
	key  key
	ends *[]any // components whose output ends with this node
}

// tree is the mounted tree and the comparison with the next one. It writes to
// prog and touches nothing else.
type tree struct {
	prog    program
	kids    []*mount          // at the mount point, which has id 1
	events  map[uint32]*mount // those with listeners
	lastID  uint32
	nodes   int // in the page now
	results *vugu.BuildResults

	flat     []child  // stack of flattened children
	high     int      // how high it was in this update
	rendered []any    // components in the order in which they are complete
	hooks    []*mount // with create or populate handlers to run
	created  map[*mount]bool
}

const rootID = 1

func newTree() *tree {
	return &tree{events: map[uint32]*mount{}, lastID: rootID, created: map[*mount]bool{}}
}

// update compares the mounted tree with results and leaves the program,
// rendered and hooks for the caller.
func (t *tree) update(results *vugu.BuildResults, root vugu.Builder) {
	t.prog.reset()
	t.results = results
	t.rendered, t.hooks = t.rendered[:0], t.hooks[:0]
	clear(t.created)
	t.flat, t.high = t.flat[:0], 0
	t.component(root, 0, inHTML, nil)
	t.kids = t.reconcile(rootID, t.kids, t.flat)
	t.high = max(t.high, len(t.flat))
	clear(t.flat[:min(t.high, cap(t.flat))]) // lets go of what the children hold
}

// flatten appends what n stands for to t.flat: itself, or the nodes of its
// component or template. The list of the parent in hand begins at base.
func (t *tree) flatten(n *vugu.VGNode, base int, ns namespace, owner *key) {
	if n.Component != nil {
		t.component(n.Component, base, ns, owner)
		return
	}
	if n.IsTemplate() {
		for c := n.FirstChild; c != nil; c = c.NextSibling {
			t.flatten(c, base, ns, owner)
		}
		return
	}
	c := child{node: n, kind: kindOf(n, ns), key: key{name: nameOf(n)}}
	if owner != nil {
		c.kind.comp = reflect.TypeOf(owner.comp)
		if c.key.name == "" {
			c.key = *owner
		}
		owner.nth++
	}
	t.flat = append(t.flat, c)
}

// component appends the nodes of a component's output. The outermost
// component is the owner of a node: vugu keeps that instance for the same
// vg-key, while it hands inner ones out by position. A component is complete
// with its last node, or with the one before it when it has none.
func (t *tree) component(c any, base int, ns namespace, owner *key) {
	built := t.results.ResultFor(c)
	if built == nil {
		panic("render: the component " + typeName(c) + " stands in the tree but was not built")
	}
	if owner == nil {
		owner = &key{comp: c}
	}
	for _, n := range built.Out {
		t.flatten(n, base, ns, owner)
	}
	switch {
	case !hasRendered(c):
	case len(t.flat) > base:
		last := &t.flat[len(t.flat)-1]
		if last.ends == nil {
			last.ends = new([]any)
		}
		*last.ends = append(*last.ends, c)
	default:
		t.rendered = append(t.rendered, c)
	}
}

func kindOf(n *vugu.VGNode, parent namespace) kind {
	k := kind{node: n.Type}
	if n.Type != vugu.ElementNode {
		return k
	}
	k.tag, k.ns = n.Data, parent
	switch {
	case n.Namespace == "svg" || n.Data == "svg":
		k.ns = inSVG
	case n.Namespace == "math" || n.Data == "math":
		k.ns = inMathML
	}
	if k.ns == inSVG && n.Namespace == "" {
		k.tag = svgTag(n.Data)
	}
	if k.tag == "input" {
		k.input, _ = attribute(n, "type")
	}
	return k
}

// inside is the namespace of an element's children.
func (k kind) inside() namespace {
	if k.ns == inSVG && strings.EqualFold(k.tag, "foreignObject") {
		return inHTML
	}
	return k.ns
}

func nameOf(n *vugu.VGNode) string {
	id := ""
	for i := range n.Attr {
		switch n.Attr[i].Key {
		case "data-key":
			return "key " + n.Attr[i].Val
		case "id":
			id = "id " + n.Attr[i].Val
		}
	}
	return id
}

// attribute returns the value in force: of several with one name, the last.
func attribute(n *vugu.VGNode, name string) (string, bool) {
	for i := len(n.Attr) - 1; i >= 0; i-- {
		if n.Attr[i].Key == name {
			return n.Attr[i].Val, true
		}
	}
	return "", false
}

// create makes a new node with all that is in it and returns it; the caller
// inserts it.
func (t *tree) create(c *child) *mount {
	t.lastID++
	t.nodes++
	m := &mount{id: t.lastID, node: c.node, kind: c.kind, key: c.key}
	switch c.node.Type {
	case vugu.TextNode:
		t.prog.op(opText, m.id)
		t.prog.str(c.node.Data)
		return m
	case vugu.CommentNode:
		t.prog.op(opComment, m.id)
		t.prog.str(c.node.Data)
		return m
	case vugu.ElementNode:
	default:
		panic("render: node type " + strconv.Itoa(int(c.node.Type)) + " has no place in a page: text, comment and element have")
	}
	refuse(c.kind.tag)
	w := t.prog.word(c.kind.tag)
	t.prog.op(opElement, m.id, uint32(c.kind.ns), w)
	t.element(m, &vugu.VGNode{}, true)
	return m
}

// patch makes a mounted node show c.
func (t *tree) patch(m *mount, c *child) {
	old := m.node
	m.node, m.key = c.node, c.key
	if c.node.Type != vugu.ElementNode {
		if old.Data != c.node.Data {
			t.prog.op(opData, m.id)
			t.prog.str(c.node.Data)
		}
		return
	}
	t.element(m, old, false)
}

// element brings attributes, listeners, content and properties of m from old
// to m.node, in this order: a property such as value needs the rest in place.
func (t *tree) element(m *mount, old *vugu.VGNode, fresh bool) {
	n := m.node
	t.attributes(m, old.Attr, n.Attr)
	t.listeners(m)
	t.content(m, old)
	t.held(m, old)
	t.properties(m, old.Prop, n.Prop)
	if n.JSCreateHandler != nil || n.JSPopulateHandler != nil {
		t.hooks = append(t.hooks, m)
		if fresh {
			t.created[m] = true
		}
	}
}

// content brings the children of m, or its HTML, to what m.node wants.
func (t *tree) content(m *mount, old *vugu.VGNode) {
	n := m.node
	if n.InnerHTML != nil {
		if m.filled && old.InnerHTML != nil && *old.InnerHTML == *n.InnerHTML {
			return
		}
		for _, k := range m.kids {
			t.forget(k)
		}
		m.kids = nil
		if !m.filled && *n.InnerHTML == "" && old.FirstChild == nil {
			m.filled = true // empty already: what others put there stays
			return
		}
		m.filled = true
		op := opHTML
		if !strings.ContainsAny(*n.InnerHTML, "<&\r\x00") {
			op = opTextOnly
		}
		t.prog.op(op, m.id)
		t.prog.str(*n.InnerHTML)
		return
	}
	if m.filled {
		m.filled = false
		t.prog.op(opTextOnly, m.id)
		t.prog.str("")
	}
	if n.FirstChild == nil && len(m.kids) == 0 {
		return
	}
	start := len(t.flat)
	for c := n.FirstChild; c != nil; c = c.NextSibling {
		t.flatten(c, start, m.kind.inside(), nil)
	}
	m.kids = t.reconcile(m.id, m.kids, t.flat[start:])
	t.high = max(t.high, len(t.flat))
	t.flat = t.flat[:start]
}

// remove takes m out of the page.
func (t *tree) remove(m *mount) {
	t.prog.op(opRemove, m.id)
	t.forget(m)
}

// forget drops m and all below it from the tables.
func (t *tree) forget(m *mount) {
	m.gone = true
	t.nodes--
	if len(m.listens) > 0 {
		delete(t.events, m.id)
	}
	for _, k := range m.kids {
		t.forget(k)
	}
	t.prog.op(opForget, m.id)
}

// refuse stops elements that the page's policy forbids or that a component has
// no place for.
func refuse(tag string) {
	switch strings.ToLower(tag) {
	case "script", "style", "html", "head", "body", "base":
		panic("render: <" + tag + "> in a component: scripts and styles stand in files of their own, and a component is drawn inside the page's body")
	}
}
