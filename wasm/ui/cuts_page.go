package ui

import (
	"github.com/vugu/vugu"

	"portwright/wasm/app"
	"portwright/wasm/view"
)

// CutsPage is station Cuts.
type CutsPage struct {
	View *view.CutsView
	Send func(app.Msg)
}

func (c *CutsPage) takePlan() { c.Send(app.CutsTryPlan{}) }
func (c *CutsPage) none()     { c.Send(app.CutsTryNone{}) }

// CutsSay is something said of the plan.
type CutsSay struct {
	View view.CutsSay
	Send func(app.Msg)
}

// CutsNudges are numbers with plus and minus.
type CutsNudges struct {
	Rows []view.NudgeRow
	Send func(app.Msg)
}

func (c *CutsNudges) typed(path string, e vugu.DOMEvent) {
	c.Send(app.CutsTry{Path: path, Text: e.PropString("target", "value")})
}

// CutsSteps is the cut list.
type CutsSteps struct {
	View *view.CutsView
	Send func(app.Msg)
}

func (c *CutsSteps) title() string {
	if c.View.WhatIf {
		return "Moves in their order"
	}
	return "Cut list"
}

// CutsBites is what came off.
type CutsBites struct {
	View *view.CutsView
	Send func(app.Msg)
}

func (c *CutsBites) strike(r view.BiteRow) { c.Send(app.CutsStrike{ID: r.ID, Back: r.Struck}) }
func (c *CutsBites) again()                { c.Send(app.CutsReadAgain{}) }

// CutsTable sets numbers side by side.
type CutsTable struct{ View view.CutsTable }

func (c *CutsTable) id() string { return c.View.ID + "-title" }

// CutsRules is what a plan may do.
type CutsRules struct {
	View *view.CutsView
	Send func(app.Msg)
}

func (c *CutsRules) allow(move string) { c.Send(app.CutsAllow{Move: move}) }
