package plan

import (
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"portwright/engine/build"
	"portwright/engine/port"
	"portwright/engine/unit"
)

// Each missed target has its own limits. Two that hold it at the same place only
// together are both named. Independent: the roof raised by 0.559023 mm opens at
// 98 degrees, open for 164 (testdata/cases/plan_blowdown.json).
func TestEachMissedTargetHasItsLimits(t *testing.T) {
	b := withTarget(withTarget(theBench().file(), build.TargetExhaustOpens, 96), build.TargetIntakeOpens, 280)
	b.Allowed.ExhaustRoof, b.Allowed.IntakeFloor = &build.Room{}, &build.Room{}
	b.Limits.ExhaustDurationMax, b.Limits.IntakeDurationMax = ptr(164), ptr(152)
	r := run(t, b)
	if len(r.Misses) != 2 || !slices.Equal(r.Misses[0].Binding, []string{"exhaust_duration_max_deg"}) || !slices.Equal(r.Misses[1].Binding, []string{"intake_duration_max_deg"}) {
		t.Errorf("%+v", r.Misses)
	}
	if !slices.Equal(r.Binding, []string{"exhaust_duration_max_deg", "intake_duration_max_deg"}) {
		t.Errorf("in all: %v", r.Binding)
	}
	b = withTarget(theBench().file(), build.TargetExhaustOpens, 96)
	b.Allowed.ExhaustRoof, b.Limits.ExhaustDurationMax = &build.Room{Max: mm(0.559023)}, ptr(164)
	if r = run(t, b); r.Status != Limited || !slices.Equal(r.Misses[0].Binding, []string{"exhaust_duration_max_deg", "exhaust_roof_mm"}) {
		t.Errorf("only together: %+v", r.Misses)
	}
	b.Limits.ExhaustDurationMax = ptr(166)
	if r = run(t, b); !slices.Equal(r.Misses[0].Binding, []string{"exhaust_roof_mm"}) {
		t.Errorf("the room alone: %+v", r.Misses)
	}
}

// A gasket that a limit keeps out is the limit's doing, though with the gasket
// that stays in nothing comes near the limit.
func TestALimitThatKeepsAGasketOut(t *testing.T) {
	b := withTarget(theBench().file(), build.TargetSquish, 0.5)
	b.Allowed.BaseGaskets, b.Limits.SquishMin = []unit.Length{*mm(0)}, mm(0.6)
	r := run(t, b)
	if r.Status != Limited || !slices.Contains(r.Misses[0].Binding, "squish_min_mm") {
		t.Errorf("%s %+v", r.Status, r.Misses)
	}
}

// Limits that are crossed each by itself are all named. Both want the cylinder
// higher: no roof is cut before. What can still be done where nothing lifts is: the
// exhaust by its roof while the transfers are open too long.
func TestWhatIsLeftWhenLimitsAreCrossed(t *testing.T) {
	b := withTarget(theBench().file(), build.TargetExhaustOpens, 98)
	b.Limits.SquishMin, b.Limits.IntakeDurationMax = mm(1.2), ptr(145)
	b.Allowed.ExhaustRoof = &build.Room{}
	r := run(t, b)
	if r.Status != Impossible || !slices.Equal(r.Binding, []string{"squish_min_mm", "intake_duration_max_deg"}) || strings.Count(r.Text, "is crossed as it is") != 2 {
		t.Errorf("%s %v: %s", r.Status, r.Binding, r.Text)
	}
	if len(r.Moves) != 0 || !strings.Contains(r.Text, "First bring back the squish") || len(r.Missed) != 1 {
		t.Errorf("%+v, missed %v: %s", r.Moves, r.Missed, r.Text)
	}
	b.Limits = build.Limits{TransferDurationMax: ptr(110)}
	r = run(t, b)
	if r.Status != Impossible || len(r.Moves) != 1 || math.Abs(*r.Moves[0].ByMM-0.559023) > 1e-5 || len(r.Missed) != 0 {
		t.Errorf("%s %+v, missed %v", r.Status, r.Moves, r.Missed)
	}
	b.Limits = build.Limits{SquishMin: mm(1.2)}
	// Nothing is cut that would cross one further, and what would help is said.
	b.Allowed = build.Allowed{BaseCut: &build.Room{}}
	b.Targets.List, b.Limits.IntakeDurationMax = nil, nil
	withTarget(b, build.TargetSquish, 0.8)
	r = run(t, b)
	if r.Status != Impossible || !slices.Equal(r.Binding, []string{"squish_min_mm", noMetalBack}) || len(r.Moves) != 0 || !slices.Contains(r.WouldHelp, "squish band cut") || r.Text == "" {
		t.Errorf("%s %v, would help %v, moves %+v: %s", r.Status, r.Binding, r.WouldHelp, r.Moves, r.Text)
	}
}

// Of lists that come as near the one with the least metal counts: a trapped ratio
// of 8 where at most 7.5 is allowed. By the base alone, (x + d)/(V/A - d) = 6.5:
//
//	d = (6.5 V/A - x)/7.5
//
// with x = 22.335056 mm at 100 degrees (independent), V 6.5 cm3, bore 48.
func TestNoMoreMetalThanComesNearer(t *testing.T) {
	b := withTarget(theBench().file(), build.TargetTrappedRatio, 8)
	b.Engine.ChamberCC, b.Limits.TrappedRatioMax = ptr(6.5), ptr(7.5)
	b.Allowed.BaseCut, b.Allowed.ExhaustRoof = &build.Room{Max: mm(0.8)}, &build.Room{}
	want := (6.5*6500/(math.Pi*48*48/4) - 22.335056) / 7.5
	r := run(t, b)
	if len(r.Moves) != 1 || r.Moves[0].Move != build.MoveBaseCut || math.Abs(*r.Moves[0].ByMM-want) > 1e-5 || !slices.Equal(r.Binding, []string{"trapped_ratio_max"}) {
		t.Errorf("%+v by %v, want a base cut of %v", r.Moves, r.Binding, want)
	}
}

// No list that is drawn does better: limits are set so that it just holds them,
// which puts it where lists that miss alike part by their metal.
func TestNoWitnessIsBetter(t *testing.T) {
	compared := 0
	rapid.Check(t, func(t *rapid.T) {
		b := anyProblem(t)
		p := problemOf(t, b)
		gasket := rapid.SampledFrom(p.gaskets).Draw(t, "gasket")
		start := p.now.clone()
		p.apply(&start, build.MoveBaseGasket, -1, gasket)
		m, metal := make([]float64, len(p.vars)), 0.0
		for j := range p.vars {
			if v := &p.vars[j]; v.allowed && rapid.Bool().Draw(t, "used") {
				m[j] = rapid.Float64Range(0, math.Min(v.most, 2)).Draw(t, v.move)
				metal += m[j]
			}
		}
		end := p.with(&start, m)
		n := p.numbers(&end)
		const room = 1e-5 // more than numbers are rounded by
		set := func(to **float64, v float64) {
			if *to != nil && !math.IsNaN(v) {
				*to = ptr(v + room)
			}
		}
		if l := &b.Limits; l.SquishMin != nil && end.least > room {
			l.SquishMin = mm(end.least - room)
		}
		set(&b.Limits.ExhaustDurationMax, n[ExhaustDuration])
		set(&b.Limits.TransferDurationMax, n[TransferDuration])
		set(&b.Limits.IntakeDurationMax, n[IntakeDuration])
		set(&b.Limits.BlowdownMin, n[Blowdown]-2*room)
		set(&b.Limits.GeometricRatioMax, n[GeometricRatio])
		set(&b.Limits.TrappedRatioMax, n[TrappedRatio])
		p = problemOf(t, b)
		if p.crossed(&end) > 0 {
			return
		}
		o := p.best()
		if !o.ok {
			t.Fatalf("called impossible, but %v at gasket %v holds every limit", m, gasket)
		}
		compared++
		const near = 1e-5
		for i, miss := range p.misses(&end) {
			switch {
			case o.miss[i] > miss+2*missed:
				t.Fatalf("%s is missed by %v mm with %v at gasket %v; %v at %v misses it by %v", p.wanted[i].key, o.miss[i], o.m, o.gasket, m, gasket, miss)
			case o.miss[i] < miss-near:
				return
			}
		}
		if o.metal > metal+2e-3 {
			t.Fatalf("%v mm of metal with %v at gasket %v; %v at %v comes as near with %v", o.metal, o.m, o.gasket, m, gasket, metal)
		}
	})
	t.Logf("%d compared", compared)
	if !testing.Short() && compared < 20 {
		t.Errorf("only %d compared", compared)
	}
}

// On a grid of all rooms: what comes nearer to a missed target and crosses one
// limit alone crosses one that is named; and no point holds all of what is said
// to contradict.
func TestTheGridKnowsWhatBinds(t *testing.T) {
	bound, impossible := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		p := problemOf(t, anyProblem(t))
		o := p.best()
		cross := func(end *state) (keys []string) {
			for _, l := range p.limits(end) {
				if l.f(end) > 1e-6 && !slices.Contains(keys, l.name) {
					keys = append(keys, l.name)
				}
			}
			return keys
		}
		if !o.ok {
			impossible++
			sets, _ := p.contradictions()
			p.grid(func(start *state, m []float64, end *state) {
				crossed := cross(end)
				for _, set := range sets {
					if !slices.ContainsFunc(set, func(k string) bool { return slices.Contains(crossed, k) }) {
						t.Fatalf("%v at gasket %v crosses none of %v", m, start.gasket, set)
					}
				}
			})
			return
		}
		for i := range o.miss {
			if o.miss[i] <= missed {
				continue
			}
			bound++
			binds, _ := p.binding(&o, i)
			p.grid(func(start *state, m []float64, end *state) {
				crossed := cross(end)
				if len(crossed) != 1 || slices.Contains(binds, crossed[0]) {
					return
				}
				misses := p.misses(end)
				for k := range i {
					if misses[k] > o.miss[k]+1e-9 {
						return
					}
				}
				if misses[i] < o.miss[i]-2*missed {
					t.Fatalf("%s is missed by %v; %v at gasket %v crosses %v alone and misses it by %v, but %v is named", p.wanted[i].key, o.miss[i], m, start.gasket, crossed, misses[i], binds)
				}
			})
			break
		}
	})
	t.Logf("%d missed, %d impossible", bound, impossible)
}

// The travel for a duration gives that duration back, with any offset.
func TestTravelForADuration(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		stroke := rapid.Float64Range(20, 80).Draw(t, "stroke")
		g, err := port.Known(stroke, stroke*rapid.Float64Range(1.4, 2.3).Draw(t, "rod"), stroke*rapid.Float64Range(-0.1, 0.1).Draw(t, "offset"), 0, 0, 0)
		if err != nil {
			t.Fatal(err)
		}
		want, skirt := rapid.Float64Range(1, 359).Draw(t, "duration"), rapid.Bool().Draw(t, "skirt")
		down, up, err := g.Angles(travelFor(&g, want, skirt))
		got := deg(up - down)
		if skirt {
			got = 360 - got
		}
		if err != nil || math.Abs(got-want) > 1e-7 {
			t.Fatalf("open for %v, want %v: %v", got, want, err)
		}
	})
}

// What was cut to its limit, as it was planned, crosses nothing: there is nothing
// left to cut, and the limit keeps the target where it is.
func TestCutToItsLimit(t *testing.T) {
	b := withTarget(theBench().file(), build.TargetExhaustOpens, 96)
	b.Allowed.ExhaustRoof, b.Limits.ExhaustDurationMax = &build.Room{}, ptr(162)
	m := run(t, b).Moves[0]
	b.Bites = []build.Bite{{Move: build.Move{Move: m.Move, Window: m.Window, ByMM: mm(*m.ByMM)}, Pass: "as received"}}
	if r := run(t, b); r.Status != Limited || len(r.Moves) != 0 || !slices.Equal(r.Binding, []string{"exhaust_duration_max_deg"}) {
		t.Errorf("%s by %v: %+v", r.Status, r.Binding, r.Moves)
	}
}
