package plan

import (
	"encoding/json"
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"

	"portwright/engine/build"
	"portwright/engine/build/anybuild"
	"portwright/engine/unit"
)

// Whatever stands in a file that passes the checks, the answer is a plan or an
// error by field; numbers in it are finite.
func TestAnyFileIsAnswered(t *testing.T) {
	answered := 0
	rapid.Check(t, func(t *rapid.T) {
		b := anyProblem(t)
		mutate(t, b)
		if build.Check(b) != nil || build.CheckPlan(b) != nil {
			return
		}
		r, err := Run(b, Options{Pass: rapid.IntRange(0, 2).Draw(t, "pass")})
		if err != nil {
			var in *unit.InputError
			if !errors.As(err, &in) {
				t.Fatalf("no error by field: %v", err)
			}
			return
		}
		answered++
		if _, err := json.Marshal(r); err != nil {
			t.Fatal(err)
		}
		for _, s := range r.Moves {
			if s.FirstBiteMM != nil && (*s.FirstBiteMM < 0 || *s.FirstBiteMM > *s.ByMM+1e-9) {
				t.Fatalf("first bite %v of %v", *s.FirstBiteMM, *s.ByMM)
			}
		}
	})
	t.Logf("%d plans", answered)
	if !testing.Short() && answered < 10 {
		t.Errorf("only %d plans", answered)
	}
}

// mutate takes things away and sets others to what is only just possible.
func mutate(t *rapid.T, b *build.Build) {
	length := func(name string) *unit.Length {
		return rapid.SampledFrom([]*unit.Length{nil, mm(0.01), mm(0.5), mm(3), mm(40), mm(1999), {Value: 1, Unit: unit.Inch}}).Draw(t, name)
	}
	number := func(name string) *float64 {
		return rapid.SampledFrom([]*float64{nil, ptr(0), ptr(0.001), ptr(5), ptr(359)}).Draw(t, name)
	}
	for range rapid.IntRange(1, 5).Draw(t, "changes") {
		e, w := &b.Engine, &b.Windows[rapid.IntRange(0, len(b.Windows)-1).Draw(t, "window")]
		switch rapid.IntRange(0, 18).Draw(t, "change") {
		case 0:
			e.Bore = length("bore")
		case 1:
			e.Rod = length("rod")
		case 2:
			e.PinOffset = rapid.SampledFrom([]*unit.Length{mm(1), mm(-2), mm(4)}).Draw(t, "offset")
		case 3:
			e.Squish = nil
		case 4:
			e.ChamberCC = number("chamber")
		case 5:
			e.SquishBandWidth = length("band")
		case 6:
			e.BaseGasket = length("gasket")
		case 7:
			e.SpeedRPM, e.CrankcaseCC = ptr(9000), number("case")
		case 8:
			w.Chord, w.Height, w.CornerTop, w.Arch = length("chord"), length("height"), length("corner"), length("arch")
		case 9:
			w.Bridges, w.Bridge, w.Count = 2, length("bridge"), 3
		case 10:
			e.Intake = rapid.SampledFrom([]string{build.IntakeReed, build.IntakeRotaryValve, build.IntakeNone}).Draw(t, "intake")
		case 11:
			e.SkirtExhaust, e.SkirtIntake, e.RingBelowCrown, e.CrownBelowDeck = length("skirt"), length("skirt"), length("ring"), length("deck")
		case 12:
			b.Passes[0].Readings = b.Passes[0].Readings[:rapid.IntRange(0, len(b.Passes[0].Readings)).Draw(t, "readings")]
		case 13:
			b.Passes[0].Stops = nil
		case 14:
			key := rapid.SampledFrom(build.TargetKeys()).Draw(t, "target")
			v := map[bool]float64{true: 0.001, false: 179.9}[rapid.Bool().Draw(t, "small")]
			b.Targets.List = []build.Target{{Key: key, Value: unit.Length{Value: v}}, {Key: key, Value: unit.Length{Value: 200}}}
		case 15:
			move := rapid.SampledFrom(build.MoveNames()).Draw(t, "move")
			b.Moves = append(b.Moves, build.Move{Move: move, ByMM: length("by"), ToMM: length("to"), ToMM2: number("to2")})
		case 16:
			move := rapid.SampledFrom(build.MoveNames()).Draw(t, "bite")
			b.Bites = append(b.Bites, build.Bite{Move: build.Move{Move: move, ByMM: length("by"), ToMM: length("to"), ToMM2: number("to2")}})
		case 17:
			b.Limits = build.Limits{SquishMin: length("least"), ExhaustDurationMax: number("exhaust"), TransferDurationMax: number("transfer"), IntakeDurationMax: number("intake"),
				BlowdownMin: number("blowdown"), GeometricRatioMax: number("geometric"), TrappedRatioMax: number("trapped"), SealLandMin: length("land")}
		case 18:
			b.Passes[0].Habit = rapid.SampledFrom([]string{build.HabitDepth, build.HabitOpenZero}).Draw(t, "habit")
			for i := range b.Passes[0].Readings {
				if r := &b.Passes[0].Readings[i]; b.Passes[0].Habit == build.HabitDepth {
					r.Value.Value = math.Mod(r.Value.Value, 45)
				} else {
					r.Event, r.Value.Value = build.Closes, 150
				}
			}
		}
	}
}

// Builds that are drawn without sense are refused or answered, never a fault.
func TestSenselessBuilds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := anybuild.Draw(t)
		if build.Check(b) != nil {
			return
		}
		if r, err := Run(b, Options{}); err == nil {
			if _, err := json.Marshal(r); err != nil {
				t.Fatal(err)
			}
		}
	})
}
