package ui

import (
	"portwright/wasm/app"
	"portwright/wasm/view"
)

// SheetPage is station Sheet.
type SheetPage struct {
	View *view.SheetView
	Send func(app.Msg)
}

func (c *SheetPage) print()   { c.Send(app.SheetPrint{}) }
func (c *SheetPage) share()   { c.Send(app.SheetShare{}) }
func (c *SheetPage) numbers() { c.Send(app.SheetNumbers{}) }
func (c *SheetPage) file()    { c.Send(app.ShareBuild{}) }
func (c *SheetPage) csv()     { c.Send(app.ShareReadings{}) }
