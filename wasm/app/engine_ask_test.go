package app_test

import (
	"slices"
	"testing"

	"portwright/engine/unit"
	"portwright/wasm/app"
	"portwright/wasm/view"
)

// After a unit was chosen typing goes on in the field, and a unit alone is
// nothing typed.
func TestAUnitLeavesTheFieldInHand(t *testing.T) {
	p := newBench()
	p.at("engine.bore_mm")
	fx := p.m.Update(app.EngineUnit{Unit: unit.Inch}, app.Input{NowMS: p.now, Fresh: newFresh(p)})
	if !slices.Contains(fx, app.Effect(app.FocusOn{ID: "field"})) {
		t.Errorf("after the unit: %v", fx)
	}
	for _, g := range view.Of(p.m).Engine.Groups {
		for _, r := range g.Rows {
			if r.Typed != "" {
				t.Errorf("%s says %q was typed", r.Name, r.Typed)
			}
		}
	}
	if _, f, _ := p.m.InHand(); f.Unit != unit.Inch {
		t.Errorf("the number would be in %s", f.Unit)
	}
}

// The next length begins in the unit of the one just kept.
func TestTheUnitJustKeptHolds(t *testing.T) {
	p := newBench()
	p.at("engine.squish_mm[0]")
	p.send(app.EngineType{Text: "0.9"})
	p.at("engine.bore_mm")
	p.send(app.EngineUnit{Unit: unit.Inch})
	p.at("engine.squish_mm[0]")
	p.send(app.EngineKeep{})
	p.settle()
	if _, f, _ := p.m.InHand(); p.m.Engine.At != "engine.squish_mm[1]" || f.Unit != unit.MM {
		t.Errorf("after 0.9 mm at %s in %s", p.m.Engine.At, f.Unit)
	}
}

// 1 in of squish is 25.4 mm, where 1 mm is usual: Enter asks, twice too; only
// an answer on purpose keeps it, and not within half a second.
func TestAnotherUnitsNumberIsAskedFirst(t *testing.T) {
	p := newBench()
	p.at("engine.squish_mm[0]")
	p.send(app.EngineUnit{Unit: unit.Inch})
	p.send(app.EngineType{Text: "1.0"})
	kept := func() []unit.Length { p.settle(); return p.m.Open.Build.Engine.Squish }
	p.send(app.EngineKeep{})
	asked := p.now
	p.send(app.EngineKeep{})
	if v := view.Of(p.m).Engine.Field; len(kept()) != 0 || !v.Asked || v.Suggest != "Make it 1 mm" {
		t.Fatalf("kept %v, asked %v, offers %q", kept(), v.Asked, v.Suggest)
	}
	for _, c := range []struct {
		after int64
		kept  int
	}{{100, 0}, {499, 0}, {500, 1}} {
		for _, f := range p.m.Update(app.EngineKeep{Sure: true}, app.Input{NowMS: asked + c.after, Fresh: newFresh(p)}) {
			p.run(f)
		}
		if n := len(kept()); n != c.kept {
			t.Errorf("all the same %d ms later: %d kept, want %d", c.after, n, c.kept)
		}
	}
}

// "Next" keeps what is typed first, as Keep does; what can't be holds it back.
func TestNextKeepsFirst(t *testing.T) {
	p := newBench()
	rod := engineHash("engine.rod_mm")
	p.at("engine.stroke_mm")
	p.send(app.EngineUnit{Unit: unit.Inch})
	p.send(app.EngineType{Text: "x"})
	p.send(app.EngineKeep{To: rod})
	if p.m.Engine.At != "engine.stroke_mm" {
		t.Error("went on with what is no number")
	}
	p.send(app.EngineType{Text: "1.26"})
	p.send(app.EngineKeep{To: rod})
	p.settle()
	if s := p.m.Open.Build.Engine.Stroke; s == nil || *s != (unit.Length{Value: 1.26, Unit: unit.Inch}) || p.hash != rod {
		t.Errorf("stroke %v at %s", s, p.hash)
	}
	numbers := engineHash("wheel.numbers")
	p.at("wheel.numbering")
	p.send(app.EngineKeep{To: numbers})
	if p.hash != numbers {
		t.Errorf("a choice left alone leads to %s", p.hash)
	}
}
