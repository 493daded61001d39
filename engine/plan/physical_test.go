package plan

import (
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"portwright/engine/build"
	"portwright/engine/unit"
)

// A crown cut moves exhaust and transfers alike, and blowdown then has a least:
// travel at 100 and 122 degrees less c, turned back into degrees by bisection of
// the slider-crank, x = r (1 - cos a) + L - sqrt(L^2 - (r sin a)^2).
func TestBlowdownIsNotWalkedPastItsLeast(t *testing.T) {
	travel := func(a float64) float64 {
		r, l, a := 17.0, 60.0, a*math.Pi/180
		return r*(1-math.Cos(a)) + l - math.Sqrt(l*l-r*math.Sin(a)*r*math.Sin(a))
	}
	angle := func(x float64) float64 {
		low, high := 0.0, 180.0
		for range 60 {
			if mid := (low + high) / 2; travel(mid) < x {
				low = mid
			} else {
				high = mid
			}
		}
		return low
	}
	blowdown := func(c float64) float64 { return angle(travel(122)-c) - angle(travel(100)-c) }
	least := math.Inf(1)
	for c := 0.0; c < 20; c += 0.01 {
		least = math.Min(least, blowdown(c))
	}
	rapid.Check(t, func(t *rapid.T) {
		want := rapid.Float64Range(5, 21.9).Draw(t, "want")
		b := withTarget(theBench().file(), build.TargetBlowdown, want)
		b.Allowed.CrownCut = &build.Room{}
		p, most := problemOf(t, b), rapid.Float64Range(0, 30).Draw(t, "most")
		for j := range p.vars {
			if v := &p.vars[j]; v.move == build.MoveCrownCut {
				v.most = most // also where no crown is so thick
			}
		}
		o := p.best()
		if !o.ok {
			t.Fatal("impossible")
		}
		cut := slices.Max(o.m)
		got, nearest := math.Abs(blowdown(cut)-want), math.Inf(1)
		for c := 0.0; c <= math.Min(most, 20); c += 0.01 {
			nearest = math.Min(nearest, math.Abs(blowdown(c)-want))
		}
		if got > nearest+1e-3 {
			t.Fatalf("%v mm of crown leave %v deg; %v is possible, %v the least of all", cut, got, nearest, least)
		}
		if b, ok := p.blowdown(&o.end); !ok || math.Abs(b-blowdown(cut)) > 1e-6 {
			t.Fatalf("blowdown comes to %v, %v; %v is right", b, ok, blowdown(cut))
		}
	})
}

// Without a bound no more is cut than there is: a crown is some millimetres thick
// (common practice, no source), and a roof stays below the crown and its ring.
func TestNoMoreIsCutThanThereIs(t *testing.T) {
	b := withTarget(theBench().file(), build.TargetBlowdown, 12)
	b.Allowed.CrownCut = &build.Room{}
	r := run(t, b)
	if r.Status != Limited || len(r.Moves) != 1 || *r.Moves[0].ByMM > 4 || !slices.Equal(r.Binding, []string{metalThere}) || r.Moves[0].BoundMM != nil {
		t.Errorf("%s %+v by %v", r.Status, r.Moves, r.Binding)
	}
	b.Allowed.CrownCut = &build.Room{Max: mm(20)}
	if r = run(t, b); *r.Moves[0].ByMM > 4 {
		t.Errorf("%v mm off a crown", *r.Moves[0].ByMM)
	}
	b = withTarget(theBench().file(), build.TargetExhaustOpens, 5)
	b.Engine.RingBelowCrown = mm(2.5)
	b.Allowed.ExhaustRoof = &build.Room{}
	r = run(t, b)
	if r.Status != Limited || !slices.Equal(r.Binding, []string{portCloses}) {
		t.Errorf("%s %v", r.Status, r.Binding)
	}
	if x := r.Windows[0].After.TravelMM; x == nil || *x < 2.5-1e-6 {
		t.Errorf("the roof comes to %v below the crown, the ring is at 2.5", x)
	}
}

// The first transfer is what the target is about, and what is reported: another
// that opens later does not keep it. Travel at 125 less travel at 122 of the check
// engine is the cut: x = r (1 - cos a) + L - sqrt(L^2 - (r sin a)^2).
func TestALaterTransferDoesNotKeepTheFirst(t *testing.T) {
	bn := theBench()
	bn.transfers = []float64{122, 124.5}
	b := withTarget(bn.file(), build.TargetTransferOpens, 125)
	b.Allowed.BaseCut = &build.Room{}
	x := func(a float64) float64 {
		s, c := math.Sincos(a * math.Pi / 180)
		return 17*(1-c) + 60 - math.Sqrt(60*60-17*s*17*s)
	}
	r := run(t, b)
	if want := x(125) - x(122); r.Status != Solved || len(r.Moves) != 1 || math.Abs(*r.Moves[0].ByMM-want) > 1e-5 {
		t.Errorf("%s %+v, want %v", r.Status, r.Moves, want)
	}
	if !strings.Contains(r.Text, "Not all transfers") {
		t.Error(r.Text)
	}
	// Where it can be, the other is brought to it.
	b.Allowed.TransferRoof = &build.Room{}
	r = run(t, b)
	for _, w := range r.Windows {
		if o := w.After.OpensDeg; w.Kind == build.KindTransfer && math.Abs(*o-125) > 1e-4 {
			t.Errorf("%s opens at %v", w.Name, *o)
		}
	}
}

// Where limits are crossed that nothing puts right, a gasket comes before metal.
func TestAGasketComesBeforeMetal(t *testing.T) {
	b := withTarget(theBench().file(), build.TargetSquish, 0.8)
	b.Allowed.BaseCut, b.Allowed.BaseGaskets = &build.Room{Max: mm(0.3)}, []unit.Length{*mm(0), *mm(0.3)}
	b.Limits.ExhaustDurationMax = ptr(150) // it is 160
	r := run(t, b)
	if r.Status != Impossible || len(r.Moves) != 1 || r.Moves[0].ToMM == nil || *r.Moves[0].ToMM != 0.3 || len(r.Missed) != 0 {
		t.Errorf("%s %+v, missed %v", r.Status, r.Moves, r.Missed)
	}
	// One that only crosses less counts too, where the target is no worse by it.
	b.Targets.List = nil
	withTarget(b, build.TargetExhaustOpens, 97)
	b.Allowed.ExhaustRoof, b.Allowed.BaseCut = &build.Room{}, nil
	b.Limits = build.Limits{TransferDurationMax: ptr(100)} // it is 116
	r = run(t, b)
	if r.Status != Impossible || len(r.Moves) != 2 || r.Moves[0].ToMM == nil || *r.Moves[0].ToMM != 0 || len(r.Missed) != 0 {
		t.Errorf("%s %+v, missed %v", r.Status, r.Moves, r.Missed)
	}
}

// No roof is cut while the crown touches the head: only what clears it.
func TestNoRoofBeforeTheHeadClears(t *testing.T) {
	for _, limit := range []*unit.Length{nil, mm(0.45)} {
		b := withTarget(theBench().file(), build.TargetExhaustOpens, 98)
		b.Engine.Squish = []unit.Length{*mm(0.03)}
		b.Limits.SquishMin = limit
		b.Allowed.ExhaustRoof, b.Allowed.BaseGaskets = &build.Room{}, []unit.Length{*mm(0), *mm(0.3)}
		r := run(t, b)
		if r.Status != Impossible || len(r.Moves) != 0 || !strings.Contains(r.Text, "First bring back the squish") || !strings.Contains(r.Text, "plan again") {
			t.Errorf("%s %+v: %s", r.Status, r.Moves, r.Text)
		}
		b.Allowed.BaseGaskets = append(b.Allowed.BaseGaskets, *mm(0.52)) // nearer, and not enough
		b.Limits.SquishMin = mm(0.45)
		r = run(t, b)
		if r.Status != Impossible || len(r.Moves) != 1 || *r.Moves[0].ToMM != 0.52 {
			t.Errorf("%s %+v: %s", r.Status, r.Moves, r.Text)
		}
		b.Allowed.BaseGaskets = append(b.Allowed.BaseGaskets, *mm(1)) // clears it
		r = run(t, b)
		if r.Status != Solved || len(r.Moves) != 2 || *r.Moves[0].ToMM != 1 {
			t.Errorf("%s %+v: %s", r.Status, r.Moves, r.Text)
		}
	}
}

// Where limits are crossed for good, no list on a grid of all rooms and gaskets
// that crosses nothing further does better, and no gasket alone comes as near and
// crosses less: no metal is spent on that.
func TestNothingOnAGridIsBetterWhereLimitsAreCrossed(t *testing.T) {
	crossed, lifted := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		b := anyProblem(t)
		b.Allowed.BaseGaskets = []unit.Length{*mm(0), *mm(0.4), *mm(1)}
		b.Limits.TransferDurationMax = ptr(2*(180-170) + rapid.Float64Range(0, 60).Draw(t, "transfer"))
		p := problemOf(t, b)
		if o := p.best(); o.ok {
			return
		}
		q, lifts := p.partial()
		o := q.best()
		if !o.ok {
			return
		}
		crossed++
		now := p.limits(&p.now)
		over := func(end *state) (sum float64, further bool) {
			for i, l := range p.limits(end) {
				if v := l.f(end); v > math.Max(0, now[i].f(&p.now))+1e-6 {
					return 0, true
				} else if l.name != sideToSide {
					sum += math.Max(0, v)
				}
			}
			return sum, false
		}
		if _, further := over(&o.end); further {
			t.Fatalf("%v at gasket %v crosses a limit further", o.m, o.gasket)
		}
		if len(lifts) > 0 {
			lifted++
			for j, v := range o.m {
				if v > 0 && p.vars[j].move != build.MoveBandCut && p.vars[j].move != build.MoveCrownCut {
					t.Fatalf("%s of %v while %v is crossed", p.vars[j].move, v, lifts)
				}
			}
			for _, g := range p.gaskets {
				alone := p.now.clone()
				p.apply(&alone, build.MoveBaseGasket, -1, g)
				if sum, further := over(&alone); !further && len(q.hard) == 0 && sum < o.over-2*missed {
					t.Fatalf("gasket %v crosses %v, more than %v, which crosses %v", o.gasket, o.over, g, sum)
				}
			}
			return
		}
		p.grid(func(start *state, m []float64, end *state) {
			sum, further := over(end)
			// What a gasket puts right is not crossed again by cuts.
			for i, l := range p.limits(end) {
				further = further || l.f(end) > math.Max(0, math.Min(now[i].f(&p.now), p.limits(start)[i].f(start)))+1e-9
			}
			if further {
				return
			}
			for i, miss := range p.misses(end) {
				switch {
				case miss < o.miss[i]-2*missed:
					t.Fatalf("%s: missed by %v mm with %v (gasket %v); %v with gasket %v misses it by %v", p.wanted[i].key, o.miss[i], o.m, o.gasket, m, start.gasket, miss)
				case miss > o.miss[i]+1e-9:
					return
				}
			}
			if metal := sumOf(m); metal == 0 && sum < o.over-2*missed || sum < o.over+1e-9 && metal < o.metal-2e-3 {
				t.Fatalf("%v (gasket %v) crosses %v, %v of metal; %v with gasket %v %v, %v", o.m, o.gasket, o.over, o.metal, m, start.gasket, sum, metal)
			}
		})
	})
	t.Logf("%d crossed, %d of them lifted", crossed, lifted)
	if !testing.Short() && (crossed-lifted < 2 || lifted < 1) {
		t.Errorf("too few: %d crossed, %d lifted", crossed, lifted)
	}
}

func sumOf(m []float64) (sum float64) {
	for _, v := range m {
		sum += v
	}
	return sum
}

// What is named as keeping a target away does so: without it, or without all of it
// where none does alone, the number that is reported comes nearer. A target that is
// missed always has its reason.
func TestWhatIsNamedKeepsTheTargetAway(t *testing.T) {
	named := 0
	rapid.Check(t, func(t *rapid.T) {
		b := anyProblem(t)
		p := problemOf(t, b)
		o := p.best()
		if !o.ok {
			return
		}
		for i, w := range p.wanted {
			if o.miss[i] <= missed || w.others {
				continue
			}
			off := func(o *outcome) float64 { n := p.numbers(&o.end); return math.Abs(n.Value(w.key) - w.value) }
			nearer := func(keys ...string) bool { n := p.without(keys...).best(); return n.ok && off(&n) < off(&o) }
			binds, help := p.binding(&o, i)
			alone := !slices.ContainsFunc(binds, func(key string) bool { return !nearer(key) })
			if len(binds) > 0 && !alone && !nearer(binds...) {
				t.Fatalf("%s is %v off with %v at gasket %v; without %v it is no nearer", w.key, off(&o), o.m, o.gasket, binds)
			}
			if text := limitedBy(binds, help); !strings.Contains(text, "kept there by") && !strings.Contains(text, "brings it nearer") && !strings.Contains(text, "would bring it nearer") {
				t.Fatalf("%s: no reason: %q", w.key, text)
			}
			named++
		}
	})
	if !testing.Short() && named < 10 {
		t.Errorf("only %d missed", named)
	}
}
