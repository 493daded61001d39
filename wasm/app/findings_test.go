package app_test

import (
	"testing"

	"portwright/engine/book"
	"portwright/engine/findings"
	"portwright/wasm/app"
)

// wildPass is a phone at the findings of a pass whose third exhaust reading is
// four degrees off its fellows.
func wildPass(t *testing.T) *phone {
	t.Helper()
	p := newBench()
	p.send(app.BenchMode{Mode: app.OpeningsOnly})
	for _, s := range []struct {
		step   string
		values []string
	}{
		{"stop/before", []string{"340", "20"}},
		{"read/w1/opens", []string{"102.5", "102.5", "106.5"}},
		{"read/w2/opens", []string{"120", "120.5", "120"}},
		{"read/w3/opens", []string{"120", "120", "120.5"}},
		{"read/w4/opens", []string{"285", "285.5", "285"}},
	} {
		p.send(app.BenchGo{Step: s.step})
		for _, v := range s.values {
			for _, r := range v {
				p.send(app.BenchType{Key: string(r)})
			}
			p.send(app.BenchKeep{Sure: true})
			p.settle()
		}
	}
	p.hash = app.Route{Station: app.AtFindings, Build: buildID}.Hash()
	p.send(app.Navigated{Hash: p.hash})
	return p
}

func problem(p *phone, code string) int {
	for i, x := range p.m.ShownPass().Problems {
		if x.Code == code {
			return i
		}
	}
	return -1
}

func exhaust(p *phone) findings.WindowResult { return p.m.ShownPass().Windows[0] }

func TestRemedyIsAppliedOnceAndTakenBack(t *testing.T) {
	p := wildPass(t)
	before := *exhaust(p).OpensDeg
	i := problem(p, findings.CodeWildReading)
	if i < 0 || p.m.ShownPass().Problems[i].Remedy == nil {
		t.Fatalf("no wild reading found: %+v", p.m.ShownPass().Problems)
	}
	n := len(p.disk.entries)
	p.send(app.ApplyRemedy{Problem: i})
	p.send(app.ApplyRemedy{Problem: i}) // a second tap
	p.settle()
	if got := len(p.disk.entries) - n; got != 1 {
		t.Fatalf("%d entries written, want 1", got)
	}
	if e := p.disk.entries[n]; e.Kind != book.KindCorrect {
		t.Fatalf("kind %s", e.Kind)
	}
	if problem(p, findings.CodeWildReading) >= 0 || *exhaust(p).OpensDeg >= before {
		t.Errorf("still wild, opens %v", *exhaust(p).OpensDeg)
	}
	if rs := p.m.Open.Build.Passes[0].Readings; len(rs) != 12 || rs[2].Value.Value != 106.5 {
		t.Errorf("the readings were changed: %+v", rs)
	}
	if p.m.Notice == "" {
		t.Error("nothing is said of it")
	}
	p = p.kill()
	applied := p.m.ShownPass().Applied
	if len(applied) != 1 || applied[0].ID == "" {
		t.Fatalf("applied %+v", applied)
	}
	p.send(app.UndoRemedy{Correction: applied[0].ID})
	p.settle()
	if problem(p, findings.CodeWildReading) < 0 || *exhaust(p).OpensDeg != before || len(p.m.ShownPass().Applied) != 0 {
		t.Error("undo did not bring it back as it was")
	}
	p.send(app.UndoRemedy{Correction: applied[0].ID})
	p.send(app.UndoRemedy{})
	p.send(app.ApplyRemedy{Problem: 99})
	p.send(app.ApplyRemedy{Problem: -1})
	p.settle()
	if len(p.disk.entries) != n+2 {
		t.Errorf("%d entries, want %d", len(p.disk.entries), n+2)
	}
}

func TestARemedyThatIsGivenUpCanBeTappedAgain(t *testing.T) {
	p := wildPass(t)
	p.send(app.ApplyRemedy{Problem: problem(p, findings.CodeWildReading)})
	p.next(false)
	p.send(app.GiveUp{})
	p.settle()
	i := problem(p, findings.CodeWildReading)
	if i < 0 {
		t.Fatal("applied although it was given up")
	}
	p.send(app.ApplyRemedy{Problem: i})
	p.settle()
	if problem(p, findings.CodeWildReading) >= 0 {
		t.Error("can't be applied any more")
	}
}

func TestAnotherPassIsShown(t *testing.T) {
	p := wildPass(t)
	p.send(app.BenchNewPass{Name: "after base cut", Cylinder: 1})
	p.settle()
	first := p.m.Open.Build.Passes[0].ID
	if p.m.ShownPass().Name != "after base cut" {
		t.Errorf("shown %q, want the pass in hand", p.m.ShownPass().Name)
	}
	p.send(app.Navigated{Hash: app.Route{Station: app.AtFindings, Build: buildID}.Hash()})
	p.send(app.BenchPass{Pass: first})
	if p.m.ShownPass().ID != first || p.m.Open.Pass != first {
		t.Errorf("shown %q, the bench reads %q", p.m.ShownPass().Name, p.m.PassInHand().Name)
	}
	if p = p.kill(); p.m.Open.Pass != first {
		t.Error("after a kill the bench reads another pass than was chosen at the findings")
	}
}

// A build read once leans on how the person's other builds scatter, and not on
// the invented ones.
func TestTheBooksScatterStandsIn(t *testing.T) {
	p := newBench()
	p.m.Book.Cards = append(p.m.Book.Cards,
		book.Card{Build: "other", ScatterDeg2: 0.16 * 12, ScatterDF: 12}, book.Card{Build: "demo", Demo: true, ScatterDeg2: 400, ScatterDF: 4})
	p.send(app.BenchNewPass{Name: "again", Cylinder: 1})
	p.settle()
	p.send(app.BenchGo{Step: "read/w2/opens"})
	p.types("120")
	p.m.Book.Cards = append(p.m.Book.Cards, book.Card{Build: "later", ScatterDeg2: 400, ScatterDF: 400}) // changes nothing
	if r := p.m.ShownPass().Repeatability; r.Source != "book" || r.SDeg != 0.4 || r.DF != 12 {
		t.Errorf("repeatability %+v", r)
	}
	p.send(app.BenchGo{Step: "read/w2/opens"})
	p.types("120.5")
	if r := p.m.ShownPass().Repeatability; r.Source != "pass" {
		t.Errorf("repeatability %+v", r)
	}
}
