package plan_test

import (
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
