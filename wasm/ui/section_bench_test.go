package ui

import (
	"testing"

	"github.com/vugu/vugu"

	"portwright/engine/build/demo"
	"portwright/wasm/app"
	"portwright/wasm/view"
)

// BenchmarkSectionFrame is one frame of the section without the browser's part.
func BenchmarkSectionFrame(b *testing.B) {
	t := &testing.T{}
	d := newStation(t, demo.Build(), app.AtSection, "")
	d.send(app.SectionPlay{})
	env, err := vugu.NewBuildEnv(nil)
	if err != nil {
		b.Fatal(err)
	}
	root := &Root{Send: func(app.Msg) {}}
	b.ReportAllocs()
	ms := 1000.0
	for b.Loop() {
		ms += 16.7
		d.m.Update(app.Tick{MS: ms}, app.Input{})
		root.Screen = view.Of(d.m)
		env.RunBuild(root)
	}
}

func BenchmarkSectionView(b *testing.B) {
	t := &testing.T{}
	d := newStation(t, demo.Build(), app.AtSection, "")
	d.send(app.SectionPlay{})
	b.ReportAllocs()
	ms := 1000.0
	for b.Loop() {
		ms += 16.7
		d.m.Update(app.Tick{MS: ms}, app.Input{})
		_ = view.Of(d.m)
	}
}
