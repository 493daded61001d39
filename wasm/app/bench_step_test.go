package app_test

import (
	"slices"
	"strings"
	"testing"

	"portwright/engine/build"
	"portwright/wasm/app"
	"portwright/wasm/view"
)

func ids(steps []app.Step) string {
	var out []string
	for _, s := range steps {
		out = append(out, s.ID)
	}
	return strings.Join(out, " ")
}

// The order of a pass is the workshop's: stop check, then exhaust, transfers,
// boost, intake, opens before closes, and the stop check again (common
// practice, no source).
func TestOrderOfQuestions(t *testing.T) {
	windows := []build.Window{
		{ID: "i", Name: "intake", Kind: build.KindIntake}, {ID: "b", Name: "boost", Kind: build.KindBoost},
		{ID: "t", Name: "transfer", Kind: build.KindTransfer}, {ID: "e", Name: "exhaust", Kind: build.KindExhaust},
		{ID: "u", Name: "transfer rear", Kind: build.KindTransfer},
	}
	for name, c := range map[string]struct {
		plan app.Plan
		want string
	}{
		"everything": {app.Plan{}, "stop/before read/e/opens read/e/closes read/t/opens read/t/closes read/u/opens read/u/closes read/b/opens read/b/closes read/i/opens read/i/closes stop/after"},
		"openings only": {app.Plan{Mode: app.OpeningsOnly},
			"stop/before read/e/opens read/t/opens read/u/opens read/b/opens read/i/opens stop/after"},
		"first look":          {app.Plan{Mode: app.FirstLook}, "read/e/opens read/t/opens read/u/opens read/b/opens read/i/opens"},
		"zero where it opens": {app.Plan{Habit: build.HabitOpenZero}, "read/e/closes read/t/closes read/u/closes read/b/closes read/i/closes"},
		"depths":              {app.Plan{Habit: build.HabitDepth}, "read/e/opens read/t/opens read/u/opens read/b/opens read/i/opens"},
		"stop check skipped":  {app.Plan{Mode: app.OpeningsOnly, Skipped: []string{"stop/before"}}, "stop/before read/e/opens read/t/opens read/u/opens read/b/opens read/i/opens"},
	} {
		t.Run(name, func(t *testing.T) {
			c.plan.Windows = windows
			if got := ids(c.plan.Steps()); got != c.want {
				t.Errorf("order\n got %s\nwant %s", got, c.want)
			}
		})
	}
}

func TestHowManyReadingsAreAsked(t *testing.T) {
	w := []build.Window{{ID: "e", Name: "exhaust", Kind: build.KindExhaust}}
	for _, c := range []struct {
		plan app.Plan
		want int
	}{{app.Plan{}, 3}, {app.Plan{Repeats: 2}, 2}, {app.Plan{Repeats: 4, Mode: app.FirstLook}, 1}} {
		c.plan.Windows = w
		steps := c.plan.Steps()
		if got := steps[app.Place(steps, "read/e/opens")].Want; got != c.want {
			t.Errorf("repeats %d, mode %q: %d readings asked, want %d", c.plan.Repeats, c.plan.Mode, got, c.want)
		}
	}
}

// After the set of a question is good the next one comes by itself; struck
// readings count no more and are asked for again once the rest is done.
func TestNextComesByItself(t *testing.T) {
	p := newBench()
	at := func(want string) {
		t.Helper()
		if got := p.m.Bench.At; got != want {
			t.Fatalf("asks %q, want %q", got, want)
		}
	}
	at("stop/before")
	p.types("341", "23")
	at("read/w1/opens")
	p.types("104.5", "104", "104.5")
	at("read/w1/closes")
	p.send(app.BenchStrike{ID: p.m.Open.Tally.Of("w1", build.Opens)[1].ID, Reason: app.ReasonMisread})
	p.settle()
	at("read/w1/closes")
	p.types("259.5", "259.5", "259.5")
	at("read/w2/opens")
	for _, w := range []struct{ window, opens, closes string }{{"w2", "122", "242"}, {"w3", "122", "242"}, {"w4", "287", "77"}} {
		p.types(w.opens, w.opens, w.opens)
		at("read/" + w.window + "/closes")
		p.types(w.closes, w.closes, w.closes)
	}
	at("stop/after")
	p.types("341", "23")
	at("read/w1/opens") // the struck one is asked for again
	p.types("104.5")
	at("")
}

// Each need of the findings that the bench answers leads to a question that
// gives it, and "everything was asked" offers what was not.
func TestANeedLeadsToItsQuestion(t *testing.T) {
	for need, want := range map[string]string{
		"stops": "stop/before", "closes": "read/w1/closes", "repeats": "read/w1/opens", "exhaust opens": "read/w1/opens", "transfer opens": "read/w2/opens",
	} {
		p := newBench()
		p.send(app.BenchMode{Mode: app.FirstLook})
		p.types("104", "122", "122.5", "287")
		if p.m.Bench.At != "" {
			t.Fatalf("a first look still asks %q", p.m.Bench.At)
		}
		var words []string
		for _, b := range view.Of(p.m).Bench.Done.Buttons {
			words = append(words, b.Words)
		}
		if got, want := strings.Join(words, "|"), "See what the readings say|Stop check|Read the closings too|Read each three times"; got != want {
			t.Errorf("offers %q, want %q", got, want)
		}
		p.send(app.SetRepeats{N: 1})
		p.send(app.Go{Hash: app.Route{Station: app.AtFindings, Build: buildID}.Hash()})
		p.settle()
		p.send(app.BenchMore{What: need})
		p.settle()
		if q, ok := p.m.Question(); p.m.Station != app.AtBench || !ok || q.ID != want {
			t.Errorf("%s leads to %q at the %s, want %q", need, q.ID, p.m.Station, want)
		} else if need == "repeats" && q.Want != 3 {
			t.Errorf("%d readings are asked, want 3", q.Want)
		}
	}
	p := newBench() // what was skipped is asked again
	p.send(app.BenchSkip{})
	p.send(app.BenchMore{What: "stops"})
	if p.types("341"); len(p.m.Open.Tally.Stops) != 1 {
		t.Error("the skipped stop check was not asked")
	}
}

// The question says which pass and cylinder it is about once there is another;
// a new pass is for the cylinder that was not read, and is in hand at once.
func TestWhichPassAndCylinderIsRead(t *testing.T) {
	p := newBench()
	where := func(want string) {
		t.Helper()
		if got := view.Of(p.m).Bench.Ask.Where; got != want {
			t.Errorf("the question is about %q, want %q", got, want)
		}
	}
	p.send(app.BenchSkip{})
	p.types("104")
	where("")
	p.gives("engine.cylinders", "2", "")
	p.send(app.Navigated{Hash: benchHash()})
	where("as received, cylinder 1")
	p.send(app.AddPass{})
	if p.m.Notice != "The pass in hand is now “cylinder 2”." {
		t.Errorf("says %q", p.m.Notice)
	}
	p.settle()
	if pass := p.m.PassInHand(); pass.Name != "cylinder 2" || pass.Cylinder != 2 {
		t.Errorf("in hand is %q, cylinder %d", pass.Name, pass.Cylinder)
	}
	where("cylinder 2")
	p.send(app.AddPass{})
	p.settle()
	where("pass 3, cylinder 2")
}

// Another habit in a pass that holds readings is asked about before a new pass
// is made for it.
func TestAnotherHabitAsksForAPass(t *testing.T) {
	p := newBench()
	p.send(app.BenchSkip{})
	p.types("104")
	p.send(app.BenchHabit{Habit: build.HabitOpenZero})
	p.settle()
	if n := len(p.m.Open.Build.Passes); n != 1 || p.m.Bench.Panel != app.PanelHabit {
		t.Fatalf("%d passes, panel %q", n, p.m.Bench.Panel)
	}
	p.send(p.m.Choices()[0].Msg)
	p.settle()
	if p.m.Habit() != build.HabitOpenZero || p.m.PassInHand().Name != "pass 2" {
		t.Errorf("in hand is %q, %s", p.m.PassInHand().Name, p.m.Habit())
	}
}

// The strip shows what was kept until something new is typed, and a moved
// wheel is spoken of only when the stop was read again after the readings.
func TestWhatIsSaidOfAKeptReading(t *testing.T) {
	p := newBench()
	strip := func() string { s := view.Of(p.m).Strip; return s.Kept }
	cells := func() (out []string) {
		for _, c := range view.Of(p.m).Bench.Live {
			out = append(out, c.Label)
		}
		return out
	}
	p.types("341", "23")
	p.send(app.BenchGo{Step: "stop/before"})
	if got, want := cells(), []string{"wheel at TDC", "stop to TDC"}; !slices.Equal(got, want) {
		t.Errorf("after a stop check the bench says %v, want %v", got, want)
	}
	p.types("341", "23") // the repeat says nothing of the time after
	p.send(app.BenchGo{Step: "stop/before"})
	if got := cells(); slices.Contains(got, "moved since") {
		t.Errorf("after its repeat the bench says %v", got)
	}
	p.send(app.BenchGo{Step: "read/w1/opens"})
	p.types("98.5")
	if got := strip(); got != "98.5°" {
		t.Errorf("the strip says %q", got)
	}
	p.send(app.BenchType{Key: "9"})
	if got := strip(); strings.Contains(got, "98.5") {
		t.Errorf("the strip still says %q", got)
	}
	p.send(app.BenchType{Key: "erase"})
	p.send(app.TakeBack{})
	p.settle()
	if got := strip(); strings.Contains(got, "98.5") {
		t.Errorf("taken back, the strip says %q", got)
	}
	p.send(app.BenchGo{Step: "stop/after"})
	p.types("341", "23")
	p.send(app.BenchGo{Step: "stop/after"})
	if got := cells(); !slices.Contains(got, "moved since") {
		t.Errorf("after the second check the bench says %v", got)
	}
}

func TestStopCheckAlternates(t *testing.T) {
	p := newBench()
	ways := func() string {
		q, ok := p.m.Question()
		if !ok {
			return "no question"
		}
		return q.Way
	}
	if ways() != app.WayRunning {
		t.Fatalf("the first reading is taken %s", ways())
	}
	p.types("341")
	if ways() != app.WayBack {
		t.Fatalf("the second reading is taken %s", ways())
	}
	p.types("23")
	p.send(app.BenchGo{Step: "stop/before"}) // the repeat
	if ways() != app.WayRunning {
		t.Fatalf("the repeat begins %s", ways())
	}
	p.types("341.5", "23.5")
	stops := p.m.Open.Tally.Stops
	if len(stops) != 4 || stops[0].Check != stops[1].Check || stops[2].Check != stops[3].Check || stops[0].Check == stops[2].Check {
		t.Fatalf("four readings do not make two checks: %+v", stops)
	}
	checks := p.m.Open.Build.Passes[0].Stops
	if len(checks) != 2 || !slices.Equal(checks[0].Readings, []float64{341, 23}) || !slices.Equal(checks[1].Readings, []float64{341.5, 23.5}) {
		t.Errorf("checks in the build: %+v", checks)
	}
}

func TestSkipBackAndList(t *testing.T) {
	p := newBench()
	p.send(app.BenchSkip{})
	if p.m.Bench.At != "read/w1/opens" {
		t.Fatalf("after the skip asks %q", p.m.Bench.At)
	}
	p.send(app.BenchStep{By: -1})
	if p.m.Bench.At != "stop/before" {
		t.Fatalf("back asks %q", p.m.Bench.At)
	}
	p.send(app.BenchGo{Step: "read/w4/opens"})
	p.types("287", "287", "287")
	if p.m.Bench.At != "read/w4/closes" {
		t.Fatalf("after the set asks %q", p.m.Bench.At)
	}
	p.send(app.BenchStep{By: 1})
	if p.m.Bench.At != "" {
		t.Fatalf("beyond the last asks %q", p.m.Bench.At)
	}
	p.send(app.BenchStep{By: -1})
	if p.m.Bench.At != "read/w4/closes" {
		t.Fatalf("back from the end asks %q", p.m.Bench.At)
	}
}
