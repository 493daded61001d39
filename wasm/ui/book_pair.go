package ui

import (
	"github.com/vugu/vugu"

	"portwright/wasm/app"
	"portwright/wasm/view"
)

func (c *BookPage) pair() { c.Send(app.PairOpen{}) }

func (c *BookPage) pairOpen() string {
	if c.View.Pair != nil {
		return "true"
	}
	return "false"
}

// BookPair asks for the code that lets this device in at the shop PC.
type BookPair struct {
	View *view.PairView
	Send func(app.Msg)
}

func (c *BookPair) submit(e vugu.DOMEvent) {
	e.PreventDefault()
	c.Send(app.PairNow{})
}

func (c *BookPair) code(e vugu.DOMEvent) {
	c.Send(app.PairCode{Text: e.PropString("target", "value")})
}

func (c *BookPair) name(e vugu.DOMEvent) {
	c.Send(app.PairName{Text: e.PropString("target", "value")})
}
