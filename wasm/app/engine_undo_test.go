package app_test

import (
	"testing"

	"portwright/engine/unit"
	"portwright/wasm/app"
	"portwright/wasm/view"
)

// What was given to the engine's fields is taken back one by one, also after a
// kill, down to a build without any.
func TestEngineUndo(t *testing.T) {
	p := newBench()
	p.gives("engine.stroke_mm", "32.5", unit.MM)
	p.gives("engine.stroke_mm", "34", unit.MM)
	p.gives("engine.squish_mm[0]", "0.9", unit.MM)
	p.gives("engine.squish_mm[1]", "0.95", unit.MM)
	p.send(app.EngineChoose{Path: "wheel.numbers", Value: "fall"})
	p.settle()
	say := func() string {
		p.send(app.Navigated{Hash: engineHash("")})
		return view.Of(p.m).Engine.Undo
	}
	for _, c := range []struct {
		says           string
		stroke, squish int
	}{
		{"Undo: numbers back to not known", 34, 2}, {"Undo: squish", 34, 2}, {"Undo: squish back to not known", 34, 1},
		{"Undo: stroke back to 32.5 mm", 34, 0}, {"Undo: stroke back to not known", 32, 0},
	} {
		if got := say(); got != c.says {
			t.Errorf("says %q, want %q", got, c.says)
		}
		e := p.m.Open.Build.Engine
		if int(e.Stroke.MM()) != c.stroke || len(e.Squish) != c.squish {
			t.Errorf("before %q: stroke %v, squish %v", c.says, e.Stroke, e.Squish)
		}
		p.send(app.EngineUndo{})
		p.settle()
		p = p.kill()
		p.start(engineHash(""))
	}
	if e := p.m.Open.Build.Engine; e.Stroke != nil || p.m.Open.Build.Wheel.Numbers != "" || say() != "" {
		t.Errorf("all taken back: stroke %v, numbers %q, says %q", e.Stroke, p.m.Open.Build.Wheel.Numbers, say())
	}
}

// A phone's own keys have no stroke: with inches the field has one.
func TestAFractionAtTheEngine(t *testing.T) {
	p := newBench()
	p.at("engine.bore_mm")
	p.send(app.EngineUnit{Unit: unit.Inch})
	p.send(app.EngineType{Text: "1,3"})
	p.send(app.EngineSlash{})
	p.send(app.EngineType{Text: view.Of(p.m).Engine.Field.Text + "4"})
	p.send(app.EngineKeep{})
	p.settle()
	if got := p.m.Open.Build.Engine.Bore; got == nil || got.Value != 1.75 || got.Unit != unit.Inch {
		t.Errorf("1 3/4 in is kept as %v", got)
	}
}
