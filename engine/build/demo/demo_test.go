package demo_test

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"portwright/engine/build"
	"portwright/engine/build/demo"
)

// The file that is embedded is the one among the test builds.
func TestDemoIsOneFile(t *testing.T) {
	want, err := os.ReadFile(filepath.FromSlash("../../../testdata/builds/demo.json"))
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(demo.Build(), want) {
		t.Error("engine/build/demo/demo.json and testdata/builds/demo.json differ; copy one over the other")
	}
}

func TestDemoIsAGoodBuildMarkedAsInvented(t *testing.T) {
	b, err := build.Decode(demo.Build())
	if err != nil {
		t.Fatal(err)
	}
	if err := build.Check(b); err != nil {
		t.Error(err)
	}
	if d := build.Doubts(b); len(d) > 0 {
		t.Errorf("the demo raises doubts: %v", d)
	}
	if !b.Demo || b.Number != "DEMO-1" {
		t.Errorf("demo %v, number %q: the demo must show that it is invented", b.Demo, b.Number)
	}
	repeats := map[[2]string]int{}
	for _, r := range b.Passes[0].Readings {
		repeats[[2]string{r.Window, r.Event}]++
	}
	for _, w := range b.Windows {
		for _, e := range []string{build.Opens, build.Closes} {
			if repeats[[2]string{w.Name, e}] != 3 {
				t.Errorf("%s %s was read %d times", w.Name, e, repeats[[2]string{w.Name, e}])
			}
		}
	}
}
