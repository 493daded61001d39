package scene

import (
	"fmt"
	"strings"

	"github.com/vugu/vugu"
)

// Swap shows A or B in the same place, as elements, templates and components.
type Swap struct {
	record
	On bool
}

func (c *Swap) hit(name string) {
	c.add(name)
	c.On = !c.On
}

// Press is a button that says its name.
type Press struct {
	Name string
	Hit  func(string)
}

// List empties and fills lists.
type List struct {
	record
	Items []string
}

func (c *List) fill() { c.Items = []string{"one", "two", "three"} }

func (c *List) html() vugu.HTML {
	return vugu.HTML(strings.Repeat("<i>x</i>", len(c.Items)))
}

// Long holds texts longer than any fixed buffer.
type Long struct {
	Ascii, Unicode string
	times          int
}

func (c *Long) grow() {
	c.times++
	c.Ascii = strings.Repeat("abcdefghij", 10_000*c.times)
	c.Unicode = strings.Repeat("é€\U0001F527<&\"", 10_000*c.times)
}

func (c *Long) markup() vugu.HTML {
	return vugu.HTML(strings.Repeat("<b>é</b>", 10_000*c.times))
}

// Words puts a text between braces, as text nodes.
type Words struct{ Text string }

// Raw is a component of one text node.
type Raw struct{ Text string }

// Build makes the text node; a template can't, it would make content of it.
func (c *Raw) Build(*vugu.BuildIn) *vugu.BuildOut {
	return &vugu.BuildOut{Out: []*vugu.VGNode{{Type: vugu.TextNode, Data: c.Text}}}
}

// Styled sets the style attribute, which the page's policy forbids inline.
type Styled struct{ Width int }

func (c *Styled) style() any {
	if c.Width == 0 {
		return nil
	}
	return fmt.Sprintf("width: %dpx; height: 10px; fill: rgb(1, 2, 3)", c.Width)
}

// Drawing has components inside svg.
type Drawing struct{ R int }

// Dot is a circle, which means something only inside svg.
type Dot struct{ R int }

// Deep is a group with a Dot in it.
type Deep struct{ R int }

// Fade is an element whose name has a capital letter.
type Fade struct{ _ byte }

// Fault goes wrong on demand.
type Fault struct {
	Count    int
	BadBuild bool
}

func (c *Fault) fail() {
	c.Count += 10
	panic("on demand")
}

func (c *Fault) broken() string { panic("in the build") }

func (c *Fault) attrs() vugu.VGAttributeLister {
	return vugu.AttrMap{"not a name!": "x", "title": "fine"}
}
