package app_test

import (
	"math"
	"strings"
	"testing"

	"portwright/engine/build"
	"portwright/engine/plan"
	"portwright/engine/unit"
	"portwright/wasm/app"
)

// A gasket of less than nothing is a fault where it is typed, with the value and
// what would be right; the other moves are still carried out.
func TestATryThatCannotBe(t *testing.T) {
	p := newCuts(t, "cut.json")
	p.send(app.CutsMode{WhatIf: true})
	p.send(app.CutsTryNone{})
	p.send(app.CutsTry{Path: "base_cut/", Text: "0.2"})
	p.send(app.CutsTry{Path: "base_gasket/", Text: "-1"})
	fault, _ := p.m.Cuts.Tried["base_gasket/"].Err.(*unit.InputError)
	if fault == nil || fault.Value != "-1" || !strings.Contains(fault.Reason, "0 for none") || strings.Contains(fault.Reason, "leave it out") {
		t.Errorf("%+v", fault)
	}
	if r := p.plan(t); math.Abs(r.Now[plan.Squish]-r.After[plan.Squish]-0.2) > 1e-6 || len(p.m.Cuts.Plan.Lacks) > 0 {
		t.Errorf("the base cut is not carried out: %v %+v", r.After[plan.Squish], p.m.Cuts.Plan.Lacks)
	}
	p.send(app.CutsTry{Path: "base_cut/", Text: "-0.1"})
	if p.m.Cuts.Tried["base_cut/"].Err == nil {
		t.Error("metal is put back")
	}
}

// The exhaust's edge lies 22.15 mm under the crown at TDC: 30 can't have come off
// its roof, however often it is confirmed.
func TestABiteDeeperThanTheTravel(t *testing.T) {
	p := newCuts(t, "cut.json")
	path := "bite/" + build.MoveExhaustRoof + "/" + p.m.Open.Build.Windows[0].ID
	p.toCuts(path)
	p.send(app.EngineType{Text: "30"})
	for range 3 {
		p.send(app.EngineKeep{Sure: true})
		p.settle()
	}
	if f := p.m.Engine.Typed[path]; len(f.Faults) == 0 || len(p.m.Open.Build.Bites) > 0 {
		t.Errorf("%+v, kept %+v", f, p.m.Open.Build.Bites)
	}
}
