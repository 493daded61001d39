package app_test

import (
	"strings"
	"testing"

	"portwright/engine/build"
	"portwright/wasm/app"
	"portwright/wasm/view"
)

// Another set-up of the wheel after readings were taken is asked about; no
// answer changes a reading.
func TestAnotherWheelIsAskedAbout(t *testing.T) {
	falls := app.EngineChoose{Path: "wheel.numbers", Value: build.NumbersFall}
	begin := func() *phone {
		p := newBench()
		p.send(falls) // nothing was read: nothing is asked
		p.settle()
		if p.m.Engine.Asked.Path != "" || p.m.Open.Build.Wheel.Numbers != build.NumbersFall {
			t.Fatalf("before the first reading: asked %+v, numbers %q", p.m.Engine.Asked, p.m.Open.Build.Wheel.Numbers)
		}
		p.send(app.EngineChoose{Path: "wheel.numbers", Value: build.NumbersRise})
		p.settle()
		p.types("341", "23", "104.5", "104")
		p.at("wheel.numbers")
		p.send(falls)
		p.settle()
		return p
	}
	reads := func(p *phone) string {
		var out []string
		for _, r := range p.m.Open.Build.Passes[0].Readings {
			out = append(out, r.Value.String())
		}
		return strings.Join(out, " ")
	}
	p := begin()
	v := view.Of(p.m).Engine.Field
	if p.m.Open.Build.Wheel.Numbers != build.NumbersRise || len(v.Asks) != 3 || !strings.Contains(v.Doubt, "4 readings") {
		t.Fatalf("asked: numbers %q, %d answers, says %q", p.m.Open.Build.Wheel.Numbers, len(v.Asks), v.Doubt)
	}
	p.send(v.Asks[2].Msg)
	p.settle()
	if p.m.Engine.Asked.Path != "" || p.m.Open.Build.Wheel.Numbers != build.NumbersRise {
		t.Errorf("left as it was: asked %+v, numbers %q", p.m.Engine.Asked, p.m.Open.Build.Wheel.Numbers)
	}

	p = begin()
	kept := reads(p)
	p.send(view.Of(p.m).Engine.Field.Asks[0].Msg)
	p.settle()
	if b := p.m.Open.Build; b.Wheel.Numbers != build.NumbersFall || len(b.Passes) != 1 || b.WheelOf(&b.Passes[0]).Numbers != build.NumbersFall {
		t.Errorf("always so: %q, %d passes", b.Wheel.Numbers, len(b.Passes))
	}
	if got := reads(p); got != kept {
		t.Errorf("always so: the readings are %s, were %s", got, kept)
	}

	p = begin()
	p.send(view.Of(p.m).Engine.Field.Asks[1].Msg)
	p.settle()
	p = p.kill()
	p.start(benchHash())
	b := p.m.Open.Build
	if len(b.Passes) != 2 || b.WheelOf(&b.Passes[0]).Numbers != build.NumbersRise || b.WheelOf(&b.Passes[1]).Numbers != build.NumbersFall {
		t.Fatalf("from the next pass on: %d passes, wheels %+v", len(b.Passes), b.Wheel)
	}
	if p.m.Open.Pass != b.Passes[1].ID || p.m.Wheel().Numbers != build.NumbersFall {
		t.Errorf("in hand: %s with numbers that %s", p.m.Open.Pass, p.m.Wheel().Numbers)
	}
	if got := reads(p); got != kept {
		t.Errorf("from the next pass on: the readings are %s, were %s", got, kept)
	}
	if note := view.Of(start(p, engineHash(""))).Engine.Passes[0].Note; !strings.Contains(note, "on a wheel of its own") {
		t.Errorf("the pass says %q", note)
	}
}

func start(p *phone, hash string) *app.Model { p.send(app.Navigated{Hash: hash}); return p.m }

// A wheel on which what was read can't stand can't have been there from the
// start; one that begins with the next pass can.
func TestAWheelThatCannotHaveBeen(t *testing.T) {
	p := newBench()
	p.send(app.BenchSkip{})
	p.types("104.5", "104", "104.5", "259.5")
	p.at("wheel.numbering")
	p.send(app.EngineChoose{Path: "wheel.numbering", Value: build.Numbering180})
	v := view.Of(p.m).Engine.Field
	if len(v.Asks) != 2 || !strings.Contains(v.Doubt, "can't stand on it") {
		t.Fatalf("%d answers, says %q", len(v.Asks), v.Doubt)
	}
	p.send(app.EngineChoose{Path: "wheel.numbering", Value: build.Numbering180, From: app.FromAlways})
	p.settle()
	if got := p.m.Open.Build.Wheel.Numbering; got != "" {
		t.Errorf("numbering %q holds for a reading of 259.5", got)
	}
	p.send(app.EngineChoose{Path: "wheel.numbering", Value: build.Numbering180, From: app.FromNext})
	p.settle()
	if b := p.m.Open.Build; build.Check(b) != nil || len(b.Passes) != 2 || p.m.WheelMost() != 180 {
		t.Errorf("from the next pass on: %v, %d passes, 0 to %v", build.Check(b), len(b.Passes), p.m.WheelMost())
	}
}

// Another habit of a pass that was read is asked about in the same way.
func TestAnotherHabitAtTheEngine(t *testing.T) {
	p := newBench()
	p.send(app.BenchSkip{})
	p.types("104.5")
	path := "passes/" + p.m.Open.Pass + ".habit"
	p.at(path)
	p.send(app.EngineChoose{Path: path, Value: build.HabitOpenZero})
	v := view.Of(p.m).Engine.Field
	if len(v.Asks) == 0 || p.m.Habit() != build.HabitTDCZero {
		t.Fatalf("%d answers, habit %s", len(v.Asks), p.m.Habit())
	}
	p.send(app.EngineChoose{Path: path, Value: build.HabitOpenZero, From: app.FromNext})
	p.settle()
	if b := p.m.Open.Build; len(b.Passes) != 2 || p.m.Habit() != build.HabitOpenZero || b.Passes[0].Habit != "" {
		t.Errorf("%d passes, in hand %s, before %q", len(b.Passes), p.m.Habit(), b.Passes[0].Habit)
	}
}

// A wheel of any kind is set up from the bench in a few taps, drawn as it was
// understood, and its question is then asked at the engine.
func TestTheWheelIsSetUpAtTheBench(t *testing.T) {
	p := newBench()
	tap := func(words string) {
		t.Helper()
		l := view.Of(p.m).Bench.List
		for _, b := range append(l.Wheel, l.Turns...) {
			if b.Words == words {
				p.send(b.Msg)
				p.settle()
				return
			}
		}
		t.Fatalf("no button says %q", words)
	}
	tap("0 to 180 to 0")
	tap("They fall")
	if w := p.m.Wheel(); w.Numbering != build.Numbering180 || w.Numbers != build.NumbersFall {
		t.Fatalf("the wheel is %+v", w)
	}
	p.send(app.BenchGo{Step: "read/w1/opens"})
	if marks := view.Of(p.m).Bench.Ask.Dial.Marks; len(marks) != 4 || marks[2].Text != "180" || marks[1].Text != marks[3].Text {
		t.Errorf("the dial shows %v", marks)
	}
	p.types("104.5")
	tap("They rise")
	if p.m.Station != app.AtEngine || p.m.Engine.At != "wheel.numbers" || p.m.Wheel().Numbers != build.NumbersFall {
		t.Errorf("after a reading: at %s, %q, numbers %s", p.m.Station, p.m.Engine.At, p.m.Wheel().Numbers)
	}
}
