package app_test

import (
	"slices"
	"strings"
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

// A fresh whole build has the bench's usual sets of windows, one of them for a
// reed engine, and a way to windows of its own.
func TestWindowsOfAFreshBuild(t *testing.T) {
	fresh := func() *phone {
		p := newBook()
		p.send(app.NewBuild{})
		p.settle()
		p.send(app.Navigated{Hash: app.Route{Station: app.AtBench, Build: p.m.Open.ID}.Hash()})
		p.settle()
		return p
	}
	pick := func(p *phone, words string) {
		t.Helper()
		for _, b := range view.Of(p.m).Bench.Setup {
			if b.Words == words {
				p.send(b.Msg)
				p.settle()
				return
			}
		}
		t.Fatalf("%q is not offered", words)
	}
	p := fresh()
	pick(p, "Exhaust, two transfers; reed or rotary intake")
	var names []string
	for _, w := range p.m.Open.Build.Windows {
		names = append(names, w.Name)
	}
	if want := []string{"exhaust", "transfer left", "transfer right"}; !slices.Equal(names, want) {
		t.Errorf("windows %v, want %v", names, want)
	}
	p = fresh()
	pick(p, "Something else: set the windows")
	if f, ok := last[app.FocusOn](p); p.m.Station != app.AtEngine || !ok || f.ID != "windows-title" {
		t.Errorf("leads to %s, focus on %q", p.m.Station, f.ID)
	}
}

// The piston rocks across the pin: front and back are measured together.
func TestSquishFrontAndBackAreMeasuredTogether(t *testing.T) {
	p := newBench()
	for i, text := range []string{"0.9", "0.9", "0.95"} {
		p.gives("engine.squish_mm["+string(rune('0'+i))+"]", text, unit.MM)
	}
	for field, want := range map[string]string{
		"engine.squish_mm[0]": "both ends of the pin axis", "engine.squish_mm[1]": "both ends of the pin axis",
		"engine.squish_mm[2]": "front and back at once", "engine.squish_mm[3]": "front and back at once",
	} {
		p.at(field)
		if got := view.Of(p.m).Engine.Field.Ask; !strings.Contains(got, want) {
			t.Errorf("%s: %q does not speak of %q", field, got, want)
		}
	}
}
