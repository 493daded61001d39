package app_test

import (
	"strings"
	"testing"

	"portwright/engine/build"
	"portwright/wasm/app"
	"portwright/wasm/view"
)

// A depth is read with the depth gauge: the feeler of a pass in degrees is not
// carried over.
func TestADepthCarriesNoFeeler(t *testing.T) {
	p := newBench()
	p.send(app.BenchMethod{Method: app.MethodFeeler, FeelerMM: 0.1})
	p.send(app.BenchSkip{})
	p.types("104")
	p.send(app.BenchHabit{Habit: build.HabitDepth})
	p.send(p.m.Choices()[0].Msg)
	p.settle()
	p.types("21.96")
	rs := p.m.Open.Tally.Readings
	if p.m.Habit() != build.HabitDepth || len(rs) != 1 {
		t.Fatalf("habit %s, %d kept", p.m.Habit(), len(rs))
	}
	if rs[0].Method != app.MethodDepth || rs[0].Feeler != nil {
		t.Errorf("the depth carries %q, feeler %v", rs[0].Method, rs[0].Feeler)
	}
}

// On a wheel numbered in quarters the quarter that was named counts: 88 in the
// second quarter is 92, before an exhaust at 77 in the second, which is 103.
func TestTheNamedQuarterIsHeldAgainstTheOrder(t *testing.T) {
	p := newBench()
	p.send(app.EngineChoose{Path: "wheel.numbering", Value: build.Numbering90})
	p.settle()
	p.types("18.5", "21.5", "77")
	p.send(app.BenchGo{Step: "read/w2/opens"})
	p.types("88")
	p.send(app.Visible{}) // half a second later
	p.send(app.BenchQuarter{Quarter: 2})
	p.settle()
	if want := "the exhaust comes first"; p.m.Bench.Panel != app.PanelOdd || !strings.Contains(p.m.Bench.Doubt, want) {
		t.Errorf("panel %q, asks %q, want %q", p.m.Bench.Panel, p.m.Bench.Doubt, want)
	}
}

// A stop stands 15 to 60 degrees from the dead centre, and its repeat says the
// same again (common practice, no source).
func TestAnAbsurdStopCheckIsAsked(t *testing.T) {
	for name, c := range map[string]struct {
		numbering string
		readings  []string
		asks      string // "" when nothing
	}{
		"0-360, a mistyped second":       {build.Numbering360, []string{"333.5", "150"}, "would stand 88° from TDC"},
		"0-180-0, a mistyped second":     {build.Numbering180, []string{"26.5", "150"}, "would stand 88° from TDC"},
		"0-90-0-90, a far stop":          {build.Numbering90, []string{"70", "65"}, "would stand 68° from TDC"},
		"0-360, a usual one":             {build.Numbering360, []string{"333.5", "27.5"}, ""},
		"0-180-0, a usual one":           {build.Numbering180, []string{"26.5", "27.5"}, ""},
		"0-90-0-90, a usual one":         {build.Numbering90, []string{"26.5", "27.5"}, ""},
		"0-360, an odd repeat":           {build.Numbering360, []string{"333.5", "27.5", "320", "71"}, "TDC would read 15.5°: this is 15° from the last check"},
		"0-180-0, an odd repeat":         {build.Numbering180, []string{"26.5", "27.5", "26.5", "57.5"}, "this is 15° from the last check"},
		"0-90-0-90, an odd repeat":       {build.Numbering90, []string{"26.5", "27.5", "26.5", "57.5"}, "this is 15° from the last check"},
		"0-360, a repeat across 0":       {build.Numbering360, []string{"333.5", "27.5", "331", "25"}, ""},
		"0-360, too near the dead one":   {build.Numbering360, []string{"356", "4"}, "only 8° apart"},
		"0-180-0, too near the dead one": {build.Numbering180, []string{"4", "4"}, "only 8° apart"},
	} {
		t.Run(name, func(t *testing.T) {
			p := newBench()
			if c.numbering != build.Numbering360 {
				p.send(app.EngineChoose{Path: "wheel.numbering", Value: c.numbering})
				p.settle()
			}
			for i, r := range c.readings {
				if i == 2 {
					p.send(app.BenchGo{Step: "stop/before"})
				}
				p.types(r)
				if i < len(c.readings)-1 && p.m.Bench.Panel != app.PanelNone {
					t.Fatalf("asks about %s: %s", r, p.m.Bench.Doubt)
				}
			}
			if got := p.m.Bench.Panel == app.PanelOdd; got != (c.asks != "") || !strings.Contains(p.m.Bench.Doubt, c.asks) {
				t.Errorf("asks %q, want %q", p.m.Bench.Doubt, c.asks)
			}
		})
	}
}

// What is read out follows what was done to the reading last.
func TestWhatIsReadOut(t *testing.T) {
	p := newBench()
	p.send(app.BenchSkip{})
	p.types("122")
	says := func(want string) {
		t.Helper()
		p.settle()
		if got := view.Of(p.m).Notice; !strings.HasPrefix(got, want) {
			t.Errorf("reads out %q, want %q", got, want)
		}
	}
	says("Exhaust opens, 122 degrees, kept, first reading. Exhaust opens,")
	p.send(app.TakeBack{})
	says("122° taken back.")
	p.send(app.PutBack{})
	says("122° counts again.")
	p.types("121.5")
	says("Exhaust opens, 121.5 degrees, kept, second reading, spread half a degree. ")
	p.send(app.BenchStrike{ID: p.m.Open.Tally.Readings[0].ID, Reason: app.ReasonMisread})
	says("122° struck out.")
}

// Where no two-stroke has the event the reading is asked about, on its first
// reading alone: an exhaust opens near 100 and a transfer near 120 after TDC, a
// piston-port intake some 75 before it (common practice, no source).
func TestAnEventWhereNoEngineHasIt(t *testing.T) {
	for _, c := range []struct {
		mode        app.Mode
		step, value string
		intake      string
		asks        string
	}{
		{app.FirstLook, "read/w1/opens", "20", "", "exhaust opens 20° after TDC"},
		{app.FirstLook, "read/w1/opens", "104", "", ""},
		{app.Everything, "read/w1/closes", "340", "", "exhaust closes 20° before TDC"},
		{app.Everything, "read/w1/closes", "256", "", ""},
		{app.FirstLook, "read/w2/opens", "21", "", "transfer left opens 21° after TDC"},
		{app.FirstLook, "read/w2/opens", "121", "", ""},
		{app.FirstLook, "read/w4/opens", "352", "", "intake opens 8° before TDC"},
		{app.FirstLook, "read/w4/opens", "285", "", ""},
		{app.FirstLook, "read/w4/opens", "352", build.IntakeReed, ""},
	} {
		p := newBench()
		if c.intake != "" {
			p.send(app.EngineChoose{Path: "engine.intake", Value: c.intake})
			p.settle()
		}
		p.send(app.BenchMode{Mode: c.mode})
		p.send(app.BenchGo{Step: c.step})
		p.types(c.value)
		if got := p.m.Bench.Panel == app.PanelOdd; got != (c.asks != "") || !strings.Contains(p.m.Bench.Doubt, c.asks) {
			t.Errorf("%s %s: asks %q, want %q", c.step, c.value, p.m.Bench.Doubt, c.asks)
		}
		if c.asks == "" {
			continue
		}
		p.send(app.Visible{})
		p.send(app.BenchKeep{Sure: true})
		p.settle()
		p.send(app.BenchGo{Step: c.step})
		if p.types(c.value); p.m.Bench.Panel != app.PanelNone {
			t.Errorf("%s %s is asked again: %s", c.step, c.value, p.m.Bench.Doubt)
		}
	}
}

// The number just won stands where the next window's numbers will stand.
func TestTheNumberJustWonStaysToBeSeen(t *testing.T) {
	p := newBench()
	p.send(app.BenchMode{Mode: app.FirstLook})
	p.types("104")
	v := view.Of(p.m).Bench
	// 2 x (180 - 104), by definition of a symmetric window; a wheel zeroed by eye
	// leaves some degrees of doubt.
	if want := "exhaust open for 152.0° ± "; v.Ask.Heading != "Transfer left opens" || len(v.Live) > 0 || !strings.HasPrefix(v.Wait, want) {
		t.Errorf("%s, %v: %q, want %q", v.Ask.Heading, v.Live, v.Wait, want)
	}
	p.send(app.TakeBack{})
	p.settle()
	if v := view.Of(p.m).Bench; strings.Contains(v.Wait, "152") {
		t.Errorf("taken back it still says %q", v.Wait)
	}
}

// Down lists the questions with the focus on the one in hand; the arrows go on
// from there, Enter asks, and the ends hold.
func TestTheListByArrows(t *testing.T) {
	p := newBench()
	p.send(app.BenchSkip{})
	press := func(key, step string) {
		t.Helper()
		p.did = nil
		p.send(app.Key{Key: key})
		if f, _ := last[app.FocusOn](p); f.ID != step {
			t.Errorf("%s: the focus goes to %q, want %q", key, f.ID, step)
		}
	}
	press("ArrowDown", "step/read/w1/opens")
	press("ArrowDown", "step/read/w1/closes")
	press("ArrowUp", "step/read/w1/opens")
	press("ArrowUp", "step/stop/before")
	press("ArrowUp", "")
	press("ArrowDown", "step/read/w1/opens")
	press("ArrowDown", "step/read/w1/closes")
	press("Enter", "value")
	if p.m.Bench.At != "read/w1/closes" || p.m.Bench.Panel != app.PanelNone {
		t.Errorf("asks %q, panel %q", p.m.Bench.At, p.m.Bench.Panel)
	}
}

// The half ends a number: further digits are refused in words, and the value
// without them is asked about. 13/16 on a number pad in mm is no 13.516.
func TestTheHalfEndsTheNumber(t *testing.T) {
	for keys, want := range map[string]string{"1 0 3 / 5": "103.5", "1 3 / 1 6": "13.5"} {
		p := newBench()
		p.send(app.BenchSkip{})
		if want == "13.5" {
			p.send(app.BenchHabit{Habit: build.HabitDepth})
		}
		for _, k := range strings.Fields(keys) {
			p.send(app.Key{Key: k})
		}
		if b := p.m.Bench; b.Text != want || !strings.Contains(b.Refuse, "The half ends the number") {
			t.Errorf("%s: %q in hand, says %q", keys, b.Text, b.Refuse)
		}
		p.send(app.Key{Key: "Enter"})
		p.settle()
		if n := len(p.m.Open.Tally.Readings); n != 0 || p.m.Bench.Panel != app.PanelOdd {
			t.Errorf("%s: %d kept, panel %q", keys, n, p.m.Bench.Panel)
		}
		for _, k := range strings.Fields("Escape Backspace 2 Enter") { // 103.2, 13.2
			p.send(app.Key{Key: k})
			p.settle()
		}
		if got := kept(p); len(got) != 1 {
			t.Errorf("%s, then 2 for the half: kept %v, asks %q", keys, got, p.m.Bench.Doubt)
		}
	}
}

// A wheel read in steps of half a degree shows halves and, by eye, quarters.
func TestAValueFinerThanTheWheelIsAsked(t *testing.T) {
	for value, asked := range map[string]bool{"103.55": true, "103.4": true, "103.5": false, "103.25": false, "103": false} {
		p := newBench()
		p.gives("wheel.step_deg", "0.5", "")
		p.send(app.Navigated{Hash: benchHash()})
		p.send(app.BenchSkip{})
		p.types(value)
		if got := p.m.Bench.Panel == app.PanelOdd; got != asked {
			t.Errorf("%s: asked %v, want %v (%s)", value, got, asked, p.m.Bench.Doubt)
		}
	}
}
