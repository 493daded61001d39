package plan

import (
	"math"
	"slices"
	"strings"
	"testing"

	"portwright/engine/build"
)

// Both roofs of a pair are cut for a blowdown. Independent: 0.5 mm off a roof at
// 122 degrees make 119.69137, blowdown 19.69137 in place of 22.
func TestAPairIsCutTogether(t *testing.T) {
	for _, second := range []float64{122, 123} {
		bn := theBench()
		bn.transfers = []float64{122, second}
		b := withTarget(bn.file(), build.TargetBlowdown, 19.69137)
		b.Allowed.TransferRoof = &build.Room{}
		r := run(t, b)
		if r.Status != Solved || len(r.Moves) != 2 || math.Abs(*r.Moves[0].ByMM-0.5) > 1e-4 || math.Abs(*r.Moves[1].ByMM-0.5) > 1e-4 {
			t.Errorf("second at %v: %s %+v", second, r.Status, r.Moves)
		}
		if w := warned(r, WarnSides); w != nil {
			t.Errorf("second at %v: %s", second, w.Text)
		}
	}
	// A third transfer makes no pair of the first two; named left and right they are
	// one again.
	bn := theBench()
	bn.transfers = []float64{122, 123, 128}
	b := withTarget(bn.file(), build.TargetBlowdown, 19.69137)
	b.Allowed.TransferRoof = &build.Room{}
	if r := run(t, b); len(r.Moves) != 1 {
		t.Errorf("no pair: %+v", r.Moves)
	}
	for i, name := range []string{"front left", "front right"} {
		old := b.Windows[1+i].Name
		b.Windows[1+i].Name = name
		for k := range b.Passes[0].Readings {
			if b.Passes[0].Readings[k].Window == old {
				b.Passes[0].Readings[k].Window = name
			}
		}
	}
	if r := run(t, b); len(r.Moves) != 2 || math.Abs(*r.Moves[1].ByMM-0.5) > 1e-4 {
		t.Errorf("front left and right: %+v", r.Moves)
	}
}

// A pair that is cut for a blowdown of 19.69137 gets 0.5 mm off each roof. When one
// side had its bite, the other is still to get it, and at the end they are level.
func TestHalfOfAPairIsCut(t *testing.T) {
	bn := theBench()
	bn.transfers = []float64{122, 122}
	b := withTarget(bn.file(), build.TargetBlowdown, 19.69137)
	b.Allowed.TransferRoof = &build.Room{}
	bite := func(window string, amount float64) {
		m := by(build.MoveTransferRoof, amount)
		m.Window = window
		b.Bites = append(b.Bites, build.Bite{Move: m, Pass: "as received"})
	}
	check := func(what string, want ...float64) {
		t.Helper()
		r := run(t, b)
		if len(r.Moves) != len(want) || r.Status != Solved {
			t.Fatalf("%s: %s %+v", what, r.Status, r.Moves)
		}
		for i, m := range r.Moves {
			if math.Abs(*m.ByMM-want[i]) > 1e-4 || want[i] >= 0.4 && *m.U95MM > 0.4 {
				t.Errorf("%s: %s by %v +- %v, want %v", what, m.Window, *m.ByMM, *m.U95MM, want[i])
			}
		}
	}
	check("nothing yet", 0.5, 0.5)
	bite("transfer 1", 0.4)
	check("one side", 0.1, 0.5)
	bite("transfer 2", 0.45)
	check("both sides", 0.1, 0.05)
	// Levelling one side is no debt: the second opened 2 degrees later and was brought up.
	bn.transfers = []float64{122, 124}
	b = withTarget(bn.file(), build.TargetBlowdown, 19.69137)
	b.Allowed.TransferRoof = &build.Room{}
	level := problemOf(t, b)
	bite("transfer 2", level.now.x[2]-level.now.x[1])
	check("levelled", 0.5, 0.5)
	// Without room for the other side it can't be, and the rest still is planned.
	b = withTarget(bn.file(), build.TargetExhaustOpens, 98)
	b.Allowed.ExhaustRoof = &build.Room{}
	bite("transfer 1", 0.4)
	if r := run(t, b); r.Status != Solved || len(r.Moves) != 1 {
		t.Errorf("%s: %+v", r.Status, r.Moves)
	}
}

// One roof of a pair raised by itself is warned of at its window.
func TestOneOfAPairAlone(t *testing.T) {
	bn := theBench()
	bn.transfers = []float64{122, 122}
	b := bn.file()
	alone := by(build.MoveTransferRoof, 0.5)
	alone.Window = "transfer 2"
	w := warned(whatIf(t, b, alone), WarnSides)
	if w == nil || w.Window == "" || math.Abs(*w.Value-0.5) > 1e-6 || !strings.Contains(w.Text, "2.3 deg apart") {
		t.Errorf("%+v", w)
	}
	for _, moves := range [][]build.Move{{by(build.MoveTransferRoof, 0.5)}, {by(build.MoveBaseCut, 0.5)}} {
		if w := warned(whatIf(t, b, moves...), WarnSides); w != nil {
			t.Errorf("both alike: %s", w.Text)
		}
	}
}

// What no engine has is refused or asked about. Usual ranges are common practice,
// no source: exhaust open for 110 to 206 degrees, transfers for 80 to 150,
// blowdown 8 to 32; below 4 none is found.
func TestTargetsThatNoEngineHas(t *testing.T) {
	for key, values := range map[string][2][]float64{ // asked about, and not
		build.TargetExhaustOpens:     {{60, 76.9, 126}, {77.1, 100, 124.9}},
		build.TargetExhaustDuration:  {{109, 207}, {111, 160, 205}},
		build.TargetTransferOpens:    {{104.9, 141}, {105.1, 139.9}},
		build.TargetTransferDuration: {{79, 151}, {81, 149}},
		build.TargetIntakeOpens:      {{259, 316}, {261, 285, 314}},
		build.TargetBlowdown:         {{7.9, 33, 170}, {8.1, 20, 31}},
	} {
		for i, list := range values {
			for _, v := range list {
				r := run(t, withTarget(theBench().file(), key, v))
				if w := warned(r, WarnUnusual); (w == nil) != (i == 1) || w != nil && (w.About != key || w.Text == "") {
					t.Errorf("%s %v: %+v", key, v, w)
				}
			}
		}
	}
	rotary := withTarget(theBench().file(), build.TargetSquish, 0.9)
	rotary.Engine.Intake = build.IntakeReed
	if w := warned(run(t, rotary), WarnUnusual); w != nil {
		t.Errorf("%+v", w)
	}
	// Blowdown 22: with 4.5 mm off the transfer it is less than 4.
	r := whatIf(t, theBench().file(), by(build.MoveTransferRoof, 4.5))
	if w := warned(r, WarnBlowdown); w == nil || w.About != build.TargetBlowdown || !(*w.Value < 4) || w.Step != 1 {
		t.Errorf("%v: %+v", r.After[Blowdown], w)
	}
	if w := warned(whatIf(t, theBench().file(), by(build.MoveTransferRoof, 1)), WarnBlowdown); w != nil {
		t.Errorf("%+v", w)
	}
	for _, ts := range [][2]build.Target{{target(build.TargetExhaustOpens, 100), target(build.TargetTransferOpens, 100)},
		{target(build.TargetTransferDuration, 160), target(build.TargetExhaustDuration, 158)}, {target(build.TargetExhaustOpens, 102), target(build.TargetTransferDuration, 157)}} {
		b := theBench().file()
		b.Targets.List = ts[:]
		if _, err := Run(b, Options{}); err == nil || !strings.Contains(err.Error(), "after the exhaust") || !strings.Contains(err.Error(), "targets.transfer_") {
			t.Errorf("%v: %v", ts, err)
		}
	}
}

// No plan lets a transfer open before the exhaust, whatever is wanted: with the
// exhaust at 100 degrees the roof at 122 goes up by 27.766415 - 22.335056 mm at
// most (travels from the independent table of the moves).
func TestTheExhaustOpensFirst(t *testing.T) {
	b := withTarget(theBench().file(), build.TargetTransferOpens, 98)
	b.Allowed.TransferRoof = &build.Room{}
	r := run(t, b)
	if r.Status != Limited || len(r.Moves) != 1 || math.Abs(*r.Moves[0].ByMM-(27.766415-22.335056)) > 1e-5 || !slices.Equal(r.Binding, []string{exhaustFirst}) {
		t.Errorf("%s by %v: %+v", r.Status, r.Binding, r.Moves)
	}
	if w := warned(r, WarnBlowdown); w == nil {
		t.Errorf("a blowdown of %v is not warned of", r.After[Blowdown])
	}
	// What opens first already may go on so.
	bn := theBench()
	bn.boost = 99
	b = withTarget(bn.file(), build.TargetExhaustOpens, 98)
	b.Allowed.ExhaustRoof = &build.Room{}
	if r := run(t, b); r.Status != Solved {
		t.Errorf("with a boost window at 99: %s %s", r.Status, r.Text)
	}
}

func target(key string, v float64) build.Target {
	return withTarget(&build.Build{}, key, v).Targets.List[0]
}

// At 0.0693 mm, which is no more than its doubt (2 sqrt(3) 0.02), the crown may
// touch the head; that is warned of and never planned.
func TestContactAtItsBound(t *testing.T) {
	for cut, want := range map[float64]string{0.93: WarnSquish, 0.931: WarnContact, 0.97: WarnContact} {
		r := whatIf(t, theBench().file(), by(build.MoveBaseCut, cut))
		codes := []string{}
		for _, w := range r.Warnings {
			if w.Code == WarnSquish || w.Code == WarnContact {
				codes = append(codes, w.Code)
			}
		}
		if !slices.Equal(codes, []string{want}) {
			t.Errorf("squish %v: %v, want %v", 1-cut, codes, want)
		}
	}
	b := withTarget(theBench().file(), build.TargetSquish, 0.01)
	b.Allowed.BaseCut = &build.Room{}
	if r := run(t, b); warned(r, WarnContact) != nil || warned(r, WarnSquish) == nil || !slices.Equal(r.Binding, []string{"contact"}) {
		t.Errorf("%v %+v", r.Binding, r.Warnings)
	}
	b.Limits.SquishMin = mm(0.01) // a limit that is given does not lift it
	if r := run(t, b); !(r.After[SquishLeast] > 0.0693) || !slices.Equal(r.Binding, []string{"contact"}) {
		t.Errorf("squish comes to %v by %v", r.After[SquishLeast], r.Binding)
	}
}

// With the gasket out and the crown not yet cut the piston meets the head: the cut
// that gives it room is still planned, and without one it is impossible. Room is
// two standard uncertainties, each of 0.02 mm, of squish, the gasket that is in, a
// cut and another gasket, 0.08 mm, and a step of 0.01 from there; 0.1 is to be made up.
func TestAGasketThatIsOutBeforeTheCrownIsCut(t *testing.T) {
	b := withTarget(theBench().file(), build.TargetIntakeOpens, 282)
	b.Engine.BaseGasket, b.Engine.Squish[0] = mm(0.8), *mm(0.7)
	b.Bites = []build.Bite{{Move: build.Move{Move: build.MoveBaseGasket, ToMM: mm(0)}, Pass: "as received"}}
	b.Allowed.CrownCut = &build.Room{Max: mm(0.5)}
	r := run(t, b)
	if s := step(t, r, build.MoveCrownCut); math.Abs(*s.ByMM-0.19) > 1e-6 || warned(r, WarnContact) == nil {
		t.Errorf("%v off the crown: %+v", *s.ByMM, r.Warnings)
	}
	b.Allowed.CrownCut = nil
	if r = run(t, b); r.Status != Impossible || !slices.Equal(r.Binding, []string{contact}) || !slices.Contains(r.WouldHelp, "crown cut") || !strings.Contains(r.Text, "The crown against the head") {
		t.Errorf("%s by %v, would help %v: %s", r.Status, r.Binding, r.WouldHelp, r.Text)
	}
}
