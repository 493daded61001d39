package render

import (
	"fmt"
	"testing"

	"github.com/vugu/vugu"
	vjs "github.com/vugu/vugu/js"
)

// blank is a page that carries out nothing: what remains is the Go side.
type blank struct{}

func (blank) run(_, _ []byte)       {}
func (blank) node(uint32) vjs.Value { return vjs.Undefined() }
func (blank) reset()                {}
func (blank) report(string)         {}
func (blank) soon(func())           {}
func (blank) close()                {}

// table is a component of n rows as the template generator would build it.
func table(n int, count *int) vugu.Builder {
	return &view{out: func(*vugu.BuildIn) []*vugu.VGNode {
		body := el("tbody")
		for i := range n {
			name, val := el("td"), with(el("td"), "class", "num")
			name.SetInnerHTML(fmt.Sprintf("reading %d", i))
			val.SetInnerHTML(float64(i%40) / 2)
			pick := on(el("button", txt("Pick")), "click", func() {})
			body.AppendChild(with(el("tr", name, val, el("td", pick)), "data-key", fmt.Sprint(i)))
		}
		return []*vugu.VGNode{el("div", el("output", txt(fmt.Sprint(*count))), el("table", body))}
	}}
}

func BenchmarkFirst(b *testing.B) {
	for _, n := range []int{50, 2000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				count := 0
				r, _ := newRenderer(blank{}, table(n, &count), nil)
				if err := r.Render(); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkUpdate(b *testing.B) {
	for _, n := range []int{50, 2000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			count := 0
			r, _ := newRenderer(blank{}, table(n, &count), nil)
			if err := r.Render(); err != nil {
				b.Fatal(err)
			}
			b.ReportAllocs()
			for b.Loop() {
				r.Do(func() { count++ })
			}
		})
	}
}

// BenchmarkBuild is vugu's share of an update.
func BenchmarkBuild(b *testing.B) {
	count := 0
	root := table(2000, &count)
	env, err := vugu.NewBuildEnv()
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		env.RunBuild(root)
	}
}
