package app_test

import (
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"portwright/engine/book"
	"portwright/engine/build"
	"portwright/engine/plan"
	"portwright/engine/unit"
	"portwright/wasm/app"
)

// newCuts is a phone at station Cuts of an invented build of testdata/builds.
func newCuts(t *testing.T, file string) *phone {
	t.Helper()
	return newAt(t, "../../testdata/builds/"+file, cutsHash(""))
}

// newAt is a phone that holds the build of a file, at an address.
func newAt(t *testing.T, file, hash string) *phone {
	t.Helper()
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	b, err := build.Decode(data)
	if err != nil {
		t.Fatal(err)
	}
	return phoneAt(t, b, hash)
}

// phoneAt is a phone that holds a build, at an address.
func phoneAt(t *testing.T, b *build.Build, hash string) *phone {
	t.Helper()
	b.ID = buildID
	d := newDisk()
	n := 0
	items, err := book.ItemsOf(b, func() string { n++; return app.Input{Fresh: "00000000-0000-7000-8000-00000000a000"}.ID(n) })
	if err != nil {
		t.Fatal(err)
	}
	d.keep(items, 1_780_000_000_000)
	p := newPhone(d)
	p.start(hash)
	return p
}

func cutsHash(field string) string {
	return app.Route{Station: app.AtCuts, Build: buildID, Field: field}.Hash()
}

// toCuts goes to the station, or to a field of it.
func (p *phone) toCuts(field string) {
	p.hash = cutsHash(field)
	p.send(app.Navigated{Hash: p.hash})
	p.settle()
}

// rest lets the last nudge rest until it is kept.
func (p *phone) rest() {
	for i := len(p.did) - 1; i >= 0; i-- {
		if a, ok := p.did[i].(app.After); ok {
			p.send(a.Msg)
			break
		}
	}
	p.settle()
}

func (p *phone) plan(t *testing.T) *plan.Result {
	t.Helper()
	r := p.m.Cuts.Plan.Result
	if r == nil {
		t.Fatalf("there is no plan: %+v", p.m.Cuts.Plan)
	}
	return r
}

// Taps that follow each other move the plan at once and are one entry.
func TestNudgesAreOneEntry(t *testing.T) {
	p := newCuts(t, "cut.json")
	n := len(p.disk.entries)
	for range 3 {
		p.send(app.CutsNudge{Key: build.TargetExhaustOpens, By: 1})
	}
	if got := p.plan(t).After[plan.ExhaustOpens]; math.Abs(got-104) > 0.01 {
		t.Errorf("the plan follows to %v, want 104", got)
	}
	if len(p.disk.entries) != n {
		t.Errorf("%d entries before the nudge has rested", len(p.disk.entries)-n)
	}
	p.rest()
	if len(p.disk.entries) != n+1 {
		t.Errorf("%d entries, want one", len(p.disk.entries)-n)
	}
	q := p.kill()
	if f, ok := q.m.Wanted(build.TargetExhaustOpens); !ok || f.Value != 104 || f.Nudged {
		t.Errorf("after a kill %+v", f)
	}
}

// A nudge that was not kept before a kill, or before the station was left, is
// kept afterwards.
func TestANudgeOutlivesAKill(t *testing.T) {
	p := newCuts(t, "cut.json")
	p.send(app.CutsNudge{Key: build.TargetSquish, By: 1}) // 0.55 and 0.05
	p = p.kill()
	p.settle()
	if got := p.m.Open.Build.Targets.List[0].Value.Value; got != 0.6 {
		t.Errorf("after a kill squish is wanted at %v, want 0.6", got)
	}
	p.send(app.CutsNudge{Key: build.TargetSquish, By: 1})
	p.hash = benchHash()
	p.send(app.Navigated{Hash: p.hash})
	p.settle()
	if got := p.m.Open.Build.Targets.List[0].Value.Value; got != 0.65 {
		t.Errorf("after the station was left squish is wanted at %v, want 0.65", got)
	}
	if c := p.m.Open.Fold.Conflicts; len(c) > 0 {
		t.Errorf("one device does not know of itself: %+v", c)
	}
}

// A target that can't be is not nudged to.
func TestANudgeStopsWhereATargetCantBe(t *testing.T) {
	p := newCuts(t, "cut.json")
	for range 30 {
		p.send(app.CutsNudge{Key: build.TargetSquish, By: -1})
	}
	if f, _ := p.m.Wanted(build.TargetSquish); f.Value <= 0 {
		t.Errorf("squish of %v is wanted", f.Value)
	}
}

// What the plan takes off is measured, ticked off, and the plan goes on from
// the measured depth; then from the new readings alone.
func TestABiteAndTheReadingAfterIt(t *testing.T) {
	p := newCuts(t, "cut.json")
	first := p.plan(t).Moves[0]
	if first.Move != build.MoveBaseGasket {
		t.Fatalf("the first step is %+v", first)
	}
	p.toCuts("bite/base_gasket/")
	p.send(app.EngineType{Text: "0.3"})
	p.send(app.EngineKeep{})
	p.settle()
	bites := p.m.Open.Build.Bites
	if len(bites) != 1 || bites[0].ToMM.MM() != 0.3 || bites[0].Pass != "as received" {
		t.Fatalf("kept %+v", bites)
	}
	if p.m.Station != app.AtCuts || p.m.Engine.At != "" || p.m.Notice == "" {
		t.Errorf("at %v %q, says %q", p.m.Station, p.m.Engine.At, p.m.Notice)
	}
	r := p.plan(t)
	if r.Moves[0].Move == build.MoveBaseGasket || r.Now[plan.BaseGasket] != 0.3 {
		t.Errorf("the plan goes on with %+v from gasket %v", r.Moves[0], r.Now[plan.BaseGasket])
	}
	if !slices.ContainsFunc(r.Warnings, func(w plan.Warning) bool { return w.Code == plan.WarnNotRead }) {
		t.Error("nothing says that the numbers stand on the bite alone")
	}
	p.send(app.CutsReadAgain{})
	p.settle()
	if p.m.Station != app.AtBench || len(p.m.Open.Build.Passes) != 2 || p.m.PassInHand().Name != "after base gasket" {
		t.Fatalf("at %v with passes %+v", p.m.Station, p.m.Open.Build.Passes)
	}
	p.toCuts("")
	if p.plan(t).Pass != "as received" {
		t.Error("a pass without a reading is planned from")
	}
	p.send(app.CutsReadAgain{}) // the pass is there already
	p.settle()
	if len(p.m.Open.Build.Passes) != 2 {
		t.Errorf("%d passes", len(p.m.Open.Build.Passes))
	}
	p.send(app.BenchMode{Mode: app.OpeningsOnly})
	window := p.m.Open.Build.Windows[0].ID
	p.send(app.BenchGo{Step: "read/" + window + "/opens"})
	for range 3 {
		for _, k := range "103.5" {
			p.send(app.BenchType{Key: string(k)})
		}
		p.send(app.BenchKeep{Sure: true})
		p.settle()
	}
	p.toCuts("")
	// No stop check in this pass: the wheel's zero is TDC.
	if r := p.plan(t); r.Pass != "after base gasket" || math.Abs(r.Now[plan.ExhaustOpens]-103.5) > 0.01 {
		t.Errorf("planned from %q, exhaust opens at %v, want the new reading of 103.5", r.Pass, r.Now[plan.ExhaustOpens])
	}
}

func TestABiteIsStruckOutAndCountsAgain(t *testing.T) {
	p := newCuts(t, "cut.json")
	before := p.plan(t).Now
	p.toCuts("bite/base_cut/")
	p.send(app.EngineType{Text: "0.2"})
	p.send(app.EngineKeep{})
	p.settle()
	id := p.m.Open.Build.Bites[0].ID
	// The cylinder came lower by 0.2 mm, so squish is 0.2 less: plane geometry.
	if got, want := p.plan(t).Now[plan.Squish], before[plan.Squish]-0.2; math.Abs(got-want) > 1e-6 {
		t.Errorf("squish %v after the bite, want %v", got, want)
	}
	p.send(app.CutsStrike{ID: id})
	p.settle()
	if got := p.plan(t).Now; got[plan.Squish] != before[plan.Squish] {
		t.Errorf("squish %v with the bite struck out, want %v", got[plan.Squish], before[plan.Squish])
	}
	p.send(app.CutsStrike{ID: id, Back: true})
	p.settle()
	if p.m.Open.Build.Bites[0].Struck != "" || p.plan(t).Now[plan.Squish] == before[plan.Squish] {
		t.Error("the bite does not count again")
	}
}

// A bite that can't be is refused, one in another unit is asked about.
func TestBitesThatCantBe(t *testing.T) {
	p := newCuts(t, "cut.json")
	path := "bite/base_cut/"
	for _, text := range []string{"0", "-0.2", "x"} {
		p.toCuts(path)
		p.send(app.EngineType{Text: text})
		p.send(app.EngineKeep{})
		p.settle()
		if f := p.m.Engine.Typed[path]; len(f.Faults) == 0 || len(p.m.Open.Build.Bites) > 0 {
			t.Errorf("%q: %+v, kept %+v", text, f, p.m.Open.Build.Bites)
		}
	}
	p.send(app.EngineType{Text: "8"}) // 8 thou, typed as mm
	p.send(app.EngineKeep{})
	p.settle()
	spec, f, _ := p.m.InHand()
	d := p.m.DoubtOf(spec, unit.Length{Value: f.Value, Unit: f.Unit})
	if d == nil || d.Suggest == nil || d.Suggest.Unit != unit.Thou || f.AskedMS == 0 || len(p.m.Open.Build.Bites) > 0 {
		t.Fatalf("8 mm at once: %+v, kept %+v", d, p.m.Open.Build.Bites)
	}
	p.send(app.EngineTake{Length: *d.Suggest})
	p.send(app.EngineKeep{})
	p.settle()
	if b := p.m.Open.Build.Bites; len(b) != 1 || math.Abs(b[0].ByMM.MM()-0.2032) > 1e-9 { // 8 x 0.0254
		t.Errorf("kept %+v", b)
	}
}

// Every number follows a move that is tried; nothing of it is in the book.
func TestWhatIf(t *testing.T) {
	p := newCuts(t, "cut.json")
	n := len(p.disk.entries)
	p.send(app.CutsMode{WhatIf: true})
	if len(p.m.Cuts.Tried) != 5 {
		t.Errorf("it begins with %d moves, want the plan's five: %+v", len(p.m.Cuts.Tried), p.m.Cuts.Tried)
	}
	p.send(app.CutsTryNone{})
	r := p.plan(t)
	if r.Status != plan.WhatIf || len(r.Moves) != 0 || r.Now[plan.Squish] != r.After[plan.Squish] {
		t.Errorf("no move: %+v", r)
	}
	p.send(app.CutsTry{Path: "base_cut/", Text: "8 thou"})
	p.send(app.CutsTryBy{Path: "band_cut/", By: 2}) // 0.1 mm
	r = p.plan(t)
	// Lower by 8 thou, band 0.1 mm higher: plane geometry.
	if got, want := r.After[plan.Squish], r.Now[plan.Squish]-0.2032+0.1; math.Abs(got-want) > 1e-6 {
		t.Errorf("squish comes to %v, want %v", got, want)
	}
	if r.After[plan.ExhaustOpens] <= r.Now[plan.ExhaustOpens] {
		t.Error("the exhaust does not open later in a lower cylinder")
	}
	p.send(app.CutsTry{Path: "base_cut/", Text: "0.2x"})
	if f := p.m.Cuts.Tried["base_cut/"]; f.Err == nil || f.Text != "0.2x" {
		t.Errorf("half-typed: %+v", f)
	}
	q := p.kill()
	if q.m.Cuts.Tried["band_cut/"].Value != 0.1 || len(q.disk.entries) != n {
		t.Errorf("after a kill %+v, %d entries more", q.m.Cuts.Tried, len(q.disk.entries)-n)
	}
}

// What is missing for a target leaves that target out and is said; the rest is
// planned.
func TestWhatIsMissingIsSaid(t *testing.T) {
	p := newBench()
	p.toCuts("")
	if p.m.Cuts.Plan.Result != nil || p.m.Cuts.Plan.Lacks[0].Needs[0] != "passes" {
		t.Errorf("without a reading: %+v", p.m.Cuts.Plan)
	}
	p = newCuts(t, "cut.json")
	p.at("engine.squish_mm[0]")
	for range 4 {
		p.send(app.EngineNotKnown{})
		p.settle()
		p.at("engine.squish_mm[0]")
	}
	p.toCuts("")
	var lacks []app.Lack
	for _, l := range p.m.Cuts.Plan.Lacks {
		if slices.Contains(l.Needs, "engine.squish_mm") {
			lacks = append(lacks, l)
		}
	}
	if len(lacks) != 2 || lacks[0].Field != "targets.squish_mm" || lacks[1].Field != "limits.squish_min_mm" {
		t.Errorf("without squish: %+v", p.m.Cuts.Plan.Lacks)
	}
	if r := p.plan(t); math.Abs(r.After[plan.ExhaustOpens]-101) > 0.01 {
		t.Errorf("the exhaust is planned to %v, want 101", r.After[plan.ExhaustOpens])
	}
}

// Allowing a move and a bound of it are fields like any other.
func TestAllowedMoves(t *testing.T) {
	p := newCuts(t, "demo.json")
	p.send(app.CutsWant{Key: build.TargetExhaustOpens})
	if f, _ := p.m.Wanted(build.TargetExhaustOpens); f.Value != 103 { // it opens at 103.2
		t.Errorf("a new target stands at %v, want 103", f.Value)
	}
	p.send(app.CutsNudge{Key: build.TargetExhaustOpens, By: -3})
	if r := p.plan(t); r.Status != plan.Limited || !slices.Contains(r.WouldHelp, plan.Name(build.MoveExhaustRoof)) {
		t.Errorf("nothing is allowed: %s, would help %v", r.Status, r.WouldHelp)
	}
	p.send(app.CutsAllow{Move: build.MoveExhaustRoof}) // while the nudge is not kept yet
	p.rest()
	if r := p.plan(t); r.Status != plan.Solved || len(r.Moves) != 1 {
		t.Errorf("the roof is allowed: %s, %+v", r.Status, r.Moves)
	}
	p.toCuts("moves_allowed.exhaust_roof_mm.max")
	p.send(app.EngineType{Text: "0.5"})
	p.send(app.EngineKeep{})
	p.settle()
	if r := p.plan(t); p.m.Open.Build.Allowed.ExhaustRoof.Max.MM() != 0.5 || !slices.Equal(r.Binding, []string{"exhaust_roof_mm"}) {
		t.Errorf("at most 0.5 mm: binding %v", r.Binding)
	}
	p.toCuts("moves_allowed.base_gaskets_mm[0]")
	p.send(app.EngineType{Text: "0.3"})
	p.send(app.EngineKeep{})
	p.settle()
	if g := p.m.Open.Build.Allowed.BaseGaskets; len(g) != 1 || g[0].MM() != 0.3 {
		t.Errorf("gaskets %+v", g)
	}
	p.send(app.CutsAllow{Move: build.MoveExhaustRoof})
	p.settle()
	if p.m.Open.Build.Allowed.ExhaustRoof != nil {
		t.Error("the roof is still allowed")
	}
	p.toCuts("limits.squish_min_mm")
	p.send(app.EngineType{Text: "18"})
	p.send(app.EngineUnit{Unit: unit.Thou})
	p.send(app.EngineKeep{})
	p.settle()
	if l := p.m.Open.Build.Limits.SquishMin; l == nil || l.Unit != unit.Thou || l.Value != 18 {
		t.Errorf("limit %+v", l)
	}
	p.toCuts("targets.exhaust_opens_deg")
	p.send(app.EngineType{Text: "200"})
	p.send(app.EngineKeep{})
	p.settle()
	if f := p.m.Engine.Typed["targets.exhaust_opens_deg"]; len(f.Faults) != 1 || !strings.Contains(f.Faults[0].Reason, "less than 180") {
		t.Errorf("200 degrees: %+v", f.Faults)
	}
}

// Each cylinder is planned from its own passes.
func TestPlanOfTheCylinderInHand(t *testing.T) {
	p := newCuts(t, "cut.json")
	one := p.plan(t).Now[plan.ExhaustOpens]
	p.at("engine.cylinders")
	p.send(app.EngineType{Text: "2"})
	p.send(app.EngineKeep{})
	p.settle()
	p.send(app.BenchNewPass{Name: "cylinder 2", Cylinder: 2})
	p.settle()
	p.send(app.BenchMode{Mode: app.OpeningsOnly})
	p.send(app.BenchGo{Step: "read/" + p.m.Open.Build.Windows[0].ID + "/opens"})
	for _, k := range "105" {
		p.send(app.BenchType{Key: string(k)})
	}
	p.send(app.BenchKeep{Sure: true})
	p.settle()
	p.toCuts("")
	if r := p.plan(t); r.Cylinder != 2 || math.Abs(r.Now[plan.ExhaustOpens]-105) > 0.01 {
		t.Errorf("cylinder %d, exhaust opens at %v", r.Cylinder, r.Now[plan.ExhaustOpens])
	}
	p.send(app.BenchPass{Pass: p.m.Open.Build.Passes[0].ID})
	p.settle()
	if r := p.plan(t); r.Cylinder != 1 || r.Now[plan.ExhaustOpens] != one {
		t.Errorf("cylinder %d, exhaust opens at %v, want %v", r.Cylinder, r.Now[plan.ExhaustOpens], one)
	}
}
