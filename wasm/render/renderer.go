package render

import (
	"reflect"
	"strconv"

	"github.com/vugu/vugu"
	vjs "github.com/vugu/vugu/js"

	"portwright/wasm/trace"
)

// surface is the page as far as the renderer needs it.
type surface interface {
	run(code, text []byte)    // carries out a program
	node(id uint32) vjs.Value // the element, for create and populate handlers
	reset()                   // forgets all nodes
	report(text string)       // says a fault where a developer looks
	soon(f func())            // runs f after the page had time for itself
	close()
}

// Panic tells what went wrong inside a handler, a build or a lifecycle method.
type Panic struct {
	Where string // what was running
	Value any    // what it panicked with
	Stack string
}

func (p Panic) Error() string { return p.Where + ": " + valueText(p.Value) }

// valueText is what a fault panicked with, in words.
func valueText(v any) string {
	switch v := v.(type) {
	case error:
		return v.Error()
	case string:
		return v
	case interface{ String() string }:
		return v.String()
	}
	return "a panic with a value of type " + typeName(v)
}

func typeName(v any) string {
	if v == nil {
		return "nil"
	}
	return reflect.TypeOf(v).String()
}

// Option sets a Renderer up.
type Option func(*Renderer)

// OnPanic sets a function that is told of each fault, in a turn of its own, so
// that it may change state. The fault is written to the console in any case,
// and the app goes on.
func OnPanic(f func(Panic)) Option { return func(r *Renderer) { r.onPanic = f } }

// OnRendered sets a function that runs after each render.
func OnRendered(f func()) Option { return func(r *Renderer) { r.onRendered = f } }

// Wire sets vugu's wire function, called for each component that is made.
func Wire(f func(vugu.Builder)) Option { return func(r *Renderer) { r.build.SetWireFunc(f) } }

// Renderer keeps one component tree and its part of the page the same.
type Renderer struct {
	root    vugu.Builder
	build   *vugu.BuildEnv
	page    surface
	turns   turns
	tree    *tree
	first   firsts
	dirty   bool // a render is due
	closed  bool
	renders int
	fault   *Panic // why the last render could not be shown
	warned  bool   // of renders that never end

	onPanic    func(Panic)
	onRendered func()
}

// newRenderer is New without the browser.
func newRenderer(page surface, root vugu.Builder, opts []Option) (*Renderer, error) {
	r := &Renderer{root: root, page: page, tree: newTree()}
	build, err := vugu.NewBuildEnv(r.EventEnv())
	if err != nil {
		return nil, err
	}
	r.build = build
	for _, o := range opts {
		o(r)
	}
	return r, nil
}

// Do runs f in a turn and renders. When a turn is taken, by whoever calls or by
// another goroutine, f is queued and Do returns at once.
func (r *Renderer) Do(f func()) {
	if r.turns.post(func() { r.guarded("function given to Do", f) }) {
		r.work()
	}
}

// Render draws, and returns why the tree can't be drawn. When a turn is taken
// the render is queued and nil is returned.
func (r *Renderer) Render() error {
	if !r.turns.post(func() {}) {
		return nil
	}
	r.work()
	if r.fault != nil {
		return *r.fault
	}
	return nil
}

// Close takes the view out of the page, lets vugu call Destroy on every
// component and gives up the JavaScript function.
func (r *Renderer) Close() {
	job := func() {
		if r.closed {
			return
		}
		r.guarded("Destroy", func() { r.build.RunBuild(&nothing{}) })
		r.page.close()
		r.tree, r.closed = newTree(), true
	}
	if r.turns.post(job) {
		r.work()
	}
}

// nothing is a component that shows nothing; building it ends all others.
type nothing struct{ _ byte }

func (*nothing) Build(*vugu.BuildIn) *vugu.BuildOut { return &vugu.BuildOut{} }

// rendersInARow is how often one event may cause a render before the page gets
// time for itself: with more, something asks for a render in each render.
const rendersInARow = 50

// work does what is queued, renders, and repeats until nothing is left. The
// caller has the turn.
func (r *Renderer) work() {
	for round := 0; ; round++ {
		for job := r.turns.next(); job != nil; job = r.turns.next() {
			job()
			r.dirty = true
		}
		if r.dirty && !r.closed {
			if round == rendersInARow {
				if !r.warned {
					r.warned = true
					r.page.report("render: " + strconv.Itoa(round) + " renders in a row: a handler, Rendered or OnPanic asks for another one each time")
				}
				r.page.soon(r.work)
				return
			}
			r.dirty = false
			r.draw()
			continue
		}
		if r.turns.leave() {
			return
		}
	}
}

// draw builds, compares and shows. A fault in the build leaves the page as it
// was; one in between leaves it unknown, so that it is drawn anew, once.
func (r *Renderer) draw() {
	again := r.fault != nil // OnPanic knows that nothing can be shown
	r.fault = r.show()
	if r.fault != nil {
		if !again {
			r.tell(*r.fault)
		}
		return
	}
	r.renders++
	r.hooks()
	r.lifecycle()
	if r.onRendered != nil {
		r.guarded("OnRendered", r.onRendered)
	}
}

// show builds the tree and brings the page to it.
func (r *Renderer) show() *Panic {
	var results *vugu.BuildResults
	fault := r.caught("building the components", func() {
		results = r.build.RunBuild(r.root)
		refuseFiles(results, r.root)
	})
	if fault != nil {
		return fault
	}
	update := func() {
		r.tree.update(results, r.root)
		r.page.run(r.tree.prog.code, r.tree.prog.text)
	}
	if r.caught("showing the components", update) == nil {
		return nil
	}
	r.anew()
	if fault = r.caught("showing the components anew", update); fault != nil {
		r.anew()
	}
	return fault
}

// anew forgets what is in the page. Numbers are never used again.
func (r *Renderer) anew() {
	for _, m := range r.tree.events {
		m.gone = true
	}
	last := r.tree.lastID
	r.tree = newTree()
	r.tree.lastID = last
	r.page.reset()
}

// hooks runs create and populate handlers, inner elements before outer ones.
func (r *Renderer) hooks() {
	for _, m := range r.tree.hooks {
		el := r.page.node(m.id)
		if h := m.node.JSCreateHandler; h != nil && r.tree.created[m] {
			r.guarded("vg-js-create", func() { h.JSValueHandle(el) })
		}
		if h := m.node.JSPopulateHandler; h != nil {
			r.guarded("vg-js-populate", func() { h.JSValueHandle(el) })
		}
	}
}

// deliver runs the handlers of an element for an event: at once when no turn
// is taken, else when it is over, if the element is still in the page then.
func (r *Renderer) deliver(id uint32, event string, capture bool, e vugu.DOMEvent) {
	m := r.tree.events[id]
	if m == nil {
		return
	}
	job := func() {
		if m.gone || r.closed {
			return
		}
		for _, h := range m.node.DOMEventHandlerSpecList {
			if h.EventType == event && h.Capture == capture && h.Func != nil {
				r.guarded(event+" handler of <"+m.kind.tag+">", func() { h.Func(e) })
			}
		}
	}
	if r.turns.post(job) {
		r.work()
	}
}

// guarded runs f; a panic is reported and told.
func (r *Renderer) guarded(where string, f func()) {
	if fault := r.caught(where, f); fault != nil && where != "OnPanic" {
		r.tell(*fault)
	}
}

// tell queues OnPanic.
func (r *Renderer) tell(p Panic) {
	if r.onPanic != nil {
		r.turns.post(func() { r.guarded("OnPanic", func() { r.onPanic(p) }) })
	}
}

// caught runs f and turns a panic into a report.
func (r *Renderer) caught(where string, f func()) (fault *Panic) {
	defer func() {
		if v := recover(); v != nil {
			fault = &Panic{Where: where, Value: v, Stack: trace.Stack()}
			r.page.report("render: " + fault.Error() + "\n" + fault.Stack)
		}
	}()
	f()
	return nil
}

// refuseFiles stops components that bring style sheets or scripts along.
func refuseFiles(results *vugu.BuildResults, c vugu.Builder) {
	out := results.ResultFor(c)
	if out == nil {
		return
	}
	for _, n := range append(out.CSS[:len(out.CSS):len(out.CSS)], out.JS...) {
		panic("<" + n.Data + "> in component " + typeName(c) + ": the page's policy forbids it; put it into a file that the page loads")
	}
	for _, k := range out.Components {
		refuseFiles(results, k)
	}
}

// Stats counts what the renderer holds.
type Stats struct {
	Renders  int // since New
	Nodes    int // elements, texts and comments in the page
	Handlers int // elements with listeners
	Code     int // bytes of the last program
	Text     int // bytes of its texts
}

// Stats returns the counts of now.
func (r *Renderer) Stats() Stats {
	return Stats{
		Renders: r.renders, Nodes: r.tree.nodes, Handlers: len(r.tree.events),
		Code: len(r.tree.prog.code), Text: len(r.tree.prog.text),
	}
}
