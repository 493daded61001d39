package ui

import (
	"strconv"

	"github.com/vugu/vugu"

	"portwright/engine/unit"
	"portwright/wasm/app"
	"portwright/wasm/view"
)

// EnginePage is station Engine.
type EnginePage struct {
	View *view.EngineView
	Send func(app.Msg)
}

// EngineRows lists fields with their values.
type EngineRows struct{ Rows []view.FieldRow }

func (c *EnginePage) undo() { c.Send(app.EngineUndo{}) }

func (c *EngineRows) known(r view.FieldRow) string { return strconv.FormatBool(r.Known) }
func (c *EngineRows) words(r view.FieldRow) string { return strconv.FormatBool(r.Words) }

// EngineParts lists windows and passes.
type EngineParts struct {
	View *view.EngineView
	Send func(app.Msg)
}

func (c *EngineParts) move(id string, by int) { c.Send(app.MoveWindow{ID: id, By: by}) }
func (c *EngineParts) out(path string)        { c.Send(app.TakeOut{Part: path}) }
func (c *EngineParts) in(path string)         { c.Send(app.PutIn{Part: path}) }
func (c *EngineParts) add(kind string)        { c.Send(app.AddWindow{Kind: kind}) }
func (c *EngineParts) take(pass string)       { c.Send(app.BenchPass{Pass: pass}) }
func (c *EngineParts) addPass()               { c.Send(app.AddPass{}) }

// EngineConflict shows both values of a field and lets one be chosen.
type EngineConflict struct {
	View view.ConflictView
	Send func(app.Msg)
}

func (c *EngineConflict) used(v view.ConflictValue) string { return strconv.FormatBool(v.Used) }
func (c *EngineConflict) decide(head string)               { c.Send(app.Decide{Path: c.View.Path, Head: head}) }

// EngineField is the field in hand, large.
type EngineField struct {
	View *view.FieldView
	Send func(app.Msg)
}

func (c *EngineField) choose(v string) { c.Send(app.EngineChoose{Path: c.View.Path, Value: v}) }

// goOn keeps what is typed before it leads to another field.
func (c *EngineField) goOn(e vugu.DOMEvent, hash string) {
	e.PreventDefault()
	c.Send(app.EngineKeep{To: hash})
}

// optionID gives the first option the place that the focus goes to.
func (c *EngineField) optionID(i int) string {
	if i == 0 {
		return "field"
	}
	return "field-" + strconv.Itoa(i)
}

// EngineEntry is where a number or words are typed.
type EngineEntry struct {
	View *view.FieldView
	Send func(app.Msg)
}

func (c *EngineEntry) mode() string {
	switch {
	case c.View.Words:
		return "text"
	case c.View.Decimal:
		return "decimal"
	}
	return "numeric"
}

func (c *EngineEntry) invalid() string { return strconv.FormatBool(len(c.View.Faults) > 0) }
func (c *EngineEntry) words() string   { return strconv.FormatBool(c.View.Words) }

func (c *EngineEntry) keepWord() string {
	switch {
	case c.View.Changed:
		return "Keep"
	case c.View.After == "":
		return "Back"
	}
	return "Next"
}

func (c *EngineEntry) submit(e vugu.DOMEvent) {
	e.PreventDefault()
	c.Send(app.EngineKeep{})
}

func (c *EngineEntry) typed(e vugu.DOMEvent) {
	c.Send(app.EngineType{Text: e.PropString("target", "value")})
}
func (c *EngineEntry) stroke()       { c.Send(app.EngineSlash{}) }
func (c *EngineEntry) sure()         { c.Send(app.EngineKeep{Sure: true}) }
func (c *EngineEntry) unit(u string) { c.Send(app.EngineUnit{Unit: unit.LengthUnit(u)}) }
func (c *EngineEntry) sign()         { c.Send(app.EngineSign{}) }
func (c *EngineEntry) suggest()      { c.Send(app.EngineTake{Length: c.View.Length}) }
func (c *EngineEntry) unknown()      { c.Send(app.EngineNotKnown{}) }

// EngineLearn learns the rod from pairs of depth and angle.
type EngineLearn struct {
	View *view.LearnView
	Send func(app.Msg)
}

func (c *EngineLearn) cell(row, col int) string {
	return "pair-" + strconv.Itoa(row) + "-" + strconv.Itoa(col)
}

func (c *EngineLearn) typed(row, col int, e vugu.DOMEvent) {
	c.Send(app.LearnType{Row: row, Col: col, Text: e.PropString("target", "value")})
}
func (c *EngineLearn) unit(u string) { c.Send(app.LearnUnit{Unit: unit.LengthUnit(u)}) }
func (c *EngineLearn) drop(row int)  { c.Send(app.LearnDrop{Row: row}) }
func (c *EngineLearn) fill()         { c.Send(app.LearnFill{}) }
func (c *EngineLearn) take()         { c.Send(app.LearnTake{}) }
