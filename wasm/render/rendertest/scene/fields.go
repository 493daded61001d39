package scene

import (
	"fmt"
	"strings"

	"github.com/vugu/vugu"
	"github.com/vugu/vugu/js"
)

// Edit is an inline edit: its field goes away at Enter, while it has the focus.
type Edit struct {
	record
	Text           string
	Editing, Inner bool
}

func (c *Edit) key(e vugu.DOMEvent) {
	if e.PropString("key") == "Enter" {
		c.Editing = false
	}
}

// Calls moves the focus and clicks from inside handlers and Rendered.
type Calls struct {
	record
	Grab bool
}

func element(id string) js.Value {
	return js.Global().Get("document").Call("getElementById", id)
}

func (c *Calls) focus(e vugu.DOMEvent) {
	c.add("begin")
	element("a").Call("focus")
	c.add("end " + e.PropString("type"))
}

func (c *Calls) blur() {
	element("a").Call("focus")
	element("a").Call("blur")
}

func (c *Calls) click() {
	c.add("begin")
	element("other").Call("click")
	c.add("end")
}

// Rendered takes the focus once after each tap on Next.
func (c *Calls) Rendered() {
	if c.Grab {
		c.Grab = false
		element("b").Call("focus")
		element("other").Call("click")
	}
}

// Numbers has every kind of form control.
type Numbers struct {
	Text, Number, Comma, Stays string
	Box                        bool
	Radio, Choice              string
	Choices                    []string
	Ticks                      int
}

func (c *Numbers) point(e vugu.DOMEvent) {
	c.Comma = strings.ReplaceAll(e.PropString("target", "value"), ",", ".")
}

func (c *Numbers) set() {
	c.Text, c.Number, c.Choice = "7.25", "8.5", "d"
	c.Choices = []string{"c", "d"}
}

func (c *Numbers) model() string {
	return fmt.Sprintf("%s|%s|%s|%s|%v|%s|%s", c.Text, c.Number, c.Comma, c.Stays, c.Box, c.Radio, c.Choice)
}

// Events reads and stops events.
type Events struct{ record }

func (c *Events) submit(e vugu.DOMEvent) {
	e.PreventDefault()
	c.add("submit")
}

func (c *Events) key(e vugu.DOMEvent) {
	if e.PropString("key") == "x" {
		e.PreventDefault()
	}
	c.add(fmt.Sprintf("%s %s %v %v", e.PropString("key"), e.PropString("code"), e.PropBool("shiftKey"), e.Prop("absent", "deeper")))
}

func (c *Events) stop(e vugu.DOMEvent) {
	e.StopPropagation()
	c.add("stopped")
}

func (c *Events) see(e vugu.DOMEvent) {
	c.add(fmt.Sprintf("target %s current %s/%s detail %v/%v summary %v",
		e.PropString("target", "id"), e.PropString("currentTarget", "id"), e.JSEventCurrentTarget().Get("id"),
		e.PropFloat64("detail"), e.Prop("detail"), e.EventSummary()["target"].(map[string]any)["id"]))
}
