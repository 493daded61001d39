package app_test

import (
	"slices"
	"strings"
	"testing"

	"portwright/engine/build"
	"portwright/engine/unit"
	"portwright/wasm/app"
)

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
		"by the quarter of the event":        {[]app.Msg{app.EngineChoose{Path: "wheel.numbering", Value: build.Numbering90}}, "78", "read/w2/opens", "82", true},
		"in order by the quarter":            {[]app.Msg{app.EngineChoose{Path: "wheel.numbering", Value: build.Numbering90}}, "78", "read/w2/opens", "60", false},
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
		if got := strings.Contains(p.m.Bench.Doubt, "is where the piston goes"); got != c.asked {
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
