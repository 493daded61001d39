package render

import (
	"fmt"
	"strings"
	"testing"

	"github.com/vugu/vugu"
	"pgregory.net/rapid"
)

// shape is a random tree, drawn twice: through the renderer, and straight into
// the text that the page must then show.
type shape struct {
	tag   string // "" text, "!" comment, "*" template, "+" component, "^" HTML
	text  string
	key   string
	attrs []string
	event bool
	kids  []*shape
}

func anyShape(depth int) *rapid.Generator[*shape] {
	return rapid.Custom(func(t *rapid.T) *shape {
		tags := []string{"", "", "!", "div", "p", "li", "svg", "input"}
		if depth > 0 {
			tags = append(tags, "div", "ul", "*", "+", "^", "g", "foreignObject")
		}
		s := &shape{tag: rapid.SampledFrom(tags).Draw(t, "tag")}
		s.text = rapid.SampledFrom([]string{"a", "é", "\U0001F527", "b\n", "x\xffy", ""}).Draw(t, "text")
		s.event = rapid.Bool().Draw(t, "event")
		if rapid.Bool().Draw(t, "keyed") {
			s.key = fmt.Sprint(rapid.IntRange(0, 5).Draw(t, "key"))
		}
		for _, name := range []string{"class", "title", "style", "value"} {
			if rapid.Bool().Draw(t, name) {
				s.attrs = append(s.attrs, name, rapid.SampledFrom([]string{"1", "2", ""}).Draw(t, "val"))
			}
		}
		if depth > 0 && s.tag != "" && s.tag != "!" && s.tag != "input" && s.tag != "^" {
			n := rapid.IntRange(0, 6).Draw(t, "kids")
			for range n { // with equal keys among siblings, too
				s.kids = append(s.kids, anyShape(depth-1).Draw(t, "kid"))
			}
		}
		return s
	})
}

// node builds vugu's node; comps collects the components of this output. pool
// hands out component instances again, as vugu does.
func (s *shape) node(comps *[]vugu.Builder, pool func(*shape) *view) *vugu.VGNode {
	switch s.tag {
	case "":
		return txt(s.text)
	case "!":
		return &vugu.VGNode{Type: vugu.CommentNode, Data: s.text}
	case "+":
		v := pool(s)
		v.out = func(*vugu.BuildIn) (out []*vugu.VGNode) {
			v.comps = nil
			for _, k := range s.kids {
				out = append(out, k.node(&v.comps, pool))
			}
			return out
		}
		*comps = append(*comps, v)
		return comp(v)
	}
	n := el(s.tag)
	if s.tag == "*" {
		n.Data = ""
	}
	if s.tag == "^" {
		html := s.text
		n.Data, n.InnerHTML = "div", &html
	}
	if s.key != "" {
		with(n, "data-key", s.key)
	}
	with(n, s.attrs...)
	if s.event {
		on(n, "click", func() {})
	}
	for _, k := range s.kids {
		n.AppendChild(k.node(comps, pool))
	}
	return n
}

// want is what the page must show for s.
func (s *shape) want(ns uint32) string {
	clean := strings.ToValidUTF8(s.text, "\uFFFD")
	var inside strings.Builder
	own := ns
	if s.tag == "svg" {
		own = 1
	}
	below := own
	if s.tag == "foreignObject" && own == 1 {
		below = 0
	}
	for _, k := range s.kids {
		inside.WriteString(k.want(below))
	}
	tag := s.tag
	switch s.tag {
	case "":
		return clean
	case "!":
		return "<!--" + clean + "-->"
	case "*", "+":
		return inside.String()
	case "^":
		tag = "div"
		inside.WriteString(clean)
	}
	n := &fakeNode{tag: tag, ns: own, attrs: map[string]string{}, props: map[string]string{}, listen: map[string]uint32{}}
	if s.key != "" {
		n.attrs["data-key"] = s.key
	}
	for i := 0; i < len(s.attrs); i += 2 {
		switch name, val := s.attrs[i], s.attrs[i+1]; {
		case name == "value" && tag == "input":
			n.props[name] = val
		case name == "style" && val == "":
		default:
			n.attrs[name] = val
		}
	}
	if s.event {
		n.listen["click/0"] = 1
	}
	text := n.String()
	return strings.TrimSuffix(text, "</"+tag+">") + inside.String() + "</" + tag + ">"
}

// TestRandomTrees draws random trees one after the other on the same page:
// after each, the page shows exactly the tree, and the tables hold exactly its
// nodes.
func TestRandomTrees(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := newFakePage(t)
		root := &view{}
		instances := map[string]*view{}
		var now *shape
		root.out = func(*vugu.BuildIn) []*vugu.VGNode {
			root.comps = nil
			used := map[string]bool{}
			pool := func(s *shape) *view {
				if s.key == "" || used[s.key] {
					return &view{}
				}
				used[s.key] = true
				if instances[s.key] == nil {
					instances[s.key] = &view{}
				}
				return instances[s.key]
			}
			return []*vugu.VGNode{now.node(&root.comps, pool)}
		}
		r, err := newRenderer(p, root, nil)
		if err != nil {
			t.Fatal(err)
		}
		for range rapid.IntRange(1, 6).Draw(t, "renders") {
			now = anyShape(3).Draw(t, "tree")
			if err := r.Render(); err != nil {
				t.Fatal(err)
			}
			if len(p.reports) > 0 {
				t.Fatalf("reports: %q", p.reports)
			}
			if got, want := p.root().inner(), now.want(0); got != want {
				t.Fatalf("the page shows\n%s\nwant\n%s", got, want)
			}
			if got, want := r.Stats().Nodes, len(p.nodes)-1; got != want {
				t.Fatalf("%d nodes counted, %d in the table", got, want)
			}
			if got, want := r.Stats().Handlers, strings.Count(p.root().inner(), "@click"); got != want {
				t.Fatalf("%d elements with handlers counted, %d in the page", got, want)
			}
		}
		steps := p.steps
		if err := r.Render(); err != nil {
			t.Fatal(err)
		}
		if p.steps != steps {
			t.Fatalf("an unchanged tree took %d steps", p.steps-steps)
		}
	})
}

// TestRandomKeyedMoves reorders, removes and adds keyed rows: a row keeps its
// node, and no more rows move than must.
func TestRandomKeyedMoves(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := newFakePage(t)
		var keys []int
		root := &view{}
		root.out = func(*vugu.BuildIn) []*vugu.VGNode {
			ul := el("ul", txt("\n"))
			for _, k := range keys {
				ul.AppendChild(with(el("li", txt(fmt.Sprint(k))), "data-key", fmt.Sprint(k)))
			}
			return []*vugu.VGNode{ul}
		}
		r, err := newRenderer(p, root, nil)
		if err != nil {
			t.Fatal(err)
		}
		before := map[string]*fakeNode{}
		var last []int
		for range rapid.IntRange(2, 5).Draw(t, "renders") {
			keys = rapid.SliceOfNDistinct(rapid.IntRange(0, 12), 0, 12, rapid.ID[int]).Draw(t, "keys")
			p.moves = 0
			if err := r.Render(); err != nil {
				t.Fatal(err)
			}
			after := map[string]*fakeNode{}
			var shown []string
			for _, li := range p.root().find("ul").kids[1:] {
				k := li.attrs["data-key"]
				shown = append(shown, k)
				after[k] = li
				if b := before[k]; b != nil && b != li {
					t.Fatalf("row %s was made anew", k)
				}
			}
			if got, want := strings.Join(shown, " "), strings.Trim(fmt.Sprint(keys), "[]"); got != want {
				t.Fatalf("rows %s, want %s", got, want)
			}
			if kept, run := longestKept(last, keys); p.moves > kept-run {
				t.Fatalf("from %v to %v: %d rows moved, %d would do", last, keys, p.moves, kept-run)
			}
			before, last = after, keys
		}
	})
}

// longestKept counts the rows of both lists and the longest run of them whose
// order stays, by the quadratic textbook method.
func longestKept(old, now []int) (kept, run int) {
	at := map[int]int{}
	for i, k := range old {
		at[k] = i
	}
	var order, best []int
	for _, k := range now {
		if i, ok := at[k]; ok {
			order = append(order, i)
		}
	}
	for i := range order {
		best = append(best, 1)
		for j := range i {
			if order[j] < order[i] {
				best[i] = max(best[i], best[j]+1)
			}
		}
		run = max(run, best[i])
	}
	return len(order), run
}
