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

func TestTargetsStandInTheOrderGiven(t *testing.T) {
	p := newPhone("a")
	for key, value := range map[string]string{"squish_mm": "0.5", "blowdown_deg": "20", "trapped_ratio": "7"} {
		p.set("targets."+key, value)
	}
	keys := func(p *phone) (out []string) {
		for _, t := range p.fold().Build.Targets.List {
			out = append(out, t.Key)
		}
		return out
	}
	p.set("targets.order", `"blowdown_deg trapped_ratio squish_mm"`)
	if got := keys(p); !reflect.DeepEqual(got, []string{"blowdown_deg", "trapped_ratio", "squish_mm"}) {
		t.Errorf("got %v", got)
	}
	p.set("targets.exhaust_opens_deg", "100") // named nowhere: it comes last
	p.set("targets.trapped_ratio", "null")    // taken out, and in again at its place
	p.set("targets.trapped_ratio", "6.5")
	if got := keys(p); !reflect.DeepEqual(got, []string{"blowdown_deg", "trapped_ratio", "squish_mm", "exhaust_opens_deg"}) {
		t.Errorf("got %v", got)
	}
	q := newPhone("b") // orders them without knowing of the other
	q.see(p)
	q.nowMS = p.nowMS + 60_000
	p.set("targets.order", `"squish_mm blowdown_deg"`)
	q.set("targets.order", `"trapped_ratio blowdown_deg"`)
	q.set("targets.order", `"exhaust_opens_deg blowdown_deg squish_mm"`) // later by its clock
	p.see(q)
	q.see(p)
	want := []string{"exhaust_opens_deg", "blowdown_deg", "squish_mm", "trapped_ratio"}
	if a, b := keys(p), keys(q); !reflect.DeepEqual(a, want) || !reflect.DeepEqual(b, want) {
		t.Errorf("one phone has %v, the other %v, want %v", a, b, want)
	}
	if c := p.fold().Conflicts; len(c) > 0 {
		t.Errorf("somebody is asked about the order: %+v", c)
	}
	p.set("targets.order", `"by hand"`) // another program's field
	if b := p.fold().Build; string(b.Targets.Extra["order"]) != `"by hand"` || len(b.Targets.List) != 4 {
		t.Errorf("another program's field was lost: %+v", b.Targets)
	}
}
