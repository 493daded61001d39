package app_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"portwright/engine/build"
	"portwright/engine/unit"
	"portwright/wasm/app"
	"portwright/wasm/view"
)

func kept(p *phone) (out []float64) {
	for _, r := range p.m.Open.Tally.Readings {
		if r.Struck == "" {
			out = append(out, r.Value.Value)
		}
	}
	return out
}

// One tap keeps the last reading's value again, with an entry of its own; the
// bounce of a Keep does not.
func TestTheSameAgain(t *testing.T) {
	p := newBench()
	p.send(app.BenchSkip{})
	if p.send(app.BenchSame{}); len(p.m.Save.Waiting) != 0 {
		t.Fatal("nothing was kept before, and it was kept again")
	}
	p.types("104.5")
	p.send(app.BenchSame{}) // 300 ms after Keep
	p.settle()
	if got := kept(p); !slices.Equal(got, []float64{104.5}) {
		t.Fatalf("right after Keep the same again keeps %v", got)
	}
	p.now += 1000
	if same := view.Of(p.m).Bench.Keys.Same; same != "104.5" {
		t.Errorf("the key says %q", same)
	}
	p.send(app.BenchSame{})
	p.settle()
	if got := kept(p); !slices.Equal(got, []float64{104.5, 104.5}) {
		t.Fatalf("kept %v", got)
	}
	if rs := p.m.Open.Tally.Readings; rs[0].ID == rs[1].ID {
		t.Error("both readings are one entry")
	}
	p.send(app.BenchType{Key: "9"})
	p.now += 1000
	p.send(app.Key{Key: "*"})
	if got := kept(p); len(got) != 2 || p.m.Bench.Text != "9" {
		t.Errorf("with 9 in hand the same again keeps %v", got)
	}
	p.send(app.BenchType{Key: "erase"})
	p.send(app.TakeBack{})
	p.settle()
	p.send(app.TakeBack{})
	p.settle()
	p.now += 1000
	if p.send(app.BenchSame{}); len(kept(p)) != 0 {
		t.Error("a reading that was taken back is kept again")
	}
}

// Plus and minus start from the last reading and go by the wheel's step; what
// is typed after them starts anew.
func TestNudges(t *testing.T) {
	p := newBench()
	p.send(app.BenchSkip{})
	p.send(app.BenchNudge{By: 1})
	if p.m.Bench.Text != "" {
		t.Fatalf("with nothing to start from: %q", p.m.Bench.Text)
	}
	p.types("104.5")
	words := func() string {
		k := view.Of(p.m).Bench.Keys
		return k.More.Words + " " + k.Less.Words
	}
	for _, c := range []struct {
		msg        app.Msg
		text, keys string
	}{
		{app.BenchNudge{By: +1}, "105", "+0.5 −0.5"}, {app.BenchNudge{By: +1}, "105.5", "+0.5 −0.5"}, {app.Key{Key: "PageDown"}, "105", "+0.5 −0.5"},
		{app.BenchType{Key: "9"}, "9", "erase ½"}, {app.Key{Key: "PageUp"}, "9.5", "+0.5 −0.5"}, {app.BenchType{Key: "erase"}, "", "+0.5 −0.5"},
		{app.EngineChoose{Path: "wheel.step_deg", Value: "0.5"}, "", "+0.5 −0.5"},
	} {
		p.send(c.msg)
		p.settle()
		if p.m.Bench.Text != c.text || words() != c.keys {
			t.Errorf("%#v: %q in hand, keys %q; want %q, %q", c.msg, p.m.Bench.Text, words(), c.text, c.keys)
		}
	}
	p.gives("wheel.step_deg", "0.25", "")
	p.send(app.Navigated{Hash: benchHash()})
	p.send(app.BenchNudge{By: -1})
	if p.m.Bench.Text != "104.25" {
		t.Errorf("with steps of 0.25: %q", p.m.Bench.Text)
	}
	p.send(app.BenchGo{Step: "stop/before"})
	p.types("0", "23")
	p.send(app.BenchGo{Step: "stop/before"})
	if p.send(app.BenchNudge{By: -1}); p.m.Bench.Text != "359.75" {
		t.Errorf("a step below 0: %q", p.m.Bench.Text)
	}
}

// Depths go by a tenth of a millimetre, a thousandth of an inch or a thou, and
// never reach nothing.
func TestNudgesOfDepths(t *testing.T) {
	for _, c := range []struct{ unit, value, want string }{{"", "17.2", "17.3"}, {"in", "0.69", "0.691"}, {"thou", "690", "691"}} {
		p := newBench()
		p.send(app.BenchHabit{Habit: build.HabitDepth})
		p.send(app.BenchUnit{Unit: c.unit})
		p.types(c.value)
		if p.send(app.BenchNudge{By: 1}); p.m.Bench.Text != c.want {
			t.Errorf("%s %s and a step: %q, want %q", c.value, c.unit, p.m.Bench.Text, c.want)
		}
		p.send(app.BenchNudge{By: -10000})
		if p.m.Bench.Text != c.want {
			t.Errorf("below nothing: %q", p.m.Bench.Text)
		}
	}
}

// A rule's fraction of an inch by keys that a phone shows: 1 . 1 3 / 1 6.
func TestFractionsOfAnInch(t *testing.T) {
	for _, c := range []struct {
		keys, text string
		mm         float64
	}{
		{"1 1 / 1 6", "11/16", 17.4625}, {". 7 / 8", "7/8", 22.225}, {"1 . 1 3 / 1 6", "1 13/16", 46.0375}, // 25.4 mm to the inch by definition
		{"1 . 1 3 / erase 5", "1.135", 28.829}, {"1 1 / . half / 1 6", "11/16", 17.4625}, {"/ 7", "7", 177.8}, {"1 2 . 1 3 / 1 6 4", "12 13/16", 325.4375},
	} {
		p := newBench()
		p.send(app.BenchHabit{Habit: build.HabitDepth})
		p.send(app.BenchUnit{Unit: "in"})
		for _, k := range strings.Fields(c.keys) {
			p.send(app.BenchType{Key: k})
		}
		l, err := unit.ParseLength(p.m.Bench.Text, unit.Inch)
		if p.m.Bench.Text != c.text || err != nil || math.Abs(l.MM()-c.mm) > 1e-9 {
			t.Errorf("%s: %q is %v mm (%v), want %q, %v mm", c.keys, p.m.Bench.Text, l.MM(), err, c.text, c.mm)
		}
	}
	p := newBench()
	p.send(app.BenchHabit{Habit: build.HabitDepth})
	p.send(app.BenchUnit{Unit: "in"})
	p.types("11/16")
	if got := p.m.Open.Tally.Readings; len(got) != 1 || math.Abs(got[0].Value.MM()-17.4625) > 1e-9 {
		t.Fatalf("kept %v", got)
	}
	if got := view.Of(p.m).Bench.Keys.Less.Words; got != "−0.001" {
		t.Errorf("the key says %q", got)
	}
	p.send(app.BenchType{Key: "1"})
	if v := view.Of(p.m).Bench; v.Keys.Less.Words != "/" || v.Value.Other != "= 25.4 mm" {
		t.Errorf("the key says %q, the other unit %q", v.Keys.Less.Words, v.Value.Other)
	}
	p.types("1/24")
	if !strings.Contains(p.m.Bench.Refuse, "11/24 is no fraction") || len(p.m.Open.Tally.Readings) != 1 {
		t.Errorf("11/24: %q", p.m.Bench.Refuse)
	}
	p.send(app.BenchUnit{Unit: ""})
	p.send(app.BenchType{Key: "/"})
	if p.m.Bench.Text != "11/24" {
		t.Errorf("in mm the stroke made %q", p.m.Bench.Text)
	}
}

// A depth in the wrong unit is asked about with what was likely meant, which
// one tap puts into the field.
func TestALikelierDepthIsOffered(t *testing.T) {
	p := newBench()
	p.gives("engine.stroke_mm", "32.5", unit.MM)
	p.send(app.Navigated{Hash: benchHash()})
	p.send(app.BenchHabit{Habit: build.HabitDepth})
	p.types("690") // thou, with mm chosen
	if v := view.Of(p.m).Bench; v.Value.Refuse == "" || !strings.Contains(v.Value.Refuse, "690 mm: ") {
		t.Errorf("690 mm: %q", v.Value.Refuse)
	}
	for range 3 {
		p.send(app.BenchType{Key: "erase"})
	}
	p.types("0.69") // inches
	if p.m.Bench.Panel != app.PanelOdd || p.m.Bench.Likely == nil {
		t.Fatalf("0.69 mm: panel %q, likely %v", p.m.Bench.Panel, p.m.Bench.Likely)
	}
	if got := p.m.Choices(); got[2].Words != "Make it 0.69 in" {
		t.Errorf("offers %q", got[2].Words)
	}
	p.send(app.BenchLikely{})
	p.send(app.BenchKeep{})
	p.settle()
	if got := p.m.Open.Tally.Readings; len(got) != 1 || got[0].Value != (unit.Length{Value: 0.69, Unit: unit.Inch}) {
		t.Errorf("kept %v", got)
	}
}

// The unit of depths is chosen once, by key or tap: after it the keys are free,
// and a fraction's digits are no further choices.
func TestAChosenUnitFreesTheKeys(t *testing.T) {
	for name, choose := range map[string]app.Msg{"by key": app.Key{Key: "2"}, "by tap": app.BenchUnit{Unit: "in"}} {
		p := newBench()
		p.send(app.BenchHabit{Habit: build.HabitDepth})
		p.send(app.BenchPanel{Panel: app.PanelMethod})
		p.send(choose)
		p.m.Update(app.BenchType{Key: "7"}, app.Input{NowMS: p.now + 100, Fresh: newFresh(p)}) // the second tap of a double tap
		for _, k := range strings.Fields("1 3 / 1 6") {
			p.send(app.Key{Key: k})
		}
		if b := p.m.Bench; b.Panel != app.PanelNone || b.Unit != "in" || b.Text != "13/16" {
			t.Errorf("%s: panel %q, unit %q, %q in hand", name, b.Panel, b.Unit, b.Text)
		}
	}
}

// The stop check after shows whether the wheel has slipped: it offers nothing
// of the check before.
func TestTheCheckAfterOffersNothing(t *testing.T) {
	p := newBench()
	p.types("341", "23")
	for _, value := range []string{"342", "22"} {
		p.send(app.BenchGo{Step: "stop/after"})
		if k := view.Of(p.m).Bench.Keys; k.Same != "" || p.m.Nudged() {
			t.Errorf("before %s the keys offer %q, %q", value, k.Same, k.More.Words)
		}
		p.types(value)
	}
}

// Until a closing is read its number is the opening's mirror image and says so.
func TestAMirroredClosingSaysSo(t *testing.T) {
	p := newBench()
	p.types("341", "23", "104")
	label := func(step string) string {
		p.send(app.BenchGo{Step: step})
		if live := view.Of(p.m).Bench.Live; len(live) > 0 {
			return live[0].Label
		}
		return ""
	}
	if got := label("read/w1/closes"); got != "mirror of opening" {
		t.Errorf("before a closing is read: %q", got)
	}
	p.types("259")
	if got := label("read/w1/closes"); got != "closes after TDC" {
		t.Errorf("after it: %q", got)
	}
	if got := label("read/w1/opens"); got != "opens after TDC" {
		t.Errorf("the opening: %q", got)
	}
}
