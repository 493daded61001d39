package app_test

import (
	"math"
	"slices"
	"testing"

	"portwright/engine/build"
	"portwright/engine/plan"
	"portwright/wasm/app"
)

// The first target counts most; moving one is one entry, and the plan follows.
func TestTargetsChangePlaces(t *testing.T) {
	p := newCuts(t, "cut.json")
	n := len(p.disk.entries)
	p.send(app.CutsMove{Key: build.TargetExhaustOpens, By: -1})
	p.settle()
	want := []string{build.TargetExhaustOpens, build.TargetSquish, build.TargetTransferOpens}
	if got := p.m.WantedKeys(); !slices.Equal(got, want) || len(p.disk.entries) != n+1 {
		t.Errorf("order %v after %d entries, want %v after one", got, len(p.disk.entries)-n, want)
	}
	if !slices.Contains(p.did, app.Effect(app.FocusOn{ID: "down-" + build.TargetExhaustOpens})) {
		t.Error("it is first, and the focus does not go to its Down")
	}
	p.send(app.CutsMove{Key: build.TargetExhaustOpens, By: -1}) // there is no place before the first
	p.settle()
	p.send(app.CutsWant{Key: build.TargetBlowdown}) // not kept yet
	p.send(app.CutsMove{Key: build.TargetBlowdown, By: -1})
	p.settle()
	q := p.kill()
	want = []string{build.TargetExhaustOpens, build.TargetSquish, build.TargetBlowdown, build.TargetTransferOpens}
	var kept []string
	for _, w := range q.m.Open.Build.Targets.List {
		kept = append(kept, w.Key)
	}
	if !slices.Equal(kept, want) {
		t.Errorf("after a kill %v, want %v", kept, want)
	}
	if c := q.m.Open.Fold.Conflicts; len(c) > 0 {
		t.Errorf("one device does not know of itself: %+v", c)
	}
}

// Two targets that can't both be reached: the first of them is.
func TestTheFirstTargetCountsMost(t *testing.T) {
	p := newCuts(t, "demo.json")
	p.send(app.CutsAllow{Move: build.MoveExhaustRoof})
	p.settle()
	for _, key := range []string{build.TargetExhaustOpens, build.TargetBlowdown} {
		p.send(app.CutsWant{Key: key})
		p.rest()
	}
	// Raising the exhaust's roof alone gives a degree of blowdown for each of its
	// opening, so these two ask for different roofs. Source: blowdown's definition.
	p.send(app.CutsNudge{Key: build.TargetExhaustOpens, By: -1})
	p.rest()
	p.send(app.CutsNudge{Key: build.TargetBlowdown, By: 4})
	p.rest()
	if r := p.plan(t); !slices.Equal(r.Missed, []string{build.TargetBlowdown}) {
		t.Errorf("missed %v", r.Missed)
	}
	p.send(app.CutsMove{Key: build.TargetBlowdown, By: -1})
	p.settle()
	if r := p.plan(t); !slices.Equal(r.Missed, []string{build.TargetExhaustOpens}) {
		t.Errorf("missed %v with blowdown first", r.Missed)
	}
}

// What was cut is no move to try any more: after a bite, a bite struck out or
// new readings, the moves to try are those of the plan made anew.
func TestWhatIfAfterABite(t *testing.T) {
	p := newCuts(t, "cut.json")
	p.send(app.CutsMode{WhatIf: true})
	const rounded = 0.0101 // two depths, each to 0.01 mm
	tried := func(path string) float64 { return p.m.Cuts.Tried[path].Value }
	before := tried("base_cut/")
	p.send(app.CutsTryBy{Path: "crown_cut/", By: 2}) // by hand, not of the plan
	p.toCuts("bite/base_cut/")
	p.send(app.EngineType{Text: "0.1"})
	p.send(app.EngineKeep{})
	p.settle()
	// 0.1 mm of the cut is off. Source: subtraction.
	if got := tried("base_cut/"); math.Abs(got-(before-0.1)) > rounded || p.m.Notice == "" {
		t.Errorf("after a bite of 0.1 mm %v mm is tried, want %v; says %q", got, before-0.1, p.m.Notice)
	}
	if tried("crown_cut/") != 0 {
		t.Error("a move that is not of the plan is tried on")
	}
	if r := p.plan(t); math.Abs(r.After[plan.Squish]-0.55) > rounded {
		t.Errorf("squish comes to %v, want the target of 0.55", r.After[plan.Squish])
	}
	p = p.kill()
	p.send(app.CutsMode{WhatIf: true})
	if got := tried("base_cut/"); math.Abs(got-(before-0.1)) > rounded {
		t.Errorf("after a kill %v mm is tried", got)
	}
	p.send(app.CutsStrike{ID: p.m.Open.Build.Bites[0].ID})
	p.settle()
	if got := tried("base_cut/"); math.Abs(got-before) > rounded {
		t.Errorf("with the bite struck out %v mm is tried, want %v", got, before)
	}
	p.send(app.CutsTryNone{})
	p.send(app.CutsTryBy{Path: "base_cut/", By: 1})
	if got := tried("base_cut/"); got != 0.05 {
		t.Errorf("nothing was cut or read, and %v mm is tried in place of 0.05", got)
	}
}
