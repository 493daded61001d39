package app_test

import (
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"portwright/engine/book"
	"portwright/engine/build"
	"portwright/engine/crank"
	"portwright/engine/unit"
	"portwright/wasm/app"
	"portwright/wasm/view"
)

func engineHash(field string) string {
	return app.Route{Station: app.AtEngine, Build: buildID, Field: field}.Hash()
}

// at takes a field in hand.
func (p *phone) at(field string) {
	p.hash = engineHash(field)
	p.send(app.Navigated{Hash: p.hash})
}

// gives types a value into a field, in a unit, and keeps it.
func (p *phone) gives(field, text string, u unit.LengthUnit) {
	p.at(field)
	if u != "" {
		p.send(app.EngineUnit{Unit: u})
	}
	p.send(app.EngineType{Text: text})
	p.send(app.EngineKeep{})
	p.settle()
}

func mm(t *testing.T, l *unit.Length) float64 {
	t.Helper()
	if l == nil {
		t.Fatal("not known")
	}
	return l.MM()
}

func TestNumbersOneAtATime(t *testing.T) {
	p := newBench()
	p.gives("engine.stroke_mm", "32,5", "")
	if got := mm(t, p.m.Open.Build.Engine.Stroke); got != 32.5 {
		t.Errorf("stroke %v", got)
	}
	if p.hash != engineHash("engine.rod_mm") || p.m.Engine.At != "engine.rod_mm" {
		t.Errorf("after the stroke at %q", p.m.Engine.At)
	}
	p.gives("engine.bore_mm", "1.732", unit.Inch)
	if got := p.m.Open.Build.Engine.Bore; *got != (unit.Length{Value: 1.732, Unit: unit.Inch}) {
		t.Errorf("bore %v: the unit it was given in is lost", got)
	}
	p.gives("engine.base_gasket_mm", "20 thou", "")
	if got := mm(t, p.m.Open.Build.Engine.BaseGasket); math.Abs(got-0.508) > 1e-12 {
		t.Errorf("gasket %v, want 0.508 (20 thou, by definition of the inch)", got)
	}
	p.gives("engine.carburettor_bore_mm", "13/16", unit.Inch)
	if got := p.m.Open.Build.Engine.CarburettorBore; got == nil || *got != (unit.Length{Value: 0.8125, Unit: unit.Inch}) {
		t.Errorf("carburettor %v, want 13/16 in", got)
	}
	p.gives("engine.cylinders", "2", "")
	p.gives("engine.chamber_cc", "5.8", "")
	p.gives("name", "  Pump  ", "")
	if b := p.m.Open.Build; b.Engine.Cylinders != 2 || *b.Engine.ChamberCC != 5.8 || b.Name != "Pump" {
		t.Errorf("%+v, name %q", b.Engine, b.Name)
	}
	p.at("engine.chamber_cc")
	p.send(app.EngineNotKnown{})
	p.settle()
	if p.m.Open.Build.Engine.ChamberCC != nil {
		t.Error("not known is still known")
	}
	if len(p.m.Engine.Typed) != 0 {
		t.Errorf("still typed: %v", p.m.Engine.Typed)
	}
}

// What can't be is refused at the field, naming what would be right, and
// nothing is written; the text stays.
func TestWhatCanNotBeIsRefusedAtTheField(t *testing.T) {
	for _, c := range []struct{ field, text, says string }{
		{"engine.rod_mm", "16", "half the stroke"},
		{"engine.rod_mm", "long", "number"},
		{"engine.stroke_mm", "-3", ""},
		{"engine.stroke_mm", "1.2.3", "decimal"},
		{"engine.cylinders", "1.5", "whole number"},
		{"engine.chamber_cc", "1e9", ""},
		{"wheel.step_deg", "0", "more than 0"},
		{"windows/w2.name", "exhaust", "its own"},
		{"name", "   ", "must be given"},
	} {
		t.Run(c.field+" "+c.text, func(t *testing.T) {
			p := newBench()
			p.gives("engine.stroke_mm", "34", "")
			n := len(p.disk.entries)
			p.gives(c.field, c.text, "")
			if len(p.disk.entries) != n {
				t.Fatal("it was written")
			}
			_, f, _ := p.m.InHand()
			if f.Text != c.text || p.m.Engine.At != c.field {
				t.Errorf("text %q at %q", f.Text, p.m.Engine.At)
			}
			if len(f.Faults) == 0 || !strings.Contains(f.Faults[0].Reason, c.says) {
				t.Fatalf("faults %v, want one that speaks of %q", f.Faults, c.says)
			}
			p.send(app.EngineType{Text: c.text + "1"})
			if _, f, _ := p.m.InHand(); len(f.Faults) != 0 {
				t.Error("the fault stays while the text changes")
			}
		})
	}
}

// A number typed while the one before is still on its way to the disk is held
// against both, and the places of squish follow each other.
func TestQuickTypingIsHeldAgainstWhatIsOnItsWay(t *testing.T) {
	p := newBench()
	p.at("engine.stroke_mm")
	p.send(app.EngineType{Text: "34"})
	p.send(app.EngineKeep{})
	p.at("engine.rod_mm")
	p.send(app.EngineType{Text: "16"})
	p.send(app.EngineKeep{})
	if _, f, _ := p.m.InHand(); len(f.Faults) == 0 || p.m.Engine.At != "engine.rod_mm" {
		t.Errorf("a rod shorter than the throw is taken while the stroke is written: %+v", f)
	}
	p.settle()
	for i, text := range []string{"0.9", "0.95", "1"} {
		p.at("engine.squish_mm[" + string(rune('0'+i)) + "]")
		p.send(app.EngineType{Text: text})
		p.send(app.EngineKeep{})
	}
	p.settle()
	if got := p.m.Open.Build.Engine.Squish; len(got) != 3 || got[2].MM() != 1 {
		t.Errorf("squish %v", got)
	}
}

// "0.20 in" for a squish is told as 5.08 mm, and 0.02 is one tap away.
func TestDoubtSpeaksAndIsTakenWithOneTap(t *testing.T) {
	p := newBench()
	p.at("engine.squish_mm[0]")
	p.send(app.EngineUnit{Unit: unit.Inch})
	p.send(app.EngineType{Text: "0.20"})
	spec, f, _ := p.m.InHand()
	d := p.m.DoubtOf(spec, unit.Length{Value: f.Value, Unit: f.Unit})
	if d == nil || d.Suggest == nil || !strings.Contains(d.Text, "5.08 mm") {
		t.Fatalf("doubt %+v", d)
	}
	p.send(app.EngineTake{Length: *d.Suggest})
	p.send(app.EngineKeep{})
	p.settle()
	if got := p.m.Open.Build.Engine.Squish; len(got) != 1 || got[0].MM() != 0.508 {
		t.Errorf("squish %v", got)
	}
	p.gives("engine.stroke_mm", "34", unit.MM)
	p.at("engine.rod_mm")
	p.send(app.EngineType{Text: "38"})
	spec, _, _ = p.m.InHand()
	if d := p.m.DoubtOf(spec, unit.Length{Value: 38}); d == nil || !strings.Contains(d.Text, "strokes") {
		t.Errorf("a rod of 1.12 strokes raises no doubt: %+v", d)
	}
}

func TestSquishPlaces(t *testing.T) {
	p := newBench()
	p.gives("engine.squish_mm[0]", "0.9", unit.MM)
	p.gives("engine.squish_mm[1]", "1", "")
	p.gives("engine.squish_mm[2]", "0.95", "")
	p.gives("engine.squish_mm[1]", "1.1", "")
	want := []float64{0.9, 1.1, 0.95}
	for i, l := range p.m.Open.Build.Engine.Squish {
		if l.MM() != want[i] {
			t.Fatalf("%v, want %v", p.m.Open.Build.Engine.Squish, want)
		}
	}
	p.at("engine.squish_mm[1]")
	p.send(app.EngineNotKnown{})
	p.settle()
	if got := p.m.Open.Build.Engine.Squish; len(got) != 2 || got[1].MM() != 0.95 {
		t.Errorf("%v", got)
	}
}

// Whatever is typed, in whatever order and with kills in between: the text of
// the field in hand is what was typed last, the book holds nothing that can't
// be, and nothing panics.
func TestRandomTypingNeitherVanishesNorPanics(t *testing.T) {
	fields := []string{"engine.stroke_mm", "engine.rod_mm", "engine.pin_offset_mm", "engine.cylinders", "engine.chamber_cc",
		"engine.squish_mm[0]", "engine.squish_mm[1]", "wheel.step_deg", "windows/w1.name", "windows/w1.chord_mm", "name", "note"}
	rapid.Check(t, func(t *rapid.T) {
		p := newBench()
		typed := map[string]string{}
		for range rapid.IntRange(1, 30).Draw(t, "steps") {
			field := rapid.SampledFrom(fields).Draw(t, "field")
			p.at(field)
			if p.m.Engine.At != field { // the second place of squish before the first
				continue
			}
			switch rapid.SampledFrom([]string{"type", "type", "unit", "sign", "keep", "unknown", "kill"}).Draw(t, "what") {
			case "type":
				text := rapid.OneOf(rapid.StringMatching(`-?[0-9]{0,3}[.,½]?[0-9]{0,3}`), rapid.String()).Draw(t, "text")
				p.send(app.EngineType{Text: text})
				typed[field] = text
			case "unit":
				p.send(app.EngineUnit{Unit: rapid.SampledFrom([]unit.LengthUnit{unit.MM, unit.Inch, unit.Thou, "ell"}).Draw(t, "unit")})
			case "sign":
				p.send(app.EngineSign{})
				delete(typed, field)
			case "keep":
				before := len(p.disk.entries)
				p.send(app.EngineKeep{})
				p.settle()
				if len(p.disk.entries) > before || p.m.Engine.At != field {
					delete(typed, field)
				}
			case "unknown":
				p.send(app.EngineNotKnown{})
				p.settle()
				delete(typed, field)
			case "kill":
				p = p.kill()
			}
			for f, text := range typed {
				p.at(f)
				if _, got, ok := p.m.InHand(); ok && got.Text != text {
					t.Fatalf("%s: %q was typed, %q is there", f, text, got.Text)
				}
			}
			if err := build.Check(p.m.Open.Build); err != nil {
				t.Fatalf("the book holds what can't be: %v", err)
			}
		}
	})
}

func TestHalfTypedOutlivesAKillDuringTheWrite(t *testing.T) {
	for _, written := range []bool{false, true} {
		p := newBench()
		p.at("engine.stroke_mm")
		p.send(app.EngineType{Text: "32.5"})
		p.send(app.EngineKeep{})
		if written { // the disk has it, the answer never came
			w, _ := last[app.Append](p)
			p.disk.keep(w.Items, p.now)
		}
		p = p.kill()
		p.at("engine.stroke_mm")
		_, f, _ := p.m.InHand()
		_, half := p.m.Engine.Typed["engine.stroke_mm"]
		if f.Text != "32.5" || f.Sending != "" || half == written {
			t.Errorf("written %v: text %q, half-typed %v, sending %q", written, f.Text, half, f.Sending)
		}
	}
}

func TestConflictShowsBothAndOneTapDecides(t *testing.T) {
	for _, want := range []float64{32, 32.5} {
		decideFor(t, want)
	}
}

// decideFor settles a conflict between 32, which is later, and 32.5.
func decideFor(t *testing.T, want float64) {
	t.Helper()
	p := newBench()
	p.gives("engine.stroke_mm", "32.5", "")
	other, err := book.SetItem("00000000-0000-7000-8000-0000000000c1", buildID, "engine.stroke_mm", json.RawMessage("32"))
	if err != nil {
		t.Fatal(err)
	}
	p.disk.entries = append(p.disk.entries, book.Entry{ID: other.ID, Device: "00000000-0000-7000-8000-0000000000d2", Seq: 1,
		Clock: book.Clock{MS: p.now + 1000}, Build: buildID, Kind: other.Kind, Body: other.Body})
	p.send(app.OtherTab{Build: buildID})
	p.settle()
	cs := p.m.Open.Fold.Conflicts
	if len(cs) != 1 || len(cs[0].Others) != 1 || mm(t, p.m.Open.Build.Engine.Stroke) != 32 {
		t.Fatalf("conflicts %+v", cs)
	}
	head := cs[0].Used.Entry
	if want == 32.5 {
		head = cs[0].Others[0].Entry
	}
	p.send(app.Decide{Path: cs[0].Path, Head: head})
	p.settle()
	if len(p.m.Open.Fold.Conflicts) != 0 || mm(t, p.m.Open.Build.Engine.Stroke) != want {
		t.Errorf("after deciding: %+v, stroke %v", p.m.Open.Fold.Conflicts, p.m.Open.Build.Engine.Stroke)
	}
}

// On a third device the two that differ are told apart.
func TestDevicesOfAConflictAreToldApart(t *testing.T) {
	p := newBench()
	for i, device := range []string{"00000000-0000-7000-8000-00000000a1d2", "b7"} {
		it, err := book.SetItem(fmt.Sprintf("00000000-0000-7000-8000-0000000000c%d", i), buildID, "engine.stroke_mm", json.RawMessage("32"+[]string{"", ".5"}[i]))
		if err != nil {
			t.Fatal(err)
		}
		p.disk.entries = append(p.disk.entries, book.Entry{ID: it.ID, Device: device, Seq: 1,
			Clock: book.Clock{MS: p.now + 1000 + int64(i)}, Build: buildID, Kind: it.Kind, Body: it.Body})
	}
	p.send(app.OtherTab{Build: buildID})
	p.settle()
	p.send(app.Navigated{Hash: app.Route{Station: app.AtEngine, Build: buildID}.Hash()})
	for _, c := range []struct{ names, first, second string }{
		{"", "device b7", "device a1d2"},
		{`{"b7":"bench phone","c":"bench"}`, "bench phone", "device a1d2"},
		{`{"b7":"Phone","00000000-0000-7000-8000-00000000a1d2":"Phone"}`, "Phone (b7)", "Phone (a1d2)"},
		{`{"b7":"bench","00000000-0000-7000-8000-00000000a1d2":"lathe"}`, "bench", "lathe"},
		{"", "bench", "lathe"}, // nothing new was said
		{`{"b7":7}`, "device b7", "device a1d2"},
		{`["b7"]`, "device b7", "device a1d2"},
	} {
		p.send(app.SyncTold{Entries: 8, Names: c.names})
		p.settle()
		cs := view.Of(p.m).Engine.Conflicts
		if len(cs) != 1 || len(cs[0].Values) != 2 {
			t.Fatalf("conflicts %+v", cs)
		}
		for i, want := range []string{c.first, c.second} {
			if v := cs[0].Values[i]; !strings.HasSuffix(v.Whence, " on "+want) {
				t.Errorf("%s: %q, want %q", c.names, v.Whence, want)
			}
		}
		if p.disk.settings.Names != p.m.Settings.Names {
			t.Errorf("%q is not kept", c.names)
		}
	}
}

func TestWindowsAreAddedMovedTakenOutAndPutBack(t *testing.T) {
	p := newBench()
	p.send(app.BenchGo{Step: "read/w1/opens"})
	p.types("104.5")
	p.at("")
	p.send(app.AddWindow{Kind: build.KindTransfer})
	p.settle()
	p.send(app.AddWindow{Kind: build.KindTransfer})
	p.settle()
	names := func() string {
		var out []string
		for _, w := range p.m.Open.Build.Windows {
			out = append(out, w.Name)
		}
		return strings.Join(out, ", ")
	}
	if got := names(); got != "exhaust, transfer left, transfer right, intake, transfer, transfer 2" {
		t.Fatalf("windows %s", got)
	}
	p.send(app.MoveWindow{ID: p.m.Open.Build.Windows[5].ID, By: -1})
	p.settle()
	if got := names(); !strings.HasSuffix(got, "intake, transfer 2, transfer") {
		t.Errorf("moved: %s", got)
	}
	p.gives("windows/w1.name", "main exhaust", "")
	if r := p.m.Open.Build.Passes[0].Readings; len(r) != 1 || r[0].Window != "main exhaust" {
		t.Errorf("the reading did not follow its window's name: %+v", r)
	}
	p.send(app.TakeOut{Part: "windows/w2"})
	p.settle()
	if strings.Contains(names(), "transfer left") {
		t.Error("taken out and still there")
	}
	p.send(app.PutIn{Part: "windows/w2"})
	p.settle()
	if !strings.Contains(names(), "transfer left") {
		t.Error("put back and not there")
	}
	p.send(app.AddPass{})
	p.settle()
	if n := len(p.m.Open.Build.Passes); n != 2 {
		t.Errorf("%d passes", n)
	}
}

// Pairs reckoned with a known mechanism give its rod back within the doubt
// that is claimed, the crown's depth at TDC learned beside it. Source of the
// depths: the exact slider-crank of package crank, itself checked against
// published and independent values.
func TestRodIsLearnedFromPairs(t *testing.T) {
	p := newBench()
	p.gives("engine.stroke_mm", "34", "")
	mech, err := crank.New(34, 60, 0)
	if err != nil {
		t.Fatal(err)
	}
	p.at(app.LearnPath)
	if l := p.m.Learned(); l.Refused == "" {
		t.Fatalf("something is learned from nothing: %+v", l)
	}
	for i, deg := range []float64{20, 60, 80, 100, 130, 170} {
		p.send(app.LearnType{Row: i, Col: 0, Text: unit.Plain(0.8+mech.Travel(unit.Rad(deg)), 3)})
		p.send(app.LearnType{Row: i, Col: 1, Text: unit.Plain(deg, 1)})
	}
	l := p.m.Learned()
	if l.Refused != "" || math.Abs(l.Rod-60) > l.RodU95 || l.RodU95 > 6 || l.Deck == nil || math.Abs(*l.Deck-0.8) > l.DeckU95 {
		t.Fatalf("learned %+v", l)
	}
	q := p.kill() // the list is kept as it was typed
	if len(q.m.Engine.Learn.Rows) != 6 {
		t.Errorf("%d rows after a kill", len(q.m.Engine.Learn.Rows))
	}
	q.send(app.LearnTake{})
	q.settle()
	e := q.m.Open.Build.Engine
	if math.Abs(mm(t, e.Rod)-l.Rod) > 0.001 || math.Abs(mm(t, e.RodUncertainty)-l.RodU) > 0.001 || e.CrownBelowDeck == nil {
		t.Errorf("taken over: %+v", e)
	}
}
