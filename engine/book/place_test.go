package book_test

import (
	"reflect"
	"testing"

	"portwright/engine/build"
)

func names(ws []build.Window) []string {
	var out []string
	for _, w := range ws {
		out = append(out, w.Name)
	}
	return out
}

func TestWindowsStandByTheirPlace(t *testing.T) {
	p := newPhone("a")
	for _, id := range []string{"w1", "w2", "w3"} {
		p.set("windows/"+id+".name", `"`+id+`"`)
	}
	p.set("windows/w3.place", "1")
	p.set("windows/w1.place", "2")
	if got := names(p.fold().Build.Windows); !reflect.DeepEqual(got, []string{"w3", "w1", "w2"}) {
		t.Errorf("got %v", got)
	}
	p.set("windows/w2.place", `"top"`) // another program's field
	b := p.fold().Build
	if got := names(b.Windows); !reflect.DeepEqual(got, []string{"w3", "w1", "w2"}) {
		t.Errorf("a place that is no number moved a window: %v", got)
	}
	if string(b.Windows[2].Extra["place"]) != `"top"` {
		t.Errorf("another program's field was lost: %v", b.Windows[2].Extra)
	}
}

func TestWhatWasTakenOutIsListed(t *testing.T) {
	p := newPhone("a")
	p.set("windows/w1.name", `"boost"`)
	p.set("passes/p1.name", `"as received"`)
	p.set("windows/w1.removed", "true")
	p.set("passes/p1.removed", "true")
	f := p.fold()
	got := map[string]string{}
	for _, r := range f.Removed {
		got[r.Path] = r.Name
	}
	want := map[string]string{"windows/w1": "boost", "passes/p1": "as received"}
	if !reflect.DeepEqual(got, want) || len(f.Build.Windows) != 0 {
		t.Errorf("got %v and %d windows", got, len(f.Build.Windows))
	}
	p.set("windows/w1.removed", "false")
	if f := p.fold(); len(f.Removed) != 1 || len(f.Build.Windows) != 1 {
		t.Errorf("put back: %v", f.Removed)
	}
}
