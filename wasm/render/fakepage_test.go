package render

import (
	"encoding/binary"
	"fmt"
	"slices"
	"sort"
	"strings"
	"testing"
	"unicode/utf16"

	"github.com/vugu/vugu"
	vjs "github.com/vugu/vugu/js"
)

// fakeNode is a node of a page that a test can look into.
type fakeNode struct {
	tag    string // "" text, "!" comment
	ns     uint32
	data   string
	attrs  map[string]string
	props  map[string]string
	listen map[string]uint32
	kids   []*fakeNode
	parent *fakeNode
}

// fakePage carries out programs as render.js does, and refuses what a page
// would refuse.
type fakePage struct {
	t       failer
	nodes   map[uint32]*fakeNode
	words   []string
	reports []string
	soonFn  func()
	steps   int
	moves   int
	onRun   func() // called in the middle of a program
	fail    int    // programs that break after their first step
}

type failer interface {
	Helper()
	Fatalf(format string, args ...any)
}

func newFakePage(t failer) *fakePage {
	return &fakePage{t: t, nodes: map[uint32]*fakeNode{rootID: {tag: "#app"}}}
}

func (p *fakePage) root() *fakeNode       { return p.nodes[rootID] }
func (p *fakePage) node(uint32) vjs.Value { return vjs.Undefined() }
func (p *fakePage) report(text string)    { p.reports = append(p.reports, text) }
func (p *fakePage) soon(f func())         { p.soonFn = f }
func (p *fakePage) close()                { p.reset() }
func (p *fakePage) reset() {
	p.nodes = map[uint32]*fakeNode{rootID: {tag: "#app"}}
	p.words = nil
}

func (p *fakePage) run(code, text []byte) {
	if p.onRun != nil {
		p.onRun()
	}
	units := utf16.Encode([]rune(string(text)))
	at, i := 0, 0
	num := func() uint32 {
		n := binary.LittleEndian.Uint32(code[i:])
		i += 4
		return n
	}
	str := func() string {
		n := int(num())
		s := string(utf16.Decode(units[at : at+n]))
		at += n
		return s
	}
	node := func() *fakeNode {
		id := num()
		n := p.nodes[id]
		if n == nil {
			p.t.Fatalf("node %d is not in the table", id)
		}
		return n
	}
	for i < len(code) {
		p.steps++
		if p.fail > 0 && i > 0 {
			p.fail--
			panic("the page threw an exception")
		}
		op := opcode(num())
		switch op {
		case opWord:
			p.words = append(p.words, str())
		case opElement:
			id, ns, w := num(), num(), num()
			p.add(id, &fakeNode{tag: p.words[w], ns: ns, attrs: map[string]string{}, props: map[string]string{}, listen: map[string]uint32{}})
		case opText:
			id := num()
			p.add(id, &fakeNode{data: str()})
		case opComment:
			id := num()
			p.add(id, &fakeNode{tag: "!", data: str()})
		case opData:
			n := node()
			n.data = str()
		case opAttribute:
			n, w := node(), num()
			n.attrs[p.words[w]] = str()
		case opNoAttr:
			n, w := node(), num()
			delete(n.attrs, p.words[w])
		case opStyle:
			n := node()
			if n.attrs["style"] = str(); n.attrs["style"] == "" {
				delete(n.attrs, "style")
			}
		case opProperty:
			n, w := node(), num()
			n.props[p.words[w]] = str()
		case opValue:
			n, _ := node(), num()
			n.props["value"] = str()
		case opNoValue:
			delete(node().props, "value")
		case opChecked:
			n := node()
			n.props["checked"] = fmt.Sprint(num())
		case opListen:
			n, w, flags := node(), num(), num()
			k := fmt.Sprintf("%s/%d", p.words[w], flags)
			if n.listen[k]++; n.listen[k] > 1 {
				p.t.Fatalf("%s is listened to twice", k)
			}
		case opUnlisten:
			n, w, flags := node(), num(), num()
			k := fmt.Sprintf("%s/%d", p.words[w], flags)
			if n.listen[k] != 1 {
				p.t.Fatalf("%s was not listened to", k)
			}
			delete(n.listen, k)
		case opHTML, opTextOnly:
			n := node()
			for _, k := range n.kids {
				k.parent = nil
			}
			n.kids = nil
			if s := str(); s != "" {
				n.kids = []*fakeNode{{data: s, parent: n}}
			}
		case opInsert:
			parent, child, before := node(), node(), num()
			p.insert(parent, child, before)
		case opRemove:
			n := node()
			if n.parent == nil {
				p.t.Fatalf("a node outside of the page is removed")
			}
			n.out()
		case opForget:
			id := num()
			if p.nodes[id] == nil {
				p.t.Fatalf("node %d is forgotten twice", id)
			}
			delete(p.nodes, id)
		default:
			p.t.Fatalf("step %d is unknown", op)
		}
	}
	if at != len(units) {
		p.t.Fatalf("the texts have %d units, the steps took %d", len(units), at)
	}
}

func (p *fakePage) add(id uint32, n *fakeNode) {
	if p.nodes[id] != nil {
		p.t.Fatalf("number %d is used twice", id)
	}
	p.nodes[id] = n
}

func (p *fakePage) insert(parent, child *fakeNode, before uint32) {
	if child.parent != nil {
		p.moves++
		child.out()
	}
	at := len(parent.kids)
	if before != 0 {
		at = slices.Index(parent.kids, p.nodes[before])
		if at < 0 {
			p.t.Fatalf("node %d, to insert before, is no child of the parent", before)
		}
	}
	parent.kids = slices.Insert(parent.kids, at, child)
	child.parent = parent
}

func (n *fakeNode) out() {
	i := slices.Index(n.parent.kids, n)
	n.parent.kids = slices.Delete(n.parent.kids, i, i+1)
	n.parent = nil
}

// String prints the node and all in it, one way for one state.
func (n *fakeNode) String() string {
	switch n.tag {
	case "":
		return n.data
	case "!":
		return "<!--" + n.data + "-->"
	}
	var b strings.Builder
	fmt.Fprintf(&b, "<%s", n.tag)
	if n.ns != 0 {
		fmt.Fprintf(&b, " ns%d", n.ns)
	}
	for _, m := range []map[string]string{n.attrs, n.props} {
		names := make([]string, 0, len(m))
		for k := range m {
			names = append(names, k)
		}
		sort.Strings(names)
		for _, k := range names {
			fmt.Fprintf(&b, " %s=%q", k, m[k])
		}
	}
	events := make([]string, 0, len(n.listen))
	for k := range n.listen {
		events = append(events, k)
	}
	sort.Strings(events)
	for _, k := range events {
		b.WriteString(" @" + k)
	}
	b.WriteString(">")
	for _, k := range n.kids {
		b.WriteString(k.String())
	}
	b.WriteString("</" + n.tag + ">")
	return b.String()
}

func (n *fakeNode) inner() string {
	var b strings.Builder
	for _, k := range n.kids {
		b.WriteString(k.String())
	}
	return b.String()
}

// find returns the first element with the tag.
func (n *fakeNode) find(tag string) *fakeNode {
	if n.tag == tag {
		return n
	}
	for _, k := range n.kids {
		if f := k.find(tag); f != nil {
			return f
		}
	}
	return nil
}

// view is a component whose output a test sets.
type view struct {
	out   func(in *vugu.BuildIn) []*vugu.VGNode
	comps []vugu.Builder
}

func (v *view) Build(in *vugu.BuildIn) *vugu.BuildOut {
	return &vugu.BuildOut{Out: v.out(in), Components: v.comps}
}

func el(tag string, kids ...*vugu.VGNode) *vugu.VGNode {
	n := &vugu.VGNode{Type: vugu.ElementNode, Data: tag}
	for _, k := range kids {
		n.AppendChild(k)
	}
	return n
}

func with(n *vugu.VGNode, attrs ...string) *vugu.VGNode {
	for i := 0; i < len(attrs); i += 2 {
		n.Attr = append(n.Attr, vugu.VGAttribute{Key: attrs[i], Val: attrs[i+1]})
	}
	return n
}

func on(n *vugu.VGNode, event string, f func()) *vugu.VGNode {
	n.DOMEventHandlerSpecList = append(n.DOMEventHandlerSpecList, vugu.DOMEventHandlerSpec{EventType: event, Func: func(vugu.DOMEvent) { f() }})
	return n
}

func txt(s string) *vugu.VGNode { return &vugu.VGNode{Type: vugu.TextNode, Data: s} }

func comp(b vugu.Builder) *vugu.VGNode { return &vugu.VGNode{Component: b} }

// draw starts a renderer on a fake page.
func draw(t *testing.T, root vugu.Builder, opts ...Option) (*Renderer, *fakePage) {
	t.Helper()
	p := newFakePage(t)
	r, err := newRenderer(p, root, opts)
	if err != nil {
		t.Fatal(err)
	}
	if err := r.Render(); err != nil {
		t.Fatal(err)
	}
	return r, p
}

// fire delivers an event to the first element with the tag.
func (p *fakePage) fire(r *Renderer, tag, event string) {
	n := p.root().find(tag)
	for id, m := range p.nodes {
		if m == n {
			r.deliver(id, event, false, nil)
			return
		}
	}
	p.t.Fatalf("no <%s> to fire %s on", tag, event)
}
