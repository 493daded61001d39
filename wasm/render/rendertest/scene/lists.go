package scene

import (
	"fmt"

	"github.com/vugu/vugu"
	"github.com/vugu/vugu/js"
)

// Life records lifecycle calls, its own too, into window.seen.
type Life struct {
	On  bool
	Log func(string)
}

func see(s string) { js.Global().Get("seen").Call("push", s) }

// Init is called once.
func (c *Life) Init() { c.Log = see }

// Rendered is called on the root too.
func (c *Life) Rendered(ctx vugu.RenderedCtx) { see(fmt.Sprint("root ", ctx.First())) }

// Mortal is a component with one of its kind inside.
type Mortal struct {
	Name  string
	Log   *func(string)
	Depth int
}

// Rendered and Destroy tell that they were called.
func (c *Mortal) Rendered(ctx vugu.RenderedCtx) { (*c.Log)(fmt.Sprint(c.Name, " ", ctx.First())) }

// Destroy tells that the component is gone.
func (c *Mortal) Destroy() { (*c.Log)(c.Name + " destroyed") }

// Moves shows keyed rows in any order.
type Moves struct {
	record
	Keys []string
}

// Row is a row made of nested components.
type Row struct {
	Key string
	At  int
}

// Cell is the component inside a Row.
type Cell struct{ Key string }

// Churn comes and goes with all that holds on to a handler.
type Churn struct {
	record
	On   bool
	Hits int
	Made int
}

func (c *Churn) made(js.Value) { c.Made++ }

// Native has elements whose state the browser keeps.
type Native struct{ Ticks int }

// Foreign holds content that other scripts put there.
type Foreign struct{ Ticks, Made int }

func (c *Foreign) make(v js.Value) {
	c.Made++
	b := js.Global().Get("document").Call("createElement", "b")
	b.Set("textContent", fmt.Sprint("made ", c.Made))
	v.Call("appendChild", b)
}

func (c *Foreign) fill(v js.Value) { v.Get("dataset").Set("filled", c.Ticks) }

// Rows is a long table, to measure with.
type Rows struct {
	Count  int
	Picked string
	Rows   []Line
}

// Line is one row.
type Line struct{ Key, Name, Value string }

// NewRows returns a table of n rows.
func NewRows(n int) *Rows {
	r := &Rows{}
	for i := range n {
		r.Rows = append(r.Rows, Line{Key: fmt.Sprint(i), Name: fmt.Sprintf("reading %d", i), Value: fmt.Sprintf("%.1f", 100+float64(i%40)/2)})
	}
	return r
}
