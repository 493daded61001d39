package app_test

import (
	"testing"

	"portwright/wasm/app"
)

// A tap on a set of windows is not lost while something else is on its way to
// the disk, and a second one makes no second set.
func TestWindowsAreMadeWhileSomethingIsWritten(t *testing.T) {
	p := newBook()
	p.send(app.NewBuild{})
	p.settle()
	p.send(app.EngineChoose{Path: "wheel.numbering", Value: "0-180-0"})
	if len(p.m.Save.Waiting) == 0 {
		t.Fatal("nothing is on its way to the disk")
	}
	p.send(app.BenchWindows{Set: "2"})
	p.send(app.BenchWindows{Set: "2"})
	p.settle()
	if n := len(p.m.Open.Build.Windows); n != 4 {
		t.Errorf("%d windows, want 4", n)
	}
}
