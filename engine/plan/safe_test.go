package plan_test

import (
	"errors"
	"math"
	"os"
	"strings"
	"testing"

	"portwright/engine/build"
	"portwright/engine/plan"
	"portwright/engine/unit"
)

// cutFile is the demo build that is to be cut, with what is wanted of it changed.
func cutFile(t *testing.T, change func(b *build.Build)) *build.Build {
	t.Helper()
	data, err := os.ReadFile("../../testdata/builds/cut.json")
	if err != nil {
		t.Fatal(err)
	}
	b, err := build.Decode(data)
	if err != nil {
		t.Fatal(err)
	}
	b.Targets.List, b.Limits, b.Allowed = nil, build.Limits{}, build.Allowed{}
	change(b)
	return b
}

func want(b *build.Build, key string, v float64) {
	b.Targets.List = append(b.Targets.List, build.Target{Key: key, Value: unit.Length{Value: v, Unit: unit.MM}})
}

func length(v float64) *unit.Length { return &unit.Length{Value: v, Unit: unit.MM} }

func planOf(t *testing.T, b *build.Build) *plan.Result {
	t.Helper()
	r, err := plan.Run(b, plan.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func find(r *plan.Result, code string) *plan.Warning {
	for i := range r.Warnings {
		if r.Warnings[i].Code == code {
			return &r.Warnings[i]
		}
	}
	return nil
}

// The ring lies 2.5 mm under the crown, and squish is 0.975 on the pin axis. A
// squish of 4 would take 3.025 mm, through the land and into the groove; 3.3
// takes 2.325 and leaves 0.175. A land under 1 mm breaks off (common practice, no
// source); one that was made thin and never cut is left alone.
func TestACrownCutLeavesTheRingItsLand(t *testing.T) {
	crown := func(squish float64) *build.Build {
		return cutFile(t, func(b *build.Build) {
			want(b, build.TargetSquish, squish)
			b.Allowed.CrownCut = &build.Room{Max: length(4)}
		})
	}
	r := planOf(t, crown(4))
	if r.Status != plan.Limited || len(r.Moves) != 1 || *r.Moves[0].ByMM >= 2.5 || *r.Moves[0].ByMM < 2.4 {
		t.Errorf("into the groove: %s %s %+v", r.Status, r.Text, r.Moves)
	}
	if !strings.Contains(r.Text, "groove") {
		t.Errorf("what stops it is not said: %s", r.Text)
	}
	r = planOf(t, crown(3.3))
	if w := find(r, plan.WarnRingLand); r.Status != plan.Solved || w == nil || math.Abs(*w.Value-0.175) > 1e-6 || w.Step != 1 || *w.Bound != 1 {
		t.Errorf("a land of 0.175: %s %+v", r.Status, w)
	}
	if w := find(planOf(t, crown(2.3)), plan.WarnRingLand); w != nil { // 2.5 - 1.325 = 1.175
		t.Errorf("a land of 1.175: %+v", w)
	}
	thin := crown(0.975)
	thin.Engine.RingBelowCrown = length(0.8)
	if w := find(planOf(t, thin), plan.WarnRingLand); w != nil {
		t.Errorf("made so: %+v", w)
	}
	bitten := crown(2.3)
	bitten.Bites = []build.Bite{{Move: build.Move{Move: build.MoveCrownCut, ByMM: length(3)}, Pass: "as received"}}
	if w := find(planOf(t, bitten), plan.WarnRingLand); w == nil || w.Step != 0 || math.Abs(*w.Value+0.5) > 1e-6 || !strings.Contains(w.Text, "0.5 mm into the ring's groove") {
		t.Errorf("cut away: %+v", w)
	}
	asked := crown(3.3)
	asked.Rules.RingLandLeast = length(0.1)
	if w := find(planOf(t, asked), plan.WarnRingLand); w != nil {
		t.Errorf("with a rule of one's own: %+v", w)
	}
}

// The crown stands 2.2 mm over the deck and the ring 2.5 under it: 0.3 of the
// bore holds the ring. A squish of 0.55 in place of 1.2 would lower the cylinder
// by 0.65 and bring 0.35 mm of it out.
func TestTheRingStaysInTheBore(t *testing.T) {
	b := cutFile(t, func(b *build.Build) {
		b.Engine.CrownBelowDeck, b.Engine.Squish = length(-2.2), []unit.Length{*length(1.2)}
		want(b, build.TargetSquish, 0.55)
		b.Allowed.BaseCut = &build.Room{}
	})
	r := planOf(t, b)
	if r.Status != plan.Limited || len(r.Moves) != 1 || math.Abs(*r.Moves[0].ByMM-0.3) > 1e-6 || !strings.Contains(r.Text, "come out of the cylinder") {
		t.Errorf("%s %s %+v", r.Status, r.Text, r.Moves)
	}
	b.Moves = []build.Move{{Move: build.MoveBaseCut, ByMM: length(0.65)}}
	r = planOf(t, b)
	if w := find(r, plan.WarnRingAtDeck); w == nil || math.Abs(*w.Value+0.35) > 1e-6 || !strings.Contains(w.Text, "the ring comes 0.35 mm out of the cylinder: do not turn it") {
		t.Errorf("%+v", w)
	}
	if w := find(r, plan.WarnLimit); w == nil || strings.Contains(w.Text, "ring_in_bore") {
		t.Errorf("%+v", w)
	}
	// The exhaust's floor comes to 22.8 + 10.5 under the crown's edge: the skirt of
	// 33 leaves 0.3 of it open.
	b.Engine.SkirtExhaust = length(33)
	if w := find(planOf(t, b), plan.WarnFreePorting); w == nil || !strings.Contains(w.Text, "leaves "+unit.Plain(-*w.Value, 2)+" mm of the floor of exhaust open") {
		t.Errorf("%+v", w)
	}
}

// Wire gives squish to 0.04 mm at 95 %, and the cut that is to be made and its
// gasket 0.02 mm each besides: 2 sqrt(3) 0.02 = 0.069. What is not known to be more
// than nothing may be nothing.
func TestTheCrownIsSaidToTouchWithinTheDoubt(t *testing.T) {
	for least, said := range map[string]bool{"0.05": true, "0.06": true, "0.07": false, "0.1": false} {
		b := cutFile(t, func(b *build.Build) {
			want(b, build.TargetSquish, 0.5)
			v := map[string]float64{"0.05": 0.05, "0.06": 0.06, "0.07": 0.07, "0.1": 0.1}[least]
			b.Moves = []build.Move{{Move: build.MoveBaseCut, ByMM: length(0.9 - v)}}
		})
		w := find(planOf(t, b), plan.WarnContact)
		if (w != nil) != said || w != nil && !strings.Contains(w.Text, "may touch") {
			t.Errorf("at a least of %s: %+v", least, w)
		}
	}
	r := planOf(t, cutFile(t, func(b *build.Build) {
		want(b, build.TargetTrappedRatio, 12)
		b.Allowed.BaseCut = &build.Room{}
	}))
	if least := r.After[plan.SquishLeast]; least < 0.0693 || !strings.Contains(r.Text, "the crown against the head") {
		t.Errorf("a ratio of 12 leaves %v mm: %+v", least, r.Warnings)
	}
}

// No window is wider than the bore: 46 in 44 is said no milder than 36, which is
// past the limit of 70 %.
func TestAWidthThatCannotBe(t *testing.T) {
	said := func(chord float64) string {
		b := cutFile(t, func(b *build.Build) {
			want(b, build.TargetSquish, 0.975)
			b.Windows[0].Chord, b.Windows[0].CornerTop = length(chord), nil
		})
		w := find(planOf(t, b), plan.WarnTooWide)
		if w == nil {
			return ""
		}
		return w.Text
	}
	for chord, want := range map[float64]string{29: "flat top", 36: "past the limit", 46: "no window is as wide as the bore"} {
		if got := said(chord); !strings.Contains(got, want) {
			t.Errorf("%v: %q, want %q", chord, got, want)
		}
	}
}

// What lowers the cylinder is not done blind: without squish each such step says
// so, in a plan and in a what-if, and so does what was lowered already.
func TestNothingIsLoweredBlind(t *testing.T) {
	b := cutFile(t, func(b *build.Build) {
		b.Engine.Squish = nil
		want(b, build.TargetTransferOpens, 126)
		want(b, build.TargetBlowdown, 28)
		b.Allowed = build.Allowed{BaseGaskets: []unit.Length{*length(0), *length(0.3)}, BaseCut: &build.Room{Max: length(2)}, ExhaustRoof: &build.Room{}, TransferRoof: &build.Room{}}
	})
	steps := func(r *plan.Result) (lowering, said int) {
		for i, m := range r.Moves {
			if m.Move == build.MoveBaseCut || m.Move == build.MoveBaseGasket && *m.ByMM < 0 {
				lowering++
				for _, w := range r.Warnings {
					if w.Code == plan.WarnSquishUnknown && w.Step == i+1 && strings.Contains(w.Text, "Squish is not known") {
						said++
					}
				}
			}
		}
		return lowering, said
	}
	if low, said := steps(planOf(t, b)); low == 0 || said != low {
		t.Errorf("%d steps lower the cylinder, %d of them say that squish is not known", low, said)
	}
	b.Moves = []build.Move{{Move: build.MoveBaseCut, ByMM: length(1.5)}, {Move: build.MoveCrownCut, ByMM: length(0.2)}}
	b.Engine.RingBelowCrown = nil
	r := planOf(t, b)
	if low, said := steps(r); low != 1 || said != 1 {
		t.Errorf("what if: %d, %d", low, said)
	}
	if w := find(r, plan.WarnRingUnknown); w == nil || w.Step != 2 {
		t.Errorf("the ring: %+v", w)
	}
	b.Moves = []build.Move{{Move: build.MoveBaseGasket, ToMM: length(0.8)}}
	if w := find(planOf(t, b), plan.WarnSquishUnknown); w != nil {
		t.Errorf("a thicker gasket: %+v", w)
	}
	b.Bites = []build.Bite{{Move: build.Move{Move: build.MoveBaseCut, ByMM: length(0.3)}, Pass: "as received"}}
	if w := find(planOf(t, b), plan.WarnSquishUnknown); w == nil || w.Step != 0 {
		t.Errorf("lowered already: %+v", w)
	}
}

// without returns the readings of a pass but those of some windows.
func without(rs []build.Reading, names ...string) (out []build.Reading) {
	for _, r := range rs {
		if !strings.Contains(strings.Join(names, ","), r.Window) {
			out = append(out, r)
		}
	}
	return out
}

// A window that was never read is named, and one that was not read again since
// the gasket was changed stays so until it is.
func TestWhatWasNotReadIsNamed(t *testing.T) {
	b := cutFile(t, func(b *build.Build) {
		want(b, build.TargetTransferOpens, 118)
		b.Allowed.TransferRoof = &build.Room{}
		b.Passes[0].Readings = without(b.Passes[0].Readings, "transfer right")
	})
	w := find(planOf(t, b), plan.WarnUnread)
	if w == nil || !strings.Contains(w.Text, "transfer right") || strings.Contains(w.Text, "left") {
		t.Errorf("never read: %+v", w)
	}
	b = cutFile(t, func(b *build.Build) {
		want(b, build.TargetTransferOpens, 118)
		b.Allowed.TransferRoof = &build.Room{}
		b.Bites = []build.Bite{{Move: build.Move{Move: build.MoveBaseGasket, ToMM: length(0.3)}, Pass: "as received"}}
	})
	if r := planOf(t, b); find(r, plan.WarnUnread) != nil {
		t.Errorf("all read: %+v", r.Warnings)
	}
	again := b.Passes[0]
	again.Name, again.Readings = "lowered", without(again.Readings, "transfer right", "intake")
	b.Passes = append(b.Passes, again)
	r := planOf(t, b)
	w = find(r, plan.WarnNotRead)
	if w == nil || !strings.Contains(w.Text, "transfer right, intake") || strings.Contains(w.Text, "exhaust") {
		t.Errorf("half read again: %+v", w)
	}
	for _, x := range r.Windows {
		if x.Computed != (x.Name == "transfer right" || x.Name == "intake") {
			t.Errorf("%s computed: %v", x.Name, x.Computed)
		}
	}
	rest := b.Passes[0]
	rest.Name = "the rest"
	b.Passes = append(b.Passes, rest)
	if w := find(planOf(t, b), plan.WarnNotRead); w != nil {
		t.Errorf("all read again: %+v", w)
	}
}

// refused returns the field that is refused, "" when none is.
func refused(b *build.Build) (field, text string) {
	_, err := plan.Run(b, plan.Options{})
	var f *unit.InputError
	if errors.As(err, &f) {
		return f.Field, f.Error()
	}
	return "", ""
}

// Slipped units and decimals: a squish of 0.55 in is 13.97 mm, and squish is 0.25
// to 3 mm in engines of this kind; a stroke of 3.25 for 32.5 (common practice, no
// source). What can't be is refused: the exhaust opens at 22 mm, so its roof can't
// have been cut by 30; 0.2 in off the base is 5.08.
func TestSlippedUnits(t *testing.T) {
	for _, squish := range []float64{13.97, 20, 0.1} {
		b := cutFile(t, func(b *build.Build) {
			want(b, build.TargetSquish, squish)
			b.Allowed.BandCut, b.Allowed.BaseCut = &build.Room{}, &build.Room{}
		})
		if w := find(planOf(t, b), plan.WarnUnusual); w == nil || w.About != build.TargetSquish {
			t.Errorf("squish %v: %+v", squish, w)
		}
	}
	usual := cutFile(t, func(b *build.Build) { want(b, build.TargetSquish, 0.6); b.Allowed.BaseCut = &build.Room{} })
	if r := planOf(t, usual); find(r, plan.WarnUnusual) != nil || find(r, plan.WarnOdd) != nil {
		t.Errorf("usual: %+v", r.Warnings)
	}
	for what, change := range map[string]func(e *build.Engine){"stroke": func(e *build.Engine) { e.Stroke = length(3.25) }, "rod": func(e *build.Engine) { e.Rod = length(580) }} {
		b := cutFile(t, func(b *build.Build) {
			change(&b.Engine)
			want(b, build.TargetExhaustOpens, 101)
			b.Allowed.ExhaustRoof = &build.Room{}
		})
		if w := find(planOf(t, b), plan.WarnOdd); w == nil || !strings.Contains(w.Text, what) {
			t.Errorf("%s: %+v", what, w)
		}
	}
	for field, change := range map[string]func(b *build.Build){
		"targets.squish_mm": func(b *build.Build) { b.Targets.List[0].Value = *length(500) },
		"bites[0].by_mm": func(b *build.Build) {
			b.Bites = []build.Bite{{Move: build.Move{Move: build.MoveBaseCut, ByMM: &unit.Length{Value: 0.2, Unit: unit.Inch}}, Pass: "as received"}}
		},
		"bites[1].by_mm": func(b *build.Build) {
			b.Bites = []build.Bite{{Move: build.Move{Move: build.MoveBaseCut, ByMM: length(0.2)}, Pass: "as received"},
				{Move: build.Move{Move: build.MoveExhaustRoof, ByMM: length(30)}, Pass: "as received"}}
		},
		"moves_allowed.exhaust_roof_mm.maximum": func(b *build.Build) {
			b.Allowed.ExhaustRoof = &build.Room{Extra: build.Extra{"maximum": []byte("2")}}
		},
		"limits.exhaust_duration_max_deg": func(b *build.Build) { zero := 0.0; b.Limits.ExhaustDurationMax = &zero },
		"targets.intake_opens_deg": func(b *build.Build) {
			b.Engine.Intake, b.Targets.List = build.IntakeReed, nil
			want(b, build.TargetIntakeOpens, 285)
		},
	} {
		b := cutFile(t, func(b *build.Build) { want(b, build.TargetSquish, 0.6); change(b) })
		if got, text := refused(b); got != field {
			t.Errorf("%s: refused %q: %s", field, got, text)
		}
	}
}

// A roof raised by more than the 22.15 mm at which it opens lies above where the
// piston turns round, and one that opens 5 degrees after TDC, 0.08 mm down, has the
// ring, 2.5 to 3.7 mm down, standing in it.
func TestARoofWhereThePistonTurns(t *testing.T) {
	at := func(roof float64) *plan.Result {
		return planOf(t, cutFile(t, func(b *build.Build) {
			b.Moves = []build.Move{{Move: build.MoveExhaustRoof, ByMM: length(roof)}}
		}))
	}
	if w := find(at(25), plan.WarnPastDead); w == nil || w.Window != "exhaust" || w.Step != 1 {
		t.Errorf("past TDC: %+v", w)
	}
	if r := at(22); find(r, plan.WarnPastDead) != nil || find(r, plan.WarnRingInPort) == nil {
		t.Errorf("at TDC: %+v", r.Warnings)
	}
	if r := at(1); find(r, plan.WarnPastDead) != nil || find(r, plan.WarnRingInPort) != nil {
		t.Errorf("as usual: %+v", r.Warnings)
	}
}

// On a wheel of quarters 88 stands twice on the way down: at 88 degrees after TDC
// in the first quarter, and at 92 in the second. 98 reads 82 in the second, 262 reads
// 82 in the third.
func TestAWheelOfQuartersNamesThem(t *testing.T) {
	b := cutFile(t, func(b *build.Build) {
		b.Wheel.Numbering = build.Numbering90
		p := &b.Passes[0]
		p.Stops, p.Readings = nil, nil
		for _, r := range [...]struct {
			event string
			value float64
		}{{build.Opens, 80}, {build.Closes, 80}} { // 100 and 260
			p.Readings = append(p.Readings, build.Reading{Window: "exhaust", Event: r.event, Value: unit.Length{Value: r.value}})
		}
		want(b, build.TargetExhaustOpens, 98)
		b.Allowed.ExhaustRoof = &build.Room{}
	})
	r := planOf(t, b)
	if len(r.Moves) != 1 || len(r.Moves[0].WheelAfter) != 2 {
		t.Fatalf("%+v", r.Moves)
	}
	for i, quarter := range []int{2, 3} {
		if rd := r.Moves[0].WheelAfter[i]; math.Abs(*rd.ReadsDeg-82) > 0.01 || rd.Quarter != quarter {
			t.Errorf("%+v: %v, want 82 in quarter %d", rd, *rd.ReadsDeg, quarter)
		}
	}
}

// Depths from the cylinder's top do not change with its gasket.
func TestAGasketUnderDepths(t *testing.T) {
	b := cutFile(t, func(b *build.Build) {
		p := &b.Passes[0]
		p.Habit, p.Stops = build.HabitDepth, nil
		p.Readings = []build.Reading{{Window: "exhaust", Event: build.Opens, Value: unit.Length{Value: 22.2, Unit: unit.MM}}}
		want(b, build.TargetSquish, 0.775)
		b.Allowed.BaseGaskets = []unit.Length{*length(0.3)}
	})
	r := planOf(t, b)
	if len(r.Moves) != 1 || !strings.Contains(r.Moves[0].Text, "measure the deck") || strings.Contains(r.Moves[0].Text, "have moved") {
		t.Errorf("%+v", r.Moves)
	}
}
