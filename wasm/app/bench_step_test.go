package app_test

import (
	"slices"
	"strings"
	"testing"

	"portwright/engine/build"
	"portwright/engine/unit"
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

// A second tap on Keep or skip within a quarter of a second is the same tap.
func TestDoubleTaps(t *testing.T) {
	p := newBench()
	p.send(app.BenchSkip{})
	for _, r := range "104" {
		p.send(app.BenchType{Key: string(r)})
	}
	in := app.Input{NowMS: p.now + 300, Fresh: "0000aaaa-0000-7000-8000-000000000000"}
	first := p.m.Update(app.BenchKeep{}, in)
	a, ok := first[0].(app.Append)
	if !ok {
		t.Fatalf("Keep asks for %T", first[0])
	}
	p.m.Update(app.Kept{Token: a.Token, Entries: p.disk.keep(a.Items, p.now), AtMS: p.now}, in)
	in.NowMS += 200
	if p.m.Update(app.BenchKeep{}, in); p.m.Bench.Refuse != "" || len(p.m.Save.Waiting) != 0 {
		t.Errorf("the second tap of a double tap says %q", p.m.Bench.Refuse)
	}
	in.NowMS += 100
	if p.m.Update(app.BenchKeep{}, in); p.m.Bench.Refuse == "" {
		t.Error("a tap 300 ms later on an empty field says nothing")
	}
	p.m.Update(app.BenchType{Key: "5"}, in)
	if fx := p.m.Update(app.BenchKeep{Sure: true}, in); len(fx) == 0 {
		t.Error("Keep right after a key was not taken")
	}
}

func TestType(t *testing.T) {
	for _, c := range []struct{ keys, want string }{
		{"1 0 4 . 5", "104.5"}, {"1 0 4 half", "104.5"}, {"half", "0.5"}, {". 5", "0.5"}, {"1 . . 5", "1.5"}, {"1 , 5", "1.5"},
		{"0 5", "5"}, {"0 0", "0"}, {"1 erase", ""}, {"erase", ""}, {"1 0 4 . half", "104.5"}, {"1 2 3 4 5 6 7", "123456"}, {"1 x - e", "1"},
	} {
		text := ""
		for _, k := range strings.Fields(c.keys) {
			text = app.Type(text, k)
		}
		if text != c.want {
			t.Errorf("%s gives %q, want %q", c.keys, text, c.want)
		}
		if text != "" {
			if _, err := unit.ParseNumber(text); err != nil {
				t.Errorf("%s gives %q: %v", c.keys, text, err)
			}
		}
	}
}

// What can't be is refused at once, by name; what is odd is asked about and
// never blocked.
func TestRefusedAndAsked(t *testing.T) {
	p := newBench()
	p.send(app.BenchSkip{})
	for _, r := range "361" {
		p.send(app.BenchType{Key: string(r)})
	}
	if got, want := p.m.Refusal(), "361 is more than the wheel's 360."; got != want {
		t.Errorf("says %q, want %q", got, want)
	}
	p.send(app.BenchKeep{Sure: true})
	p.settle()
	if n := len(p.m.Open.Tally.Readings); n != 0 {
		t.Fatalf("361 was kept")
	}
	for range 3 {
		p.send(app.BenchType{Key: "erase"})
	}
	p.types("104", "134")
	if p.m.Bench.Panel != app.PanelOdd || len(p.m.Open.Tally.Readings) != 1 || p.m.Bench.Text != "134" {
		t.Fatalf("134 beside 104: panel %q, %d kept, %q in hand", p.m.Bench.Panel, len(p.m.Open.Tally.Readings), p.m.Bench.Text)
	}
	p.send(app.Key{Key: "Backspace"})
	if p.m.Bench.Panel != app.PanelNone || p.m.Bench.Text != "134" {
		t.Errorf("to change it: panel %q, %q in hand", p.m.Bench.Panel, p.m.Bench.Text)
	}
}

// A second Enter, a bounced or held key, a double tap and the digits of the
// next value typed ahead leave a doubted value where it is; a key or button of
// its own keeps it, and not within half a second.
func TestADoubtedValueIsKeptOnPurposeAlone(t *testing.T) {
	p := newBench()
	p.send(app.BenchSkip{})
	p.types("104", "134")
	for _, k := range strings.Fields("Enter Enter Enter 1 2 2 . 5 / Enter") {
		p.send(app.Key{Key: k})
		p.settle()
	}
	if n := len(p.m.Open.Tally.Readings); n != 1 || p.m.Bench.Panel != app.PanelOdd || p.m.Bench.Text != "134" {
		t.Fatalf("%d kept, panel %q, %q in hand", n, p.m.Bench.Panel, p.m.Bench.Text)
	}
	p.send(app.Key{Key: "Backspace"})
	p.send(app.BenchKeep{})
	asked := p.now
	for _, c := range []struct {
		after int64
		kept  int
	}{{0, 1}, {260, 1}, {499, 1}, {500, 2}} {
		for _, f := range p.m.Update(app.BenchKeep{Sure: true}, app.Input{NowMS: asked + c.after, Fresh: newFresh(p)}) {
			p.run(f)
		}
		p.settle()
		if n := len(p.m.Open.Tally.Readings); n != c.kept {
			t.Errorf("all the same %d ms after the question: %d kept, want %d", c.after, n, c.kept)
		}
	}
	p.types("140")
	p.send(app.Visible{})
	p.send(app.Key{Key: "+"})
	p.settle()
	if n := len(p.m.Open.Tally.Readings); n != 3 || p.m.Bench.Panel != app.PanelNone {
		t.Errorf("+ keeps it: %d kept, panel %q", n, p.m.Bench.Panel)
	}
}

// What does not go with what is kept of the other windows is asked about: the
// exhaust is uncovered first, and a window opens and closes about as far from
// TDC (common practice, no source).
func TestAWrongOrderIsAsked(t *testing.T) {
	for name, c := range map[string]struct {
		set      []app.Msg
		keep, at string
		value    string
		asked    bool
	}{
		"a transfer before the exhaust":      {nil, "98", "read/w2/opens", "20", true},
		"a transfer after it":                {nil, "98", "read/w2/opens", "118", false},
		"an intake anywhere":                 {nil, "98", "read/w4/opens", "287", false},
		"closing on another scale":           {nil, "98", "read/w1/closes", "190", true},
		"closing as far from TDC":            {nil, "98", "read/w1/closes", "259", false},
		"on a 0-180-0 wheel":                 {[]app.Msg{app.EngineChoose{Path: "wheel.numbering", Value: build.Numbering180}}, "98", "read/w2/opens", "60", true},
		"a 0-90-0-90 wheel can't say":        {[]app.Msg{app.EngineChoose{Path: "wheel.numbering", Value: build.Numbering90}}, "78", "read/w2/opens", "82", false},
		"open for longer than the exhaust":   {[]app.Msg{app.BenchHabit{Habit: build.HabitOpenZero}}, "155", "read/w2/closes", "170", true},
		"open for less":                      {[]app.Msg{app.BenchHabit{Habit: build.HabitOpenZero}}, "155", "read/w2/closes", "120", false},
		"a roof higher than the exhaust's":   {[]app.Msg{app.BenchHabit{Habit: build.HabitDepth}}, "22", "read/w2/opens", "18", true},
		"a roof lower than the exhaust's":    {[]app.Msg{app.BenchHabit{Habit: build.HabitDepth}}, "22", "read/w2/opens", "27", false},
		"the floor of the intake is no roof": {[]app.Msg{app.BenchHabit{Habit: build.HabitDepth}}, "22", "read/w4/opens", "18", false},
	} {
		t.Run(name, func(t *testing.T) {
			p := newBench()
			p.send(app.BenchSkip{})
			for _, msg := range c.set {
				p.send(msg)
				p.settle()
			}
			p.types(c.keep)
			p.send(app.BenchGo{Step: c.at})
			p.types(c.value)
			if got := p.m.Bench.Panel == app.PanelOdd; got != c.asked {
				t.Errorf("asked %v, want %v: %s", got, c.asked, p.m.Bench.Doubt)
			}
		})
	}
	p := newBench() // the other way round: the transfer is kept, then the exhaust
	p.send(app.BenchGo{Step: "read/w2/opens"})
	p.types("98")
	p.send(app.BenchGo{Step: "read/w1/opens"})
	p.types("120")
	if got, want := p.m.Bench.Doubt, "By 120 transfer left would be uncovered before exhaust; the exhaust comes first. Another window, or the other side of the wheel?"; got != want {
		t.Errorf("asks %q, want %q", got, want)
	}
}

func TestASecondPointIsRefusedInWords(t *testing.T) {
	p := newBench()
	for _, k := range []string{".", "."} {
		p.send(app.BenchType{Key: k})
	}
	if p.m.Bench.Text != "0." || p.m.Bench.Refuse != "There is a point in 0. already." {
		t.Errorf("%q in hand, says %q", p.m.Bench.Text, p.m.Bench.Refuse)
	}
	if p.send(app.BenchType{Key: "5"}); p.m.Bench.Refuse != "" {
		t.Errorf("still says %q", p.m.Bench.Refuse)
	}
}

// With a stop check in the book a reading on the wrong side of the turn is
// asked about: exhaust opens as the piston goes down, a piston-port intake as
// it goes up (common practice, no source).
func TestWrongSideIsAsked(t *testing.T) {
	for _, c := range []struct {
		step, value string
		asked       bool
	}{
		{"read/w1/opens", "104", false}, {"read/w1/opens", "256", true}, {"read/w1/closes", "104", true}, {"read/w1/closes", "256", false},
		{"read/w4/opens", "287", false}, {"read/w4/opens", "75", true}, {"read/w4/closes", "75", false}, {"read/w1/opens", "185", false},
	} {
		p := newBench()
		p.types("341", "23")
		p.send(app.BenchGo{Step: c.step})
		p.types(c.value)
		if got := p.m.Bench.Panel == app.PanelOdd; got != c.asked {
			t.Errorf("%s %s: asked %v (%s)", c.step, c.value, got, p.m.Bench.Doubt)
		}
	}
}

// A whole window with the keys of a number pad alone.
func TestNumberPad(t *testing.T) {
	p := newBench()
	for _, k := range strings.Fields("+ 1 0 4 / Enter 1 0 5 Backspace 4 , 5 Enter 1 0 4 Enter 2 5 9 . 5 Enter") {
		p.send(app.Key{Key: k})
		p.settle()
	}
	var got []float64
	for _, r := range p.m.Open.Tally.Readings {
		got = append(got, r.Value.Value)
	}
	if want := []float64{104.5, 104.5, 104, 259.5}; !slices.Equal(got, want) {
		t.Errorf("kept %v, want %v", got, want)
	}
	p.send(app.Key{Key: "-"})
	p.settle()
	if p.m.Open.Tally.Readings[3].Struck != app.ReasonTakenBack {
		t.Error("the last one was not taken back")
	}
	p.send(app.Key{Key: "ArrowLeft"})
	if p.m.Bench.At != "read/w1/opens" {
		t.Errorf("left asks %q", p.m.Bench.At)
	}
}

// Undo walks back through what was done, and forward again.
func TestUndo(t *testing.T) {
	p := newBench()
	p.send(app.BenchSkip{})
	p.types("104", "104.5")
	struck := func() string {
		var out []string
		for _, r := range p.m.Open.Tally.Readings {
			out = append(out, r.Struck)
		}
		return strings.Join(out, "|")
	}
	do := func(msg app.Msg, want string) {
		t.Helper()
		p.send(msg)
		p.settle()
		if got := struck(); got != want {
			t.Fatalf("after %T: %q, want %q", msg, got, want)
		}
	}
	do(app.TakeBack{}, "|taken back")
	do(app.TakeBack{}, "taken back|taken back")
	do(app.TakeBack{}, "taken back|taken back")
	do(app.PutBack{}, "|taken back")
	p = p.kill() // the same after a kill
	do(app.PutBack{}, "|")
	do(app.PutBack{}, "|")
	first := p.m.Open.Tally.Readings[0].ID
	do(app.BenchStrike{ID: first, Reason: app.ReasonBumped}, "wheel bumped|")
	do(app.TakeBack{}, "|")
	do(app.PutBack{}, "wheel bumped|")
	do(app.BenchUnstrike{ID: first}, "|")
}

// The value stays on the screen while the disk has no room, and can be tried
// again, or taken back into the field.
func TestNotSaved(t *testing.T) {
	p := newBench()
	p.send(app.BenchSkip{})
	for _, r := range "104.5" {
		p.send(app.BenchType{Key: string(r)})
	}
	p.send(app.BenchKeep{})
	p.next(false)
	if !p.m.Save.Failed || p.m.Bench.Text != "104.5" || len(p.m.Open.Tally.Readings) != 0 {
		t.Fatalf("failed %v, %q in hand, %d kept", p.m.Save.Failed, p.m.Bench.Text, len(p.m.Open.Tally.Readings))
	}
	p.send(app.Visible{Shown: true}) // tries by itself
	p.next(false)
	p.send(app.GiveUp{})
	if p.m.Save.Failed || p.m.Bench.Text != "104.5" || p.m.Bench.Sending != "" || len(p.disk.aside) != 0 {
		t.Fatalf("given up: failed %v, %q in hand, sending %q, %d aside", p.m.Save.Failed, p.m.Bench.Text, p.m.Bench.Sending, len(p.disk.aside))
	}
	p.send(app.BenchKeep{})
	p.next(false)
	p.send(app.TryAgain{})
	p.settle()
	if n := len(p.m.Open.Tally.Readings); n != 1 || p.m.Bench.Text != "" || p.m.Save.Failed {
		t.Errorf("%d kept, %q in hand, failed %v", n, p.m.Bench.Text, p.m.Save.Failed)
	}
}

// On a wheel whose numbers repeat the piston's way can be overruled for one
// reading, and is asked for with the reading's words.
func TestSideIsOverruled(t *testing.T) {
	p := newBench()
	p.send(app.EngineChoose{Path: "wheel.numbering", Value: build.Numbering180})
	p.settle()
	p.send(app.BenchSkip{})
	p.send(app.BenchPanel{Panel: app.PanelMethod})
	choices := p.m.Choices()
	last := choices[len(choices)-1]
	if last.Words != "Piston goes up here" {
		t.Fatalf("the last choice is %q", last.Words)
	}
	p.send(last.Msg)
	p.types("104", "104")
	rs := p.m.Open.Build.Passes[0].Readings
	if len(rs) != 2 || rs[0].Side != build.SideUp || rs[1].Side != "" {
		t.Errorf("kept %+v", rs)
	}
}

// On a 0-90-0-90 wheel a value close to a quarter's end asks which.
func TestQuarterIsAsked(t *testing.T) {
	p := newBench()
	p.send(app.EngineChoose{Path: "wheel.numbering", Value: build.Numbering90})
	p.settle()
	p.send(app.BenchSkip{})
	p.types("88")
	if p.m.Bench.Panel != app.PanelQuarter {
		t.Fatalf("panel %q", p.m.Bench.Panel)
	}
	p.send(app.BenchQuarter{Quarter: 1})
	p.settle()
	rs := p.m.Open.Build.Passes[0].Readings
	if len(rs) != 1 || rs[0].Quarter != 1 || rs[0].Value.Value != 88 {
		t.Errorf("kept %+v", rs)
	}
	p.types("76")
	if len(p.m.Open.Build.Passes[0].Readings) != 2 && p.m.Bench.Panel == app.PanelQuarter {
		t.Error("76 was asked about")
	}
}
