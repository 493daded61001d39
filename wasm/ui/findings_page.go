package ui

import (
	"strconv"

	"portwright/wasm/app"
	"portwright/wasm/view"
)

// FindingsPage is station Findings.
type FindingsPage struct {
	View *view.FindingsView
	Send func(app.Msg)
}

// FindingsPasses lists all passes of the build.
type FindingsPasses struct {
	Rows []view.PassRow
	Send func(app.Msg)
}

func (c *FindingsPasses) pick(id string) { c.Send(app.BenchPass{Pass: id}) }

// FindingsProblems shows what is wrong and what was corrected.
type FindingsProblems struct {
	View *view.FindingsView
	Send func(app.Msg)
}

// titleID is where the focus goes when a correction was taken back.
func (c *FindingsProblems) titleID(i int) string { return "problem-" + strconv.Itoa(i) }

func (c *FindingsProblems) apply(i int)    { c.Send(app.ApplyRemedy{Problem: i}) }
func (c *FindingsProblems) undo(id string) { c.Send(app.UndoRemedy{Correction: id}) }

// FindingsPorts is the two tables of the windows.
type FindingsPorts struct{ View *view.FindingsView }

// FindingsChange is the difference to another pass.
type FindingsChange struct{ View *view.FindingsView }

// FindingsRing is the timing ring.
type FindingsRing struct{ View *view.FindingsView }

// FindingsPicture is a drawing with what explains it.
type FindingsPicture struct{ View view.Picture }

func (c *FindingsPicture) id() string { return c.View.ID + "-title" }

// FindingsNeeds says what more numbers would tell.
type FindingsNeeds struct {
	Rows []view.NeedRow
	Send func(app.Msg)
}

// FindingsShare hands out the files.
type FindingsShare struct{ Send func(app.Msg) }

func (c *FindingsShare) file() { c.Send(app.ShareBuild{}) }
func (c *FindingsShare) csv()  { c.Send(app.ShareReadings{}) }
