package render

import (
	"fmt"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/vugu/vugu"
)

// one is a root that shows what f returns.
func one(f func() *vugu.VGNode) *view {
	return &view{out: func(*vugu.BuildIn) []*vugu.VGNode { return []*vugu.VGNode{f()} }}
}

func TestEventDuringRenderWaits(t *testing.T) {
	var log []string
	editing := true
	root := one(func() *vugu.VGNode {
		div := on(el("div"), "focusout", func() { log = append(log, "div focusout") })
		if editing {
			div.AppendChild(on(on(el("input"), "keydown", func() {
				log = append(log, "enter")
				editing = false
			}), "blur", func() { log = append(log, "input blur") }))
		} else {
			div.AppendChild(on(el("button"), "click", func() { log = append(log, "click") }))
		}
		return div
	})
	r, p := draw(t, root)
	input, div := r.tree.kids[0].kids[0].id, r.tree.kids[0].id
	p.onRun = func() { // a removal blurs the field, as a browser does it
		p.onRun = nil
		r.deliver(input, "blur", false, nil)
		r.deliver(div, "focusout", false, nil)
		if len(log) != 1 {
			t.Errorf("a handler ran during the render: %q", log)
		}
	}
	p.fire(r, "input", "keydown")
	want := []string{"enter", "div focusout"}
	if !slices.Equal(log, want) {
		t.Errorf("handlers: %q, want %q", log, want)
	}
	if got := p.root().inner(); got != "<div @focusout/0><button @click/0></button></div>" {
		t.Errorf("the page shows %s", got)
	}
	p.fire(r, "button", "click")
	if log[len(log)-1] != "click" {
		t.Errorf("the app is dead: %q", log)
	}
}

func TestEventInsideHandlerWaitsItsTurn(t *testing.T) {
	var log []string
	var r *Renderer
	var p *fakePage
	root := one(func() *vugu.VGNode {
		return el("div",
			on(el("button"), "click", func() {
				log = append(log, "click begins")
				p.fire(r, "input", "focus")
				r.Do(func() { log = append(log, "done later") })
				log = append(log, "click ends")
			}),
			on(el("input"), "focus", func() { log = append(log, "focus") }))
	})
	r, p = draw(t, root)
	p.fire(r, "button", "click")
	if want := []string{"click begins", "click ends", "focus", "done later"}; !slices.Equal(log, want) {
		t.Errorf("order %q, want %q", log, want)
	}
	if n := r.Stats().Renders; n != 2 {
		t.Errorf("%d renders, want 2: the first and one for the whole turn", n)
	}
}

func TestReplacedElementKeepsNoHandler(t *testing.T) {
	for _, sameTag := range []bool{true, false} {
		var log []string
		swapped := false
		root := one(func() *vugu.VGNode {
			if swapped {
				return el("div", on(el("button", txt("B")), "click", func() { log = append(log, "B") }))
			}
			tag := "button"
			if !sameTag {
				tag = "a"
			}
			return el("div", on(el(tag, txt("A")), "click", func() { log = append(log, "A"); swapped = true }))
		})
		r, p := draw(t, root)
		a := r.tree.kids[0].kids[0].id
		r.deliver(a, "click", false, nil)
		p.fire(r, "button", "click")
		if !sameTag {
			r.deliver(a, "click", false, nil) // the old element's listener, still referenced somewhere
		}
		if want := []string{"A", "B"}; !slices.Equal(log, want) {
			t.Errorf("same tag %v: handlers %q, want %q", sameTag, log, want)
		}
	}
}

func TestHandlersOfOneElement(t *testing.T) {
	var log []string
	named := true
	root := one(func() *vugu.VGNode {
		b := el("button")
		add := func(name, event string, capture bool) {
			b.DOMEventHandlerSpecList = append(b.DOMEventHandlerSpecList, vugu.DOMEventHandlerSpec{
				EventType: event, Capture: capture, Func: func(vugu.DOMEvent) { log = append(log, name) },
			})
		}
		add("one", "click", false)
		add("two", "click", false)
		add("down", "click", true)
		if named {
			add("key", "keydown", false)
		}
		return b
	})
	r, p := draw(t, root)
	id := r.tree.kids[0].id
	r.deliver(id, "click", true, nil)
	r.deliver(id, "click", false, nil)
	r.deliver(id, "keydown", false, nil)
	if want := []string{"down", "one", "two", "key"}; !slices.Equal(log, want) {
		t.Errorf("handlers %q, want %q", log, want)
	}
	named = false
	if err := r.Render(); err != nil {
		t.Fatal(err)
	}
	if got := p.root().inner(); got != "<button @click/0 @click/1></button>" {
		t.Errorf("the page shows %s", got)
	}
}

func TestPanicsAreToldAndTheAppGoesOn(t *testing.T) {
	var told []string
	n, broken := 0, false
	root := one(func() *vugu.VGNode {
		if broken {
			panic("no such window")
		}
		return on(on(el("button", txt(fmt.Sprint(n))), "click", func() { n++ }), "keydown", func() { n = 100; panic("no such key") })
	})
	var r *Renderer
	r, p := draw(t, root, OnPanic(func(f Panic) {
		told = append(told, f.Error())
		n++
	}))
	p.fire(r, "button", "keydown")
	if want := "keydown handler of <button>: no such key"; !slices.Contains(told, want) {
		t.Errorf("told %q, want %q", told, want)
	}
	if got := p.root().inner(); !strings.Contains(got, "101") {
		t.Errorf("the page shows %s, want what the handler and OnPanic left", got)
	}
	if len(p.reports) != 1 || !strings.Contains(p.reports[0], "no such key") || !strings.Contains(p.reports[0], "renderer_test.go") {
		t.Errorf("the console got %q, want the reason and the stack", p.reports)
	}

	broken = true
	err := r.Render()
	if err == nil || !strings.Contains(err.Error(), "no such window") {
		t.Errorf("Render returned %v", err)
	}
	if got := p.root().inner(); !strings.Contains(got, "101") {
		t.Errorf("a failed build changed the page: %s", got)
	}
	broken = false
	p.fire(r, "button", "click")
	if got := p.root().inner(); !strings.Contains(got, "103") { // OnPanic, click
		t.Errorf("after the fault the page shows %s", got)
	}
}

func TestPageThatThrowsIsDrawnAnew(t *testing.T) {
	n := 0
	root := one(func() *vugu.VGNode {
		return el("div", on(el("button", txt(fmt.Sprint(n))), "click", func() { n++ }), with(el("p"), "class", fmt.Sprint(n)))
	})
	r, p := draw(t, root)
	old := r.tree.kids[0].kids[0].id
	p.fail = 1
	p.fire(r, "button", "click")
	want := `<div><button @click/0>1</button><p class="1"></p></div>`
	if got := p.root().inner(); got != want || len(p.reports) != 1 {
		t.Errorf("the page shows %s, want %s; reports %q", got, want, p.reports)
	}
	r.deliver(old, "click", false, nil)
	if n != 1 {
		t.Errorf("a listener of the broken page still counts")
	}
	p.fire(r, "button", "click")
	if got := p.root().find("button").inner(); got != "2" {
		t.Errorf("after the fault the button shows %s", got)
	}
}

func TestRefusals(t *testing.T) {
	for name, root := range map[string]vugu.Builder{
		"style":  &carrier{out: vugu.BuildOut{Out: []*vugu.VGNode{el("p")}, CSS: []*vugu.VGNode{el("style", txt("p{}"))}}},
		"script": &carrier{out: vugu.BuildOut{Out: []*vugu.VGNode{el("p")}, JS: []*vugu.VGNode{el("script", txt("1"))}}},
		"html":   one(func() *vugu.VGNode { return el("html") }),
		"inner":  one(func() *vugu.VGNode { return el("div", el("script")) }),
	} {
		p := newFakePage(t)
		r, err := newRenderer(p, root, nil)
		if err != nil {
			t.Fatal(err)
		}
		err = r.Render()
		if err == nil || len(p.reports) == 0 {
			t.Errorf("%s: err %v, reports %q; want a refusal", name, err, p.reports)
		}
	}
}

type carrier struct{ out vugu.BuildOut }

func (c *carrier) Build(*vugu.BuildIn) *vugu.BuildOut { return &c.out }

// told records its lifecycle.
type told struct {
	name string
	log  *[]string
	kids []vugu.Builder
	hide bool
}

func (c *told) Build(*vugu.BuildIn) *vugu.BuildOut {
	out := &vugu.BuildOut{}
	if c.hide {
		return out
	}
	n := el("div", txt(c.name))
	for _, k := range c.kids {
		n.AppendChild(comp(k))
		out.Components = append(out.Components, k)
	}
	out.Out = []*vugu.VGNode{n}
	return out
}

func (c *told) Rendered(ctx vugu.RenderedCtx) {
	*c.log = append(*c.log, fmt.Sprintf("%s %v", c.name, ctx.First()))
	if ctx.EventEnv() == nil {
		panic("no EventEnv")
	}
}

func (c *told) Destroy() { *c.log = append(*c.log, c.name+" destroyed") }

func TestRenderedEverywhere(t *testing.T) {
	var log []string
	deep := &told{name: "deep", log: &log}
	empty := &told{name: "empty", log: &log, hide: true}
	mid := &told{name: "mid", log: &log, kids: []vugu.Builder{deep, empty}}
	side := &told{name: "side", log: &log}
	root := &told{name: "root", log: &log, kids: []vugu.Builder{mid, side}}
	r, _ := draw(t, root)
	if want := []string{"deep true", "empty true", "mid true", "side true", "root true"}; !slices.Equal(log, want) {
		t.Errorf("first: %q, want %q", log, want)
	}
	log = nil
	root.kids = []vugu.Builder{mid}
	_ = r.Render()
	if want := []string{"side destroyed", "deep false", "empty false", "mid false", "root false"}; !slices.Equal(log, want) {
		t.Errorf("second: %q, want %q", log, want)
	}
	log = nil
	root.kids = []vugu.Builder{mid, side}
	_ = r.Render()
	if !slices.Contains(log, "side true") {
		t.Errorf("shown again: %q, want the first time anew", log)
	}
	log = nil
	r.Close()
	slices.Sort(log)
	if want := []string{"deep destroyed", "empty destroyed", "mid destroyed", "root destroyed", "side destroyed"}; !slices.Equal(log, want) {
		t.Errorf("closed: %q, want %q", log, want)
	}
	r.Do(func() { log = nil })
	if log != nil || r.Stats().Nodes != 0 {
		t.Errorf("after Close: %d nodes, log %q", r.Stats().Nodes, log)
	}
}

func TestEndlessRendersGiveThePageTime(t *testing.T) {
	var r *Renderer
	asks := 200
	root := one(func() *vugu.VGNode { return el("p", txt(fmt.Sprint(asks))) })
	r, p := draw(t, root, OnRendered(func() {
		if asks > 0 && r != nil {
			asks--
			r.Do(func() {})
		}
	}))
	r.Do(func() {})
	for p.soonFn != nil {
		f := p.soonFn
		p.soonFn = nil
		f()
	}
	if asks != 0 || p.root().inner() != "<p>0</p>" {
		t.Errorf("%d asks left, the page shows %s", asks, p.root().inner())
	}
	if len(p.reports) != 1 || !strings.Contains(p.reports[0], "in a row") {
		t.Errorf("reports %q, want one", p.reports)
	}
}

// TestManyGoroutines checks that turns never overlap and none is lost.
func TestManyGoroutines(t *testing.T) {
	n := 0
	root := one(func() *vugu.VGNode { return el("p", txt(fmt.Sprint(n))) })
	r, p := draw(t, root)
	var wg sync.WaitGroup
	for i := range 8 {
		wg.Go(func() {
			for range 50 {
				switch i % 3 {
				case 0:
					r.Do(func() { n++ })
				case 1:
					e := r.EventEnv()
					e.Lock()
					n++
					e.UnlockRender()
				default:
					e := r.EventEnv()
					e.Lock()
					n++
					e.UnlockOnly()
				}
			}
		})
	}
	over := make(chan struct{})
	go func() { wg.Wait(); close(over) }()
	select {
	case <-over:
	case <-time.After(20 * time.Second):
		t.Fatal("the goroutines wait for one another for ever")
	}
	if err := r.Render(); err != nil {
		t.Fatal(err)
	}
	if got := p.root().inner(); got != "<p>400</p>" {
		t.Errorf("the page shows %s, want 400", got)
	}
}

func TestFormControls(t *testing.T) {
	value, checked := "1", true
	root := one(func() *vugu.VGNode {
		in := with(el("input"), "type", "text")
		in.Prop = []vugu.VGProperty{{Key: "value", JSONVal: []byte(`"` + value + `"`)}}
		box := with(el("input"), "type", "checkbox")
		box.Prop = []vugu.VGProperty{{Key: "checked", JSONVal: []byte(fmt.Sprint(checked))}}
		return el("div", in, box)
	})
	r, p := draw(t, root)
	in := p.root().find("input")
	if in.props["value"] != `"1"` || p.root().kids[0].kids[1].props["checked"] != "1" {
		t.Fatalf("the page shows %s", p.root().inner())
	}
	delete(in.props, "value") // a mark: an unchanged value is not written again
	if err := r.Render(); err != nil {
		t.Fatal(err)
	}
	if v, written := in.props["value"]; written {
		t.Errorf("the unchanged value was written again: %s", v)
	}
	value, checked = "2", false
	if err := r.Render(); err != nil {
		t.Fatal(err)
	}
	if in.props["value"] != `"2"` || p.root().kids[0].kids[1].props["checked"] != "0" {
		t.Errorf("the page shows %s", p.root().inner())
	}
}

func TestUTF16Len(t *testing.T) {
	for s, want := range map[string]uint32{"": 0, "abc": 3, "é": 1, "€": 1, "\U0001F527": 2, "a\U0001F527é": 4} {
		if got := utf16Len(s); got != want {
			t.Errorf("utf16Len(%q) = %d, want %d", s, got, want)
		}
	}
}

func TestSVGNames(t *testing.T) {
	for in, want := range map[string]string{"lineargradient": "linearGradient", "clippath": "clipPath", "path": "path", "g": "g", "foreignobject": "foreignObject", "fedropshadow": "feDropShadow", "textPath": "textPath"} {
		if got := svgTag(in); got != want {
			t.Errorf("svgTag(%q) = %q, want %q", in, got, want)
		}
	}
}

func TestWire(t *testing.T) {
	var wired []vugu.Builder
	inner := &view{out: func(*vugu.BuildIn) []*vugu.VGNode { return []*vugu.VGNode{el("i")} }}
	root := &view{comps: []vugu.Builder{inner}}
	root.out = func(in *vugu.BuildIn) []*vugu.VGNode {
		in.BuildEnv.WireComponent(inner) // as generated code does for a new component
		return []*vugu.VGNode{el("div", comp(inner))}
	}
	_, p := draw(t, root, Wire(func(b vugu.Builder) { wired = append(wired, b) }))
	if len(wired) != 1 || wired[0] != vugu.Builder(inner) || p.root().inner() != "<div><i></i></div>" {
		t.Errorf("wired %v, the page shows %s", wired, p.root().inner())
	}
}
