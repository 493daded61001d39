package plan

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"portwright/engine/build"
	"portwright/engine/unit"
	"portwright/engine/wheel"
)

// sized is the check engine with every size that the interference checks ask
// for: crown 0.2 below the deck, exhaust skirt 34.5, exhaust floor 34.2 below
// the deck, ring 2.5 below the crown.
func sized() *build.Build {
	b := theBench().file()
	e := &b.Engine
	e.CrownBelowDeck, e.SkirtExhaust, e.SkirtIntake, e.RingBelowCrown, e.RingHeight = mm(0.2), mm(34.5), mm(36), mm(2.5), mm(1.2)
	e.SpeedRPM, e.CrankcaseCC = ptr(9000), ptr(153.812)
	s, err := newBase(b, Options{})
	if err != nil {
		panic(err)
	}
	// Floor 34.2 below the deck is 34 below the crown's edge at TDC.
	b.Windows[0].Height, b.Windows[0].Chord = mm(34-s.now.x[0]), mm(27)
	b.Windows[0].CornerTop, b.Windows[0].Arch = mm(4), mm(1)
	b.Windows[1].Height, b.Windows[1].Chord = mm(34-s.now.x[1]), mm(18)
	b.Windows[2].Height, b.Windows[2].Chord = mm(10), mm(26)
	return b
}

func whatIf(t *testing.T, b *build.Build, moves ...build.Move) *Result {
	t.Helper()
	c := *b
	c.Moves = moves
	return run(t, &c)
}

func by(move string, amount float64) build.Move { return build.Move{Move: move, ByMM: mm(amount)} }

// Independent: with the skirt 34.5 below the crown's edge and the exhaust's floor
// 34.2 below the deck, the crown 0.2 below it, 0.5 mm of skirt seals; lowered by
// 0.5 nothing does, and the crown hides 0.5 mm of the floor.
func TestFreePortingAndShroud(t *testing.T) {
	b := sized()
	if r := whatIf(t, b, by(build.MoveBaseCut, 0.001)); warned(r, WarnFreePorting) == nil || math.Abs(*warned(r, WarnFreePorting).Value-0.499) > 1e-6 {
		t.Errorf("at the land itself: %+v", r.Warnings)
	}
	r := whatIf(t, b, by(build.MoveBaseCut, 0.5))
	w := warned(r, WarnFreePorting)
	if w == nil || math.Abs(*w.Value) > 1e-6 || w.Step != 1 || w.Window != "exhaust" {
		t.Errorf("lowered by 0.5: %+v", w)
	}
	if warned(r, WarnFloorShrouded) != nil {
		t.Error("0.5 mm of floor is the rule's own bound")
	}
	r = whatIf(t, b, by(build.MoveBaseCut, 0.6))
	if w := warned(r, WarnFloorShrouded); w == nil || math.Abs(*w.Value-0.6) > 1e-6 {
		t.Errorf("lowered by 0.6: %+v", w)
	}
}

func TestWarningsStandAtTheirNumbers(t *testing.T) {
	b := sized()
	for _, c := range []struct {
		code  string
		moves []build.Move
		value float64
	}{
		{WarnRingAtDeck, []build.Move{by(build.MoveBaseCut, 2.3)}, 0.4},
		{WarnContact, []build.Move{by(build.MoveBaseCut, 1.1)}, -0.1},
		{WarnSquish, []build.Move{by(build.MoveBaseCut, 0.6)}, 0.4},
		{WarnExhaustLong, []build.Move{by(build.MoveExhaustRoof, 0.5)}, 163.58068},
		{WarnIntakeLong, []build.Move{by(build.MoveIntakeFloor, 0.5)}, 153.24234},
		{WarnTooWide, []build.Move{by(build.MoveExhaustWidth, 8)}, 35.0 / 48},
	} {
		r := whatIf(t, b, c.moves...)
		w := warned(r, c.code)
		if w == nil || math.Abs(*w.Value-c.value) > 2e-5 || w.Text == "" || w.Rule == "" || strings.Contains(w.Text, "%!") {
			t.Errorf("%s: %+v, want %v", c.code, w, c.value)
		}
	}
	if r := whatIf(t, b, build.Move{Move: build.MoveMufflerOutlet, ToMM2: ptr(300)}); warned(r, WarnArrester) == nil || r.After[MufflerOutlet] != 300 {
		t.Errorf("%+v", r.Warnings)
	}
}

// Independent: 38.7005 m/s at 9000 rpm with a gap of 0.5 under a 9 mm band,
// testdata/published/chamber_independent.json.
func TestSquishVelocityIsWarnedOf(t *testing.T) {
	b := sized()
	b.Engine.SquishBandWidth, b.Engine.ChamberCC = mm(9), ptr(6+math.Pi*48*48/4*0.5/1000) // 6 cc after the drop
	w := warned(whatIf(t, b, by(build.MoveBaseCut, 0.5)), WarnSquishVelocity)
	if w == nil || w.Step != 1 || math.Abs(*w.Value-38.7005) > 5e-5 || w.About != NumberNames()[SquishVelocity].Key {
		t.Errorf("%+v", w)
	}
	b.Engine.SpeedRPM = nil
	if w := warned(whatIf(t, b, by(build.MoveBaseCut, 0.5)), WarnSquishVelocity); w != nil {
		t.Errorf("without a speed: %+v", w)
	}
}

// The intake's roof against the ring at BDC: lowering the cylinder takes the
// roof away from it.
func TestRingOverIntake(t *testing.T) {
	b := sized()
	s := problemOf(t, withTarget(theBench().file(), build.TargetSquish, 1)).base
	b.Windows[2].Height = mm(s.now.x[2] + 36 - (34 + 2.5 + 1.2) + 0.3) // 0.3 into the ring's way
	r := whatIf(t, b, by(build.MoveBaseCut, 0.1))
	if w := warned(r, WarnRingOverPort); w == nil || w.Step != 0 || math.Abs(*w.Value+0.2) > 1e-6 {
		t.Errorf("%+v", w)
	}
	r = whatIf(t, b, by(build.MoveBaseCut, 0.4))
	if w := warned(r, WarnRingOverPort); w == nil || !strings.Contains(w.Text, "put it right") {
		t.Errorf("%+v", w)
	}
}

// Rules of thumb are the user's: a bound of the file counts, 0 silences.
func TestRulesAreTheUsers(t *testing.T) {
	b := sized()
	b.Rules = build.Rules{SquishLeast: mm(0.3), ExhaustDurationMost: ptr(0), TrappedRatioMost: ptr(7)}
	r := whatIf(t, b, by(build.MoveBaseCut, 0.6), by(build.MoveExhaustRoof, 1.5))
	if warned(r, WarnSquish) != nil || warned(r, WarnExhaustLong) != nil {
		t.Errorf("%+v", r.Warnings)
	}
	if w := warned(r, WarnTrapped); w == nil || *w.Bound != 7 || w.Rule != fromFile || w.Step != 0 {
		t.Errorf("%+v", w)
	}
}

// All numbers follow a what-if. Independent: drop by 0.5 and a 9 mm band cut by
// 0.5, testdata/published/chamber_independent.json; specific time-areas of the
// check engine, timearea_independent.json.
func TestEveryNumberFollows(t *testing.T) {
	b := theBench().file()
	b.Engine.SquishBandWidth, b.Engine.SpeedRPM, b.Engine.CrankcaseCC = mm(9), ptr(9000), ptr(153.812)
	b.Windows[0].Chord, b.Windows[0].Height, b.Windows[0].CornerTop, b.Windows[0].CornerBottom = mm(30), mm(11.664944), mm(4), mm(3)
	r := whatIf(t, b, by(build.MoveBaseCut, 0.5), by(build.MoveBandCut, 0.5))
	for _, c := range []struct {
		what      string
		got       float64
		want, tol float64
	}{
		{"squish", r.After[Squish], 1, 1e-6}, {"chamber", r.After[Clearance], 5.646571, 1e-6}, {"geometric", r.After[GeometricRatio], 11.895985, 1e-6},
		{"crankcase", r.Now[CrankcaseRatio], 1.4, 1e-5}, {"squish velocity", r.Now[SquishVelocity], 20.6662, 5e-5},
		{"exhaust time-area", r.Now[ExhaustSTA], 0.0108067, 1e-6}, {"blowdown time-area", r.Now[BlowdownSTA], 0.000524471, 1e-6},
		{"squish after the drop", *r.Moves[0].SquishAfter, 0.5, 1e-6}, {"ratio after the drop", *r.Moves[0].RatioAfter, 13.075030, 1e-6},
	} {
		if !(math.Abs(c.got-c.want) <= c.tol) {
			t.Errorf("%s: %v, want %v", c.what, c.got, c.want)
		}
	}
	if !math.IsNaN(r.After[TransferSTA]) {
		t.Error("a time-area of a window whose size is not known")
	}
}

// A band of unknown width: the volume after it is cut is not known, and said so.
func TestUnknownBand(t *testing.T) {
	b := theBench().file()
	b.Engine.SquishBandWidth = nil
	r := whatIf(t, b, by(build.MoveBandCut, 0.2))
	if !math.IsNaN(r.After[GeometricRatio]) || math.IsNaN(r.Now[GeometricRatio]) || warned(r, WarnNoVolume) == nil {
		t.Errorf("%+v %+v", r.After, r.Warnings)
	}
}

// Contradictions are named in full and without what is no part of them.
func TestContradictions(t *testing.T) {
	for _, c := range []struct {
		what   string
		change func(b *build.Build)
		want   []string
	}{
		{"squish below its least and no way up", func(b *build.Build) { b.Limits.SquishMin = mm(1.2) }, []string{"squish_min_mm"}},
		{"only metal put back would close the exhaust sooner", func(b *build.Build) {
			b.Limits.ExhaustDurationMax, b.Allowed.ExhaustRoof = ptr(158), &build.Room{}
		}, []string{"exhaust_duration_max_deg", noMetalBack}},
		{"up by the crown, but the exhaust then opens too early", func(b *build.Build) {
			b.Limits.SquishMin, b.Limits.ExhaustDurationMax, b.Allowed.CrownCut = mm(1.2), ptr(160.5), &build.Room{}
		}, []string{"squish_min_mm", "exhaust_duration_max_deg"}},
		{"up by the crown, but no further than its room", func(b *build.Build) {
			b.Limits.SquishMin, b.Allowed.CrownCut = mm(1.2), &build.Room{Max: mm(0.1)}
		}, []string{"squish_min_mm", "crown_cut_mm"}},
	} {
		b := withTarget(theBench().file(), build.TargetSquish, 1.3)
		c.change(b)
		r := run(t, b)
		if r.Status != Impossible || !slices.Equal(r.Binding, c.want) {
			t.Errorf("%s: %s %v, want %v", c.what, r.Status, r.Binding, c.want)
		}
	}
}

// What keeps a target away is named: a limit, a room, an earlier target, or that
// metal can't be put back; and what is not allowed and would help.
func TestWhatBinds(t *testing.T) {
	for _, c := range []struct {
		what    string
		change  func(b *build.Build)
		binding []string
		help    string
	}{
		{"a limit", func(b *build.Build) {
			withTarget(b, build.TargetExhaustOpens, 96)
			b.Allowed.ExhaustRoof, b.Limits.ExhaustDurationMax = &build.Room{}, ptr(162)
		}, []string{"exhaust_duration_max_deg"}, ""},
		{"a room", func(b *build.Build) {
			withTarget(b, build.TargetExhaustOpens, 96)
			b.Allowed.ExhaustRoof = &build.Room{Max: mm(0.5)}
		}, []string{"exhaust_roof_mm"}, "crown cut"},
		{"an earlier target", func(b *build.Build) {
			withTarget(withTarget(b, build.TargetSquish, 0.8), build.TargetExhaustOpens, 104)
			b.Allowed.BaseCut = &build.Room{}
		}, []string{build.TargetSquish}, "squish band cut"},
		{"no metal back", func(b *build.Build) {
			withTarget(b, build.TargetExhaustOpens, 104)
			b.Allowed.ExhaustRoof = &build.Room{}
		}, []string{noMetalBack}, "base cut"},
		{"the gaskets", func(b *build.Build) {
			withTarget(b, build.TargetSquish, 0.3)
			b.Allowed.BaseGaskets = []unit.Length{*mm(0.2)}
		}, []string{"base_gaskets_mm"}, "base cut"},
	} {
		b := theBench().file()
		c.change(b)
		r := run(t, b)
		if r.Status != Limited || !slices.Equal(r.Binding, c.binding) || c.help != "" && !slices.Contains(r.WouldHelp, c.help) {
			t.Errorf("%s: %s, binding %v, would help %v; want %v, %q", c.what, r.Status, r.Binding, r.WouldHelp, c.binding, c.help)
		}
		if len(r.Misses) == 0 || r.Misses[len(r.Misses)-1].Reached == nil {
			t.Errorf("%s: by how much is not said: %+v", c.what, r.Misses)
		}
	}
}

// Two transfers that open 2.5 degrees apart are levelled by the roof of the
// later one alone. Independent: 42.2802 - 41.3273 mm of travel,
// testdata/cases/reed_uneven_transfers.json.
func TestLevelling(t *testing.T) {
	b := bench{stroke: 54.5, rod: 105, bore: 54, squish: 1, chamber: 10.5, exhaust: 86, transfers: []float64{114, 116.5}, intake: 285}.file()
	withTarget(b, build.TargetTransferOpens, 114)
	b.Allowed.TransferRoof = &build.Room{Max: mm(2)}
	r := run(t, b)
	if len(r.Moves) != 1 || r.Moves[0].Window != "transfer 2" || math.Abs(*r.Moves[0].ByMM-0.9529) > 1e-4 {
		t.Errorf("%+v", r.Moves)
	}
}

// What the wheel reads stands on the user's own numbering.
func TestTheUsersOwnWheel(t *testing.T) {
	for _, c := range []struct {
		numbering, numbers string
		tdc, opens, closes float64 // of the exhaust at 98 and 262 after TDC
	}{
		{"0-360", "rise", 0, 98, 262}, {"0-360", "rise", 2, 100, 264}, {"0-360", "fall", 0, 262, 98}, {"0-180-0", "rise", 0, 98, 98}, {"0-90-0-90", "rise", 0, 82, 82},
	} {
		b := theBench().file()
		b.Wheel.Numbering, b.Wheel.Numbers = c.numbering, c.numbers
		p := &b.Passes[0]
		on := func(angle float64) float64 {
			s, err := newBase(theBench().file(), Options{})
			if err != nil {
				t.Fatal(err)
			}
			w := s.measured.Wheel
			w.Numbering, w.Falls = wheelOf(t, c.numbering, c.numbers)
			return w.Shows(angle, c.tdc)
		}
		p.Stops[0].Readings = []float64{on(340), on(20)}
		for i, a := range []float64{100, 260, 122, 238, 285, 75} {
			p.Readings[i].Value.Value = on(a)
		}
		withTarget(b, build.TargetExhaustOpens, 98)
		b.Allowed.ExhaustRoof = &build.Room{}
		s := step(t, run(t, b), build.MoveExhaustRoof)
		if len(s.WheelAfter) != 2 || math.Abs(*s.WheelAfter[0].ReadsDeg-c.opens) > 1e-5 || math.Abs(*s.WheelAfter[1].ReadsDeg-c.closes) > 1e-5 {
			t.Errorf("%+v: %v and %v", c, *s.WheelAfter[0].ReadsDeg, *s.WheelAfter[1].ReadsDeg)
		}
	}
}

// The rules in force are part of the result: the file's where it has one, the
// usual elsewhere, with the keys of the file.
func TestRulesInForce(t *testing.T) {
	b := sized()
	b.Rules = build.Rules{TrappedRatioMost: ptr(7), FloorShroudMost: mm(0)}
	r := whatIf(t, b, by(build.MoveBaseCut, 0.1))
	if len(r.Rules) != 10 {
		t.Fatalf("%+v", r.Rules)
	}
	for _, rule := range r.Rules {
		want, from := map[string]float64{"trapped_ratio_most": 7, "floor_shroud_most_mm": 0, "squish_least_mm": 0.5, "exhaust_duration_most_deg": 160, "intake_duration_most_deg": 150,
			"geometric_ratio_most": 0, "squish_velocity_most_m_s": 30, "seal_land_least_mm": 0.5, "ring_below_deck_least_mm": 0.5, "ring_land_least_mm": 1}[rule.Key], rule.From == fromFile
		if rule.Bound != want || from != (rule.Key == "trapped_ratio_most" || rule.Key == "floor_shroud_most_mm") {
			t.Errorf("%+v, want %v", rule, want)
		}
		if err := build.SetField(&build.Rules{}, rule.Key, []byte("1")); err != nil {
			t.Errorf("%s is no key of a rule: %v", rule.Key, err)
		}
	}
}

// What is missing or not known as a word is refused by field.
func TestRefusals(t *testing.T) {
	for field, change := range map[string]func(b *build.Build){
		"targets":                  func(b *build.Build) { b.Targets.List = nil },
		"targets.exhaust_open_deg": func(b *build.Build) { b.Targets.Extra = build.Extra{"exhaust_open_deg": []byte("98")} },
		"limits.later":             func(b *build.Build) { b.Limits.Extra = build.Extra{"later": []byte("1")} },
		"moves_allowed.head_cut_mm": func(b *build.Build) {
			b.Allowed.Extra = build.Extra{"head_cut_mm": []byte(`{"max":1}`)}
		},
		"targets.squish_mm":     func(b *build.Build) { b.Engine.Squish = nil },
		"limits.squish_min_mm":  func(b *build.Build) { b.Engine.Squish, b.Targets.List, b.Limits.SquishMin = nil, blowdown(20), mm(0.4) },
		"targets.blowdown_deg":  func(b *build.Build) { b.Passes[0].Readings, b.Targets.List = b.Passes[0].Readings[:2], blowdown(20) },
		"engine.stroke_mm":      func(b *build.Build) { b.Engine.Stroke = nil },
		"engine.base_gasket_mm": func(b *build.Build) { b.Engine.BaseGasket, b.Allowed.BaseGaskets = nil, []unit.Length{*mm(0)} },
		"passes":                func(b *build.Build) { b.Passes = nil },
		"moves[0].move":         func(b *build.Build) { b.Moves = []build.Move{{Move: "head_cut", ByMM: mm(1)}} },
		"moves[0].window": func(b *build.Build) {
			b.Moves = []build.Move{{Move: build.MoveExhaustRoof, Window: "intake", ByMM: mm(1)}}
		},
		"moves[0].by_mm":          func(b *build.Build) { b.Moves = []build.Move{by(build.MoveBaseCut, -1)} },
		"limits.seal_land_min_mm": func(b *build.Build) { b.Limits.SealLandMin = mm(0.5) },
	} {
		b := withTarget(theBench().file(), build.TargetSquish, 0.6)
		change(b)
		_, err := Run(b, Options{})
		var in *unit.InputError
		if !errors.As(err, &in) || in.Field != field || in.Reason == "" {
			t.Errorf("%s: %v", field, err)
		}
	}
}

func blowdown(v float64) []build.Target {
	return []build.Target{{Key: build.TargetBlowdown, Value: unit.Length{Value: v}}}
}

// Readings that a finding doubts are not cut by without a word.
func TestDoubtedReadings(t *testing.T) {
	b := withTarget(theBench().file(), build.TargetExhaustOpens, 98)
	b.Allowed.ExhaustRoof = &build.Room{}
	for i := range b.Passes[0].Readings {
		b.Passes[0].Readings[i].Value.Value = math.Mod(b.Passes[0].Readings[i].Value.Value+4, 360) // the wheel moved
	}
	if r := run(t, b); warned(r, WarnDoubted) == nil {
		t.Errorf("%+v", r.Warnings)
	}
	r, err := Run(b, Options{Apply: []string{"zero_error"}})
	if err != nil || warned(r, WarnDoubted) != nil || math.Abs(r.Now[ExhaustOpens]-100) > 0.01 {
		t.Errorf("with the zero put right: %v %+v", err, r)
	}
}

func wheelOf(t *testing.T, numbering, numbers string) (wheel.Numbering, bool) {
	t.Helper()
	w, err := wheel.New(numbering, numbers)
	if err != nil {
		t.Fatal(err)
	}
	return w.Numbering, w.Falls
}
