package main

import (
	"strings"
	"testing"
)

const made = `package ui

import "fmt"
import js "github.com/vugu/vugu/js"
import "github.com/vugu/vugu"

func (c *Row) Build(vgin *vugu.BuildIn) (vgout *vugu.BuildOut) {
	vgout = &vugu.BuildOut{}
	var vgiterkey interface{}
	_ = vgiterkey
	var vgn *vugu.VGNode
	vgn = &vugu.VGNode{Type: vugu.VGNodeType(3), Namespace: "", Data: "p", Attr: []vugu.VGAttribute{{Namespace: "", Key: "class", Val: "a b"}}}
	vgout.Out = append(vgout.Out, vgn)
	{
		vgparent := vgn
		_ = vgparent
		vgn = &vugu.VGNode{Type: vugu.VGNodeType(1), Data: "\n  "}
		vgparent.AppendChild(vgn)
		for vgiterkeyt, w := range c.Words {
			var vgiterkey interface{} = vgiterkeyt
			_ = vgiterkey
			w := w
			_ = w
			vgn = &vugu.VGNode{Type: vugu.VGNodeType(3), Namespace: "svg", Data: "path", Attr: []vugu.VGAttribute(nil)}
			vgparent.AppendChild(vgn)
			vgn.DOMEventHandlerSpecList = append(vgn.DOMEventHandlerSpecList, vugu.DOMEventHandlerSpec{
				EventType: "click",
				Func:      func(event vugu.DOMEvent) { c.say(w) },
			})
			{
				vgparent := vgn
				_ = vgparent
				vgn = &vugu.VGNode{Type: vugu.VGNodeType(1), Data: " kept "}
				vgparent.AppendChild(vgn)
			}
		}
	}
	return vgout
}

var _ fmt.Stringer
var _ js.Value
`

func TestCompact(t *testing.T) {
	out, err := compact("row_gen.go", []byte(made))
	if err != nil {
		t.Fatal(err)
	}
	got := string(out)
	for _, want := range []string{
		`vgn = el(nil, "p\x1f\x1fclass\x1fa b")`,
		`vgout.Out = append(vgout.Out, vgn)`,
		`vgn = el(vgparent, "path\x1fsvg")`,
		`on(vgn, "click", func(event vugu.DOMEvent)`,
		`text(vgn, " kept ")`,
		`_ = vgiterkeyt`,
	} {
		if !strings.Contains(got, want) {
			t.Errorf("lacks %s in\n%s", want, got)
		}
	}
	for _, not := range []string{"VGNodeType", `"fmt"`, "w := w", `var vgiterkey`, `\n  `} {
		if strings.Contains(got, not) {
			t.Errorf("still has %s in\n%s", not, got)
		}
	}
	again, err := compact("row_gen.go", out)
	if err != nil || string(again) != got {
		t.Errorf("a second time changes it (%v):\n%s", err, again)
	}
}

func TestCompactRefusesTheSeparator(t *testing.T) {
	if _, err := compact("row_gen.go", []byte(strings.Replace(made, `"a b"`, `"a\x1fb"`, 1))); err == nil {
		t.Error("a template with the separator in an attribute went through")
	}
}
