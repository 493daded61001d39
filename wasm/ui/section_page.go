package ui

import (
	"strconv"

	"github.com/vugu/vugu"

	"portwright/wasm/app"
	"portwright/wasm/view"
)

// SectionPage is the section of the findings: of the picture only what moves
// changes.
type SectionPage struct {
	View *view.SectionView
	Send func(app.Msg)
}

func (c *SectionPage) scrub(e vugu.DOMEvent) {
	if deg, err := strconv.ParseFloat(e.PropString("target", "value"), 64); err == nil {
		c.Send(app.SectionTo{Deg: deg})
	}
}

func (c *SectionPage) by(deg float64)  { c.Send(app.SectionBy{Deg: deg}) }
func (c *SectionPage) event(back bool) { c.Send(app.SectionEvent{Back: back}) }
func (c *SectionPage) play()           { c.Send(app.SectionPlay{}) }
