package app_test

import (
	"slices"
	"testing"

	"portwright/wasm/app"
)

// twoTabs are two tabs at the same bench: the first has typed 73 and nothing
// else was ever kept, the second has opened the build after that.
func twoTabs() (a, b *phone) {
	a = newBench()
	a.send(app.BenchSkip{})
	a.send(app.BenchType{Key: "7"})
	a.send(app.BenchType{Key: "3"})
	b = newPhone(a.disk)
	b.n = 0x400 // other IDs than the first
	b.start(benchHash())
	return a, b
}

func (p *phone) values() (out []float64) {
	for _, r := range p.m.Open.Tally.Readings {
		out = append(out, r.Value.Value)
	}
	return out
}

// Both keep what both show, before either knows of the other: it is one
// reading, in one pass.
func TestADraftInTwoTabsIsKeptOnce(t *testing.T) {
	a, b := twoTabs()
	if b.m.Bench.Text != "73" {
		t.Fatalf("the second tab shows %q", b.m.Bench.Text)
	}
	for _, p := range []*phone{a, b} {
		p.send(app.BenchKeep{})
	}
	for _, p := range []*phone{a, b, a, b} {
		p.settle()
		p.send(app.OtherTab{Build: buildID})
	}
	for _, p := range []*phone{a.kill(), b} {
		if got := p.values(); !slices.Equal(got, []float64{73}) || len(p.m.Open.Build.Passes) != 1 || p.m.Bench.Text != "" {
			t.Errorf("kept %v in %d passes, %q in hand", got, len(p.m.Open.Build.Passes), p.m.Bench.Text)
		}
	}
}

// What one tab has kept is taken out of the other's hand.
func TestAKeptDraftIsRetiredInTheOtherTab(t *testing.T) {
	a, b := twoTabs()
	a.types("")
	b.send(app.OtherTab{Build: buildID})
	b.settle()
	if b.m.Bench.Text != "" || b.m.Bench.Refuse != "73 was kept in another window." {
		t.Errorf("%q in hand, says %q", b.m.Bench.Text, b.m.Bench.Refuse)
	}
	b.types("74")
	if got := b.values(); !slices.Equal(got, []float64{73, 74}) {
		t.Errorf("kept %v", got)
	}
}

// A value changed in one of them is another reading, whoever keeps first.
func TestAChangedDraftIsItsOwn(t *testing.T) {
	for _, changed := range []int{0, 1} {
		a, b := twoTabs()
		tabs := []*phone{a, b}
		tabs[changed].send(app.BenchType{Key: "erase"})
		tabs[changed].send(app.BenchType{Key: "4"})
		for _, p := range tabs {
			p.send(app.BenchKeep{})
		}
		for _, p := range []*phone{a, b, a, b} {
			p.settle()
			p.send(app.OtherTab{Build: buildID})
			p.settle()
		}
		got := 0
		for _, e := range a.disk.of(buildID) {
			if e.Kind == "reading" {
				got++
			}
		}
		if got != 2 {
			t.Errorf("tab %d changed it: %d readings on the disk, want both", changed, got)
		}
	}
}

// The same digits typed ahead for the next question are another reading.
func TestTheSameTypedAheadIsKeptTwice(t *testing.T) {
	p := newBench()
	p.send(app.BenchSkip{})
	for range 2 {
		for _, k := range []string{"9", "8"} {
			p.send(app.BenchType{Key: k})
		}
		if p.m.Bench.Sending == "" {
			p.send(app.BenchKeep{})
		}
	}
	p.settle()
	p.send(app.BenchKeep{})
	p.settle()
	if got := p.values(); !slices.Equal(got, []float64{98, 98}) {
		t.Errorf("kept %v", got)
	}
}

// Two devices that begin to read one engine without knowing of each other read
// the same pass; their readings join, and nobody is asked anything.
func TestTwoDevicesReadOnePass(t *testing.T) {
	a := newBench()
	other := newDisk()
	other.entries, other.device = slices.Clone(a.disk.entries), "00000000-0000-7000-8000-0000000000d2"
	b := newPhone(other)
	b.n = 0x800 // other IDs than the first
	b.start(benchHash())
	for _, p := range []*phone{a, b} {
		p.send(app.BenchSkip{})
		p.types("104.5", "105")
	}
	for _, e := range other.entries {
		if !a.disk.has(e.ID) {
			a.disk.entries = append(a.disk.entries, e)
		}
	}
	a.send(app.CameIn{Build: buildID})
	a.settle()
	if passes := a.m.Open.Build.Passes; len(passes) != 1 || len(passes[0].Readings) != 4 || len(a.m.Open.Fold.Conflicts) > 0 {
		t.Errorf("%d passes, conflicts %+v: %+v", len(passes), a.m.Open.Fold.Conflicts, passes)
	}
}
