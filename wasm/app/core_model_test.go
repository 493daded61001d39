package app_test

import (
	"encoding/json"
	"reflect"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"portwright/engine/book"
	"portwright/engine/build"
	"portwright/engine/unit"
	"portwright/wasm/app"
	"portwright/wasm/view"
)

// TestAnySequence sends random messages of every station, answers late, twice
// or not at all, writes from other tabs and kills, and after each step holds
// the laws of the app against the disk.
func TestAnySequence(t *testing.T) {
	kept, sequences := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		p := newBench()
		steps := rapid.IntRange(5, 60).Draw(t, "steps")
		for range steps {
			p = randomStep(t, p)
			holdLaws(t, p)
		}
		p.settle()
		if p.m.Save.Failed {
			p.send(app.TryAgain{})
			p.settle()
		}
		holdLaws(t, p)
		if got, want := p.m.Lacking(), len(p.disk.entries)-p.disk.given; got != want {
			t.Fatalf("the app says that %d entries are not on the shop PC, %d are not", got, want)
		}
		p = p.kill()
		holdLaws(t, p)
		kept += len(p.disk.entries)
		sequences++
	})
	const each = 6 // kept by a sequence on average; about twice as many is usual
	if kept < each*sequences {
		t.Errorf("%d sequences kept only %d entries: they do too little", sequences, kept)
	}
}

// kill starts a new app on the same disk; what had no answer is lost, as far
// as it was not written.
func (p *phone) kill() *phone {
	q := newPhone(p.disk)
	q.now, q.n = p.now, p.n
	q.start(p.hash)
	return q
}

func randomStep(t *rapid.T, p *phone) *phone {
	switch rapid.SampledFrom([]string{
		"message", "message", "message", "message", "digits", "digits", "answer", "answer", "answer", "settle",
		"fail", "twice", "othertab", "kill", "go", "network", "camein",
	}).Draw(t, "what") {
	case "message":
		p.send(randomMessage(t, p))
	case "digits":
		for _, r := range rapid.SampledFrom([]string{"104.5", "23", "341", "88", "3", "259", "12"}).Draw(t, "value") {
			p.send(app.BenchType{Key: string(r)})
		}
		p.send(app.BenchKeep{Sure: true})
	case "answer":
		p.next(true)
	case "settle":
		p.settle()
	case "fail":
		p.next(false)
	case "twice":
		if len(p.line) > 0 && p.line[0].append != nil {
			a := p.line[0].append
			p.next(true)
			p.send(app.Kept{Token: a.Token, Entries: p.disk.keep(a.Items, p.now), AtMS: p.now})
		}
	case "othertab":
		otherTab(t, p)
	case "network":
		p.disk.away = !p.disk.away
		p.send(app.Online{})
	case "camein":
		p.send(app.CameIn{Build: rapid.SampledFrom([]string{"", buildID, "none"}).Draw(t, "build")})
	case "kill":
		sameAfterKill(t, p)
		return p.kill()
	case "go":
		hash := rapid.SampledFrom([]string{
			"", benchHash(), benchHash(), benchHash(),
			app.Route{Station: app.AtEngine, Build: buildID}.Hash(),
			app.Route{Station: app.AtEngine, Build: buildID, Field: "engine.stroke_mm"}.Hash(),
			app.Route{Station: app.AtFindings, Build: buildID}.Hash(), "b/none/bench", "nonsense",
			app.Route{Station: app.AtSection, Build: buildID}.Hash(), app.Route{Station: app.AtSection, Build: buildID}.Hash(),
			sheetHash(""), sheetHash(""), sheetHash(buildID), sheetHash("none"),
			cutsHash(""), cutsHash(""), cutsHash("bite/exhaust_roof/w1"), cutsHash("targets.exhaust_opens_deg"), cutsHash("moves_allowed.exhaust_roof_mm.max"),
		}).Draw(t, "hash")
		p.hash = hash
		p.send(app.Navigated{Hash: hash})
	}
	return p
}

func randomMessage(t *rapid.T, p *phone) app.Msg {
	word := func(of ...string) string { return rapid.SampledFrom(of).Draw(t, "word") }
	id := func() string {
		ids := []string{"", "none"}
		if p.m.Open != nil {
			for _, r := range p.m.Open.Tally.Readings {
				ids = append(ids, r.ID)
			}
			for _, s := range p.m.Open.Tally.Stops {
				ids = append(ids, s.ID)
			}
		}
		return rapid.SampledFrom(ids).Draw(t, "id")
	}
	step := func() string {
		ids := []string{"", "none"}
		for _, s := range p.m.Steps() {
			ids = append(ids, s.ID)
		}
		return rapid.SampledFrom(ids).Draw(t, "step")
	}
	pass := func() string {
		ids := []string{"none"}
		if p.m.Open != nil {
			for _, x := range p.m.Open.Build.Passes {
				ids = append(ids, x.ID)
			}
		}
		return rapid.SampledFrom(ids).Draw(t, "pass")
	}
	bite := func() string {
		ids := []string{"", "none"}
		if p.m.Open != nil {
			for _, b := range p.m.Open.Build.Bites {
				ids = append(ids, b.ID)
			}
		}
		return rapid.SampledFrom(ids).Draw(t, "bite")
	}
	n := rapid.IntRange(0, 9).Draw(t, "n")
	return rapid.SampledFrom([]app.Msg{
		app.BenchType{Key: word("1", "0", ".", "/", "half", "erase", "7", "x")}, app.BenchKeep{}, app.BenchKeep{Sure: true},
		app.BenchSame{}, app.BenchNudge{By: n%3 - 1}, app.BenchLikely{}, app.EngineUndo{}, app.EngineSlash{},
		app.BenchSkip{}, app.BenchStep{By: -1}, app.BenchStep{By: 1}, app.BenchGo{Step: step()},
		app.BenchPanel{Panel: app.Panel(word("", "help", "method", "strike", "quarter", "odd", "list", "pass", "habit"))},
		app.BenchChip{ID: id()}, app.BenchStrike{ID: id(), Reason: app.ReasonMisread}, app.BenchUnstrike{ID: id()},
		app.BenchMethod{Method: app.MethodFeeler, FeelerMM: 0.1}, app.BenchQuarter{Quarter: n%4 + 1}, app.BenchSide{Side: word("", "down", "up")},
		app.BenchUnit{Unit: word("", "in", "thou")}, app.BenchNear{Near: word("tdc", "bdc")}, app.BenchMode{Mode: app.Mode(word("", "openings", "look"))}, app.BenchMore{What: word("stops", "stops after", "closes", "repeats", "exhaust opens", "transfer opens")},
		app.BenchHabit{Habit: word(build.HabitTDCZero, build.HabitOpenZero, build.HabitDepth)}, app.BenchPass{Pass: pass()},
		app.BenchNewPass{Name: word("finished", "as received"), Cylinder: n%2 + 1}, app.BenchWindows{Set: "2"}, app.TakeBack{}, app.PutBack{},
		app.Key{Key: word("1", "5", ".", ",", "/", "Enter", "Backspace", "ArrowLeft", "ArrowRight", "ArrowUp", "ArrowDown", "+", "-", "*", "PageUp", "Escape")},
		app.SetRepeats{N: n}, app.SetReadBack{On: n > 4}, app.SetStill{On: n > 4}, app.SetTone{On: n > 4}, app.SetHand{Left: n > 4}, app.SetTheme{Theme: word("", "day", "shed", "none")},
		app.SyncNow{}, app.TryAgain{}, app.GiveUp{}, app.Visible{Shown: n > 4}, app.UpdateWaiting{Build: "next"}, app.PersistAnswer{},
		app.EngineType{Text: word("32.5", "", "abc", "-3", "0.02")}, app.EngineUnit{Unit: unit.Inch}, app.EngineSign{}, app.EngineKeep{}, app.EngineKeep{Sure: true}, app.EngineKeep{To: engineHash("engine.rod_mm")}, app.EngineNotKnown{},
		app.EngineDrop{}, app.EngineChoose{Path: "wheel.numbering", Value: word(build.Numbering360, build.Numbering180, build.Numbering90)},
		app.EngineChoose{Path: "wheel.numbers", Value: word(build.NumbersRise, build.NumbersFall), From: app.From(word("", "always", "next"))}, app.EngineLeave{}, app.AddWindow{Kind: word("transfer", "boost")}, app.AddPass{},
		app.ApplyRemedy{Problem: n}, app.UndoRemedy{Correction: id()}, app.ShareBuild{}, app.ShareReadings{},
		app.SyncTold{Code: word("", "no_token", "revoked"), Entries: len(p.disk.entries), Lacks: len(p.disk.entries) - p.disk.given}, app.PairOpen{}, app.PairCode{Text: word("", "7KQ2-M9XD")}, app.PairName{Text: "bench"}, app.PairNow{}, app.Paired{Token: word("", "t"), Said: "no"},
		app.CutsWant{Key: word(build.TargetSquish, build.TargetExhaustOpens, build.TargetBlowdown)}, app.CutsLeave{Key: word(build.TargetExhaustOpens, build.TargetBlowdown)}, app.CutsNudge{Key: word(build.TargetExhaustOpens, build.TargetBlowdown), By: n - 4}, app.CutsSettle{N: n},
		app.CutsMode{WhatIf: n > 4}, app.CutsTry{Path: word("base_cut/", "exhaust_roof/w1", "none/"), Text: word("", "0.3", "x")}, app.CutsTryBy{Path: word("base_cut/", "crown_cut/", "base_gasket/"), By: 1 - n%3}, app.CutsTryNone{}, app.CutsTryPlan{},
		app.CutsAllow{Move: word(build.MoveExhaustRoof, build.MoveBaseCut, build.MoveExhaustWidth)}, app.CutsStrike{ID: bite(), Back: n > 4}, app.CutsReadAgain{}, app.CutsTrust{ID: bite()},
		app.CutsMove{Key: word(build.TargetSquish, build.TargetExhaustOpens, build.TargetBlowdown), By: 1 - 2*(n%2)},
		app.SectionPlay{}, app.SectionGoOn{Run: n}, app.SectionEvent{Back: n > 4}, app.SectionBy{Deg: float64(n) - 4}, app.SectionTo{Deg: float64(40 * n)}, app.Tick{MS: float64(p.now), Calm: n > 7},
		app.SheetPrint{}, app.SheetShare{}, app.SheetNumbers{}, app.SheetPass{Side: n % 3, Place: n}, app.BookCompare{Build: word("", buildID)},
		app.BookSearch{Text: "x"}, app.BookPage{By: 1}, app.SaveBook{}, app.NewBuild{},
	}).Draw(t, "message")
}

// otherTab writes an entry of another tab of the same device to the same disk.
func otherTab(t *rapid.T, p *phone) {
	p.n++
	path := rapid.SampledFrom([]string{"name", "engine.stroke_mm", "windows/w9.kind", "wheel.step_deg"}).Draw(t, "path")
	value := map[string]string{"name": `"Renamed"`, "engine.stroke_mm": "34", "windows/w9.kind": `"boost"`, "wheel.step_deg": "1"}[path]
	body, err := json.Marshal(book.SetBody{Path: path, Value: json.RawMessage(value)})
	if err != nil {
		t.Fatal(err)
	}
	in := app.Input{Fresh: newFresh(p)}
	item := book.Item{ID: in.ID(7), Build: buildID, Kind: book.KindSet, Body: body}
	if m := p.m; m.Open != nil && m.Open.ID == buildID && m.Open.Pass != "" && rapid.Bool().Draw(t, "reading") {
		item.Kind = book.KindReading
		if item.Body, err = json.Marshal(book.ReadingBody{Pass: m.Open.Pass, Window: "w2", Event: build.Opens, Value: json.RawMessage("121.5")}); err != nil {
			t.Fatal(err)
		}
	}
	p.disk.keep([]book.Item{item}, p.now)
	p.send(app.OtherTab{Build: buildID})
}

// holdLaws is what must be true whatever happened.
func holdLaws(t *rapid.T, p *phone) {
	m := p.m
	screen := view.Of(m) // never panics
	lacks := 0
	for _, e := range p.disk.entries[p.disk.given:] {
		if p.told[e.ID] {
			lacks++
		}
	}
	if m.Lacking() < lacks {
		t.Fatalf("the app says that %d entries are not on the shop PC; at least %d that it knows of are not", m.Lacking(), lacks)
	}
	if m.Open == nil {
		return
	}
	for id := range p.told {
		if slices.ContainsFunc(p.disk.of(m.Open.ID), func(e book.Entry) bool { return e.ID == id }) &&
			!slices.ContainsFunc(m.Open.Entries, func(e book.Entry) bool { return e.ID == id }) {
			t.Fatalf("entry %s was kept and is not in the open build", id)
		}
	}
	for _, e := range m.Open.Entries {
		if !p.disk.has(e.ID) {
			t.Fatalf("entry %s (%s) is in the open build and not on the disk", e.ID, e.Kind)
		}
	}
	fold := book.Fold(m.Open.Entries)
	if got, want := asJSON(t, m.Open.Build), asJSON(t, fold.Build); got != want {
		t.Fatalf("build is not what its entries say:\n got %s\nwant %s", got, want)
	}
	sameFindings(t, m)
	sameCuts(t, m)
	sameSection(t, m)
	sameSheet(t, m)
	if at := m.Bench.At; at != "" && app.Place(m.Steps(), at) < 0 && len(m.Save.Waiting) == 0 {
		t.Fatalf("question %q is none of this pass", at)
	}
	if screen.Bench != nil && screen.Bench.Setup == nil {
		holdChips(t, p, screen.Bench)
	}
	if m.Save.Failed != (len(m.Save.Waiting) > 0 && m.Save.Failed) || screen.Save.Shown != m.Save.Failed {
		t.Fatalf("failed %v, %d waiting, banner %v", m.Save.Failed, len(m.Save.Waiting), screen.Save.Shown)
	}
	if m.Bench.Sending != "" && m.Bench.Text == "" {
		t.Fatal("a value on its way to the disk is off the screen")
	}
}

// holdChips: every kept reading of the pass in hand that the order of
// questions asks for is a chip, and nothing else is.
func holdChips(t *rapid.T, p *phone, b *view.BenchView) {
	shown := map[string]bool{}
	for _, r := range b.List.Rows {
		for _, c := range r.Chips {
			if shown[c.ID] {
				t.Fatalf("%s is shown twice", c.ID)
			}
			shown[c.ID] = true
			if !p.disk.has(c.ID) {
				t.Fatalf("%s is shown as kept and is not on the disk", c.ID)
			}
		}
	}
	steps := p.m.Steps()
	for _, r := range p.m.Open.Tally.Readings {
		if app.Place(steps, "read/"+r.Window+"/"+r.Event) >= 0 && !shown[r.ID] {
			t.Fatalf("kept reading %s is not shown", r.ID)
		}
	}
}

// sameAfterKill: with nothing on its way, the same question is asked with the
// same half-typed value after a kill.
func sameAfterKill(t *rapid.T, p *phone) {
	m := p.m
	if m.Open == nil || m.Open.ID != buildID || len(m.Save.Waiting) > 0 || len(p.line) > 0 || app.ParseRoute(p.hash).Build != buildID {
		return
	}
	if app.Place(m.Steps(), m.Bench.At) < 0 {
		return // everything was asked: a new start asks what is open
	}
	q := p.kill()
	if q.m.Open == nil {
		t.Fatal("the build did not open again")
	}
	before, after := m.Bench.Hand, q.m.Bench.Hand
	if !reflect.DeepEqual(asJSON(t, before), asJSON(t, after)) {
		t.Fatalf("hand before the kill %s\nafter it %s", asJSON(t, before), asJSON(t, after))
	}
}

func asJSON(t *rapid.T, v any) string {
	data, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}
