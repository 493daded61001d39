package app_test

import (
	"math"
	"os"
	"slices"
	"testing"

	"portwright/engine/build"
	"portwright/engine/plan"
	"portwright/engine/unit"
	"portwright/wasm/app"
)

// disputed is the invented build after a bite of 0.5 mm off the exhaust's roof,
// read again where it opens as if cut were 1.0 mm.
func disputed(t *testing.T, bites ...build.Bite) *phone {
	t.Helper()
	data, err := os.ReadFile("../../testdata/builds/cut.json")
	if err != nil {
		t.Fatal(err)
	}
	b, err := build.Decode(data)
	if err != nil {
		t.Fatal(err)
	}
	// Stroke 32.5, rod 58, as in the file: the angle that a travel belongs to, by
	// halving. Source: plane geometry.
	travel := func(deg float64) float64 {
		const r, l = 16.25, 58.0
		s, c := math.Sincos(deg * math.Pi / 180)
		return r*(1-c) + l - math.Sqrt(l*l-r*r*s*s)
	}
	const opens = 103.2 // half of 153.7 degrees before BDC: the file's means, 103.667 and 257.333 on the wheel
	low, high := 80.0, opens
	for range 50 {
		if mid := (low + high) / 2; travel(mid) < travel(opens)-1 {
			low = mid
		} else {
			high = mid
		}
	}
	again := b.Passes[0]
	again.Name, again.ID = "after exhaust roof raised", ""
	again.Readings = slices.Clone(again.Readings)
	for i := range again.Readings {
		x := &again.Readings[i]
		x.ID = ""
		switch {
		case x.Window != "exhaust":
		case x.Event == build.Opens:
			x.Value.Value -= opens - low
		default:
			x.Value.Value += opens - low
		}
	}
	b.Passes = append(b.Passes, again)
	b.Bites = append(bites, build.Bite{Move: build.Move{Move: build.MoveExhaustRoof, Window: "exhaust", ByMM: &unit.Length{Value: 0.5, Unit: unit.MM}}, Pass: "as received"})
	return phoneAt(t, b, cutsHash(""))
}

func contradicted(p *phone, t *testing.T) bool {
	return slices.ContainsFunc(p.plan(t).Warnings, func(w plan.Warning) bool { return w.Code == plan.WarnBite })
}

// Readings that contradict a bite are trusted in one tap: the bite becomes what
// they say came off, and the one that was entered is struck out.
func TestTheReadingsAreTrusted(t *testing.T) {
	p := disputed(t)
	all := p.m.DisputedBites()
	if !contradicted(p, t) || len(all) != 1 || math.Abs(all[0].ReadMM-1) > 0.02 {
		t.Fatalf("disputed %+v", all)
	}
	opens := p.plan(t).Now[plan.ExhaustOpens]
	p.send(app.CutsTrust{ID: all[0].ID})
	p.settle()
	bites := p.m.Open.Build.Bites
	if len(bites) != 2 || bites[0].Struck == "" || math.Abs(bites[1].ByMM.MM()-1) > 0.02 || bites[1].Pass != "as received" || bites[1].Window != "exhaust" {
		t.Errorf("kept %+v", bites)
	}
	if contradicted(p, t) || len(p.m.DisputedBites()) > 0 {
		t.Error("still contradicted")
	}
	if got := p.plan(t).Now[plan.ExhaustOpens]; got != opens {
		t.Errorf("the exhaust opens at %v, and at %v before", got, opens)
	}
	p.send(app.CutsStrike{ID: bites[1].ID}) // and taken back
	p.settle()
	p.send(app.CutsStrike{ID: bites[0].ID, Back: true})
	p.settle()
	if !contradicted(p, t) {
		t.Error("the bite that was entered counts again and is not contradicted")
	}
}

// Which of two bites the readings contradict can't be told: none is put right
// for the person.
func TestTwoDisputedBites(t *testing.T) {
	p := disputed(t, build.Bite{Move: build.Move{Move: build.MoveExhaustRoof, Window: "exhaust", ByMM: &unit.Length{Value: 0.1, Unit: unit.MM}}, Pass: "as received"})
	all := p.m.DisputedBites()
	if len(all) != 2 || all[0].ReadMM != 0 || all[1].ReadMM != 0 {
		t.Fatalf("disputed %+v", all)
	}
	p.send(app.CutsTrust{ID: all[0].ID})
	p.settle()
	if len(p.m.Open.Build.Bites) != 2 {
		t.Error("one of two bites was put right")
	}
}
