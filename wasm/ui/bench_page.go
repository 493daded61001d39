package ui

import (
	"portwright/wasm/app"
	"portwright/wasm/view"
)

// BenchPage is station Bench.
type BenchPage struct {
	View *view.BenchView
	Nav  []view.NavItem
	Send func(app.Msg)
}

// asking says that a question is on the screen.
func (c *BenchPage) asking() bool { return c.View.Setup == nil && c.View.Done == nil }

// BenchAsk is the question in words, with the wheel.
type BenchAsk struct {
	View view.BenchAsk
	Send func(app.Msg)
}

func (c *BenchAsk) help() { c.Send(app.BenchPanel{Panel: app.PanelHelp}) }

// BenchDial is the wheel, turned to the value in hand.
type BenchDial struct{ View *view.Dial }

// BenchValue is the value in hand with the small keys beside it.
type BenchValue struct {
	View view.BenchValue
	Send func(app.Msg)
}

func (c *BenchValue) back()     { c.Send(app.BenchStep{By: -1}) }
func (c *BenchValue) takeBack() { c.Send(app.TakeBack{}) }
func (c *BenchValue) method()   { c.Send(app.BenchPanel{Panel: app.PanelMethod}) }

// BenchTape is the kept readings of the question in hand, or why the value
// can't be kept.
type BenchTape struct {
	View   view.BenchTape
	Refuse string
	Send   func(app.Msg)
}

func (c *BenchTape) list()  { c.Send(app.BenchPanel{Panel: app.PanelList}) }
func (c *BenchTape) offer() { c.Send(c.View.Offer.Msg) }

// BenchChips are kept readings, each a button to strike it out.
type BenchChips struct {
	Chips []view.Chip
	Send  func(app.Msg)
}

func (c *BenchChips) pick(id string) { c.Send(app.BenchChip{ID: id}) }

// BenchSays is what the kept readings say, a way to the findings.
type BenchSays struct {
	Cells []view.Cell
	Wait  string // while there are no numbers
	To    string
}

// BenchPad is the keypad.
type BenchPad struct {
	View view.BenchKeys
	Send func(app.Msg)
}

func (c *BenchPad) key(k string) { c.Send(app.BenchType{Key: k}) }
func (c *BenchPad) keep()        { c.Send(app.BenchKeep{}) }
func (c *BenchPad) same()        { c.Send(app.BenchSame{}) }
func (c *BenchPad) skip()        { c.Send(app.BenchSkip{}) }

// BenchOver lies over the keypad: help, a choice, a doubt.
type BenchOver struct {
	View *view.BenchPanel
	Send func(app.Msg)
}

// Picks are buttons of which one may hold.
type Picks struct {
	Buttons []view.Button
	Send    func(app.Msg)
}

// BenchList is every question with what is kept for it, and the choices that
// hold for the pass.
type BenchList struct {
	View view.BenchList
	Nav  []view.NavItem
	Open bool
	Send func(app.Msg)
}

func (c *BenchList) close()                  { c.Send(app.BenchPanel{Panel: app.PanelList}) }
func (c *BenchList) passes()                 { c.Send(app.BenchPanel{Panel: app.PanelPass}) }
func (c *BenchList) stepID(id string) string { return app.FocusStep + id }
func (c *BenchList) goTo(id string)          { c.Send(app.BenchGo{Step: id}) }
