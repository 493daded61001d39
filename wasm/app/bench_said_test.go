package app_test

import (
	"slices"
	"testing"

	"portwright/wasm/app"
)

// What is said of a kept value is in the trade's words, and every sign of it
// can be had or left out; nothing is said of one that is not on the disk.
func TestSignsOfAKeptValue(t *testing.T) {
	p := newBench()
	p.send(app.BenchSkip{})
	signs := func() (said string, others []string) {
		for _, f := range p.did {
			switch f := f.(type) {
			case app.Say:
				said = f.Text
			case app.Buzz:
				others = append(others, "buzz")
			case app.Tone:
				others = append(others, "tone")
			}
		}
		p.did = nil
		return said, others
	}
	p.types("104")
	if said, others := signs(); said != "" || !slices.Equal(others, []string{"buzz"}) {
		t.Errorf("by itself: says %q, %v", said, others)
	}
	p.send(app.SetReadBack{On: true})
	p.send(app.SetTone{On: true})
	p.send(app.SetStill{On: true})
	p.types("104.5")
	if said, others := signs(); said != "exhaust opens, 104.5 degrees, kept, second reading, spread half a degree" || !slices.Equal(others, []string{"tone"}) {
		t.Errorf("all chosen: says %q, %v", said, others)
	}
	p.types("104.5")
	if said, _ := signs(); said != "exhaust opens, 104.5 degrees, kept, third reading, spread half a degree" {
		t.Errorf("says %q", said)
	}
	for range 3 {
		p.send(app.BenchType{Key: "9"})
	}
	p.send(app.BenchKeep{}) // 999 is no reading
	if said, others := signs(); said != "" || len(others) != 0 {
		t.Errorf("999: says %q, %v", said, others)
	}
	for range 3 {
		p.send(app.BenchType{Key: "erase"})
	}
	p.types("30")
	if said, _ := signs(); said != p.m.Bench.Doubt || said == "" {
		t.Errorf("30, which is doubted: says %q", said)
	}
	p = newBench()
	p.send(app.SetReadBack{On: true})
	p.types("341")
	if said, _ := signs(); said != "stop check, running way, 341 degrees, kept" {
		t.Errorf("a stop: says %q", said)
	}
	p = newBench()
	p.send(app.SetReadBack{On: true})
	p.send(app.BenchHabit{Habit: "depth"})
	p.types("17.2", "17.3")
	if said, _ := signs(); said != "exhaust, depth 17.3 millimetres, kept, second reading, spread 0.1 millimetres" {
		t.Errorf("a depth: says %q", said)
	}
}

// With a number pad alone: the set of windows by its place, every question, and
// Enter on to the findings.
func TestANumberPadFromTheWindowsOn(t *testing.T) {
	d := newDisk()
	p := newPhone(d)
	p.start("")
	p.send(app.NewBuild{})
	p.settle()
	p.send(app.Navigated{Hash: app.Route{Station: app.AtBench, Build: p.m.Open.ID}.Hash()})
	p.send(app.BenchMode{Mode: app.FirstLook})
	for _, k := range []string{"9", "2", "1", "0", "4", "Enter", "1", "2", "2", "Enter", "2", "8", "7", "Enter"} {
		p.send(app.Key{Key: k})
		p.settle()
	}
	if n := len(p.m.Open.Build.Windows); n != 3 || len(p.m.Open.Tally.Readings) != 3 {
		t.Fatalf("%d windows, %d readings", n, len(p.m.Open.Tally.Readings))
	}
	p.send(app.Key{Key: "Enter"})
	p.settle()
	if p.m.Station != app.AtFindings {
		t.Errorf("at the end Enter leads to %s", p.m.Station)
	}
}
