package ui

import (
	"strconv"

	"github.com/vugu/vugu"

	"portwright/wasm/app"
	"portwright/wasm/view"
)

// SectionPage is the section of the findings.
type SectionPage struct {
	View *view.SectionView
	Send func(app.Msg)
}

// SectionPicture is the picture, of which only what moves changes.
type SectionPicture struct{ View *view.SectionView }

// SectionKeys turn the crank.
type SectionKeys struct {
	View *view.SectionView
	Send func(app.Msg)
}

func (c *SectionKeys) scrub(e vugu.DOMEvent) {
	if deg, err := strconv.ParseFloat(e.PropString("target", "value"), 64); err == nil {
		c.Send(app.SectionTo{Deg: deg})
	}
}

func (c *SectionKeys) by(deg float64)  { c.Send(app.SectionBy{Deg: deg}) }
func (c *SectionKeys) event(back bool) { c.Send(app.SectionEvent{Back: back}) }
func (c *SectionKeys) play()           { c.Send(app.SectionPlay{}) }
