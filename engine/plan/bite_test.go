package plan

import (
	"math"
	"math/rand"
	"slices"
	"strings"
	"testing"

	"portwright/engine/build"
	"portwright/engine/crank"
	"portwright/engine/unit"
)

func run(t *testing.T, b *build.Build) *Result {
	t.Helper()
	r, err := Run(b, Options{})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func step(t *testing.T, r *Result, move string) *Step {
	t.Helper()
	for i := range r.Moves {
		if r.Moves[i].Move == move {
			return &r.Moves[i]
		}
	}
	t.Fatalf("no %s in %+v", move, r.Moves)
	return nil
}

func warned(r *Result, code string) *Warning {
	for i := range r.Warnings {
		if r.Warnings[i].Code == code {
			return &r.Warnings[i]
		}
	}
	return nil
}

// An engine whose rod was not measured gets a shorter first bite, says why, and
// what would help.
func TestRodUnknownMakesTheBiteShorter(t *testing.T) {
	s := simulate(t, rand.New(rand.NewSource(3)), 0.1)
	s.rod = 1.9 * s.stroke // the middle of what is possible
	known := s.file()
	withTarget(known, build.TargetExhaustOpens, s.exhaust-8)
	known.Allowed.ExhaustRoof.Step = mm(0.001)
	unknown := *known
	unknown.Engine.Rod = nil
	a, b := run(t, known), run(t, &unknown)
	x, y := step(t, a, build.MoveExhaustRoof), step(t, b, build.MoveExhaustRoof)
	if !(*y.U95MM > *x.U95MM) || !(*y.FirstBiteMM < *x.FirstBiteMM) {
		t.Errorf("rod known: +- %v, bite %v; unknown: +- %v, bite %v", *x.U95MM, *x.FirstBiteMM, *y.U95MM, *y.FirstBiteMM)
	}
	if warned(a, WarnRodUnknown) != nil || warned(b, WarnRodUnknown) == nil {
		t.Errorf("known: %+v; unknown: %+v", a.Warnings, b.Warnings)
	}
	// Depths in mm make the rod count in full: then it is what would help most.
	unknown.Passes = []build.Pass{{Name: "by depth", Habit: build.HabitDepth}}
	for range 6 {
		unknown.Passes[0].Readings = append(unknown.Passes[0].Readings, build.Reading{Window: "exhaust", Event: build.Opens, Value: unit.Length{Value: 22.3}})
	}
	unknown.Engine.CrownBelowDeck = mm(0)
	unknown.Targets.List = nil
	withTarget(&unknown, build.TargetExhaustOpens, 96)
	if c := step(t, run(t, &unknown), build.MoveExhaustRoof); c.Help != HelpRod {
		t.Errorf("help %q: %s", c.Help, c.Text)
	}
}

// The uncertainty of a depth against the law of propagation by hand: the mean of
// opening and closing, times the slope of the travel, and the stroke's share
// that does not cancel.
func TestDepthUncertaintyByHand(t *testing.T) {
	b := withTarget(theBench().file(), build.TargetExhaustOpens, 96)
	b.Passes[0].Readings = nil
	for _, v := range []float64{100, 100.5, 99.5} {
		b.Passes[0].Readings = append(b.Passes[0].Readings, build.Reading{Window: "exhaust", Event: build.Opens, Value: unit.Length{Value: v}},
			build.Reading{Window: "exhaust", Event: build.Closes, Value: unit.Length{Value: 360 - v}})
	}
	b.Allowed.ExhaustRoof = &build.Room{}
	p := problemOf(t, b)
	o := p.best()
	e := p.depths(&o)[p.varOf(build.MoveExhaustRoof)]
	u, _, err := e.U()
	if err != nil {
		t.Fatal(err)
	}
	sd := p.measured.Scatter.SD
	slope := p.geo.TravelRate(unit.Rad(100)) * math.Pi / 180 // mm per deg
	event := math.Sqrt(sd*sd/3 + 0.25/12)
	// Stroke and rod: how the difference of two travels changes with each.
	diff := func(ds, dl float64) float64 {
		g, ok := geometryWith(p.geo, "stroke", ds)
		if !ok {
			t.Fatal("no mechanism")
		}
		g, _ = geometryWith(g, "rod", dl)
		return g.Travel(unit.Rad(100)) - g.Travel(unit.Rad(96))
	}
	stroke, rod := (diff(0.02, 0)-diff(-0.02, 0))/2, (diff(0, 0.1)-diff(0, -0.1))/2
	want := math.Sqrt(slope*slope*event*event/2 + stroke*stroke + rod*rod + 0.02*0.02) // the cut's own
	if math.Abs(u-want) > 0.01*want {
		t.Errorf("u = %v, by hand %v", u, want)
	}
}

func (p *problem) varOf(move string) int {
	for j := range p.vars {
		if p.vars[j].move == move {
			return j
		}
	}
	return -1
}

func TestFirstBiteIsRoundedDown(t *testing.T) {
	for _, c := range [][4]float64{
		{1.21, 0.15, 0.05, 1.05}, // 1.06 in steps of 0.05
		{0.15, 0.2, 0.05, 0}, {0.3, 0.25, 0.05, 0.05}, {1, 0, 0.25, 1}, {0.04, 0, 0.05, 0}, {2, 0.01, 0.01, 1.99},
	} {
		if got := firstBite(c[0], c[1], c[2]); math.Abs(got-c[3]) > 1e-12 {
			t.Errorf("%v +- %v in steps of %v: %v, want %v", c[0], c[1], c[2], got, c[3])
		}
	}
	if got := firstBite(1, math.NaN(), 0.05); got != 0 {
		t.Errorf("a depth without a known doubt: %v", got)
	}
}

// Any rod that is possible: the first bite of an engine whose rod is not known
// still stays short of the target.
func TestFirstBitesWithoutARod(t *testing.T) {
	n := fewer(600)
	rnd := rand.New(rand.NewSource(4))
	past := 0
	for range n {
		s := simulate(t, rnd, 0.25)
		m, err := crank.New(34, 34*(1.6+0.6*rnd.Float64()), 0)
		if err != nil {
			t.Fatal(err)
		}
		s.crank, s.rodUnknown = m, true
		r := run(t, withTarget(s.file(), build.TargetExhaustOpens, s.target(t, 2)))
		if *step(t, r, build.MoveExhaustRoof).FirstBiteMM > 2 {
			past++
		}
	}
	if past > n/20 {
		t.Errorf("%d of %d first bites go past the target", past, n)
	}
}

// One opening, read once with an assumed zero: nothing may come off yet, and the
// closings would help.
func TestReadAgainFirst(t *testing.T) {
	b := withTarget(theBench().file(), build.TargetExhaustOpens, 99.5)
	p := &b.Passes[0]
	p.Stops, p.Readings = nil, p.Readings[:1]
	b.Allowed.ExhaustRoof = &build.Room{}
	s := step(t, run(t, b), build.MoveExhaustRoof)
	if *s.FirstBiteMM != 0 || s.Help != HelpClosings || s.Text == "" {
		t.Errorf("%+v: bite %v, help %q", s, *s.FirstBiteMM, s.Help)
	}
}

// After a bite the plan goes on from its measured depth, and from the new
// readings once there are some.
func TestThePlanFollowsTheBites(t *testing.T) {
	b := withTarget(theBench().file(), build.TargetExhaustOpens, 96)
	b.Allowed.ExhaustRoof = &build.Room{}
	whole := *step(t, run(t, b), build.MoveExhaustRoof).ByMM
	b.Bites = []build.Bite{{Move: build.Move{Move: build.MoveExhaustRoof, Window: "exhaust", ByMM: mm(0.6)}, Pass: "as received"}}
	r := run(t, b)
	if rest := *step(t, r, build.MoveExhaustRoof).ByMM; math.Abs(rest-(whole-0.6)) > 1e-6 || warned(r, WarnNotRead) == nil {
		t.Errorf("%v left of %v after 0.6; warnings %+v", rest, whole, r.Warnings)
	}
	// Read again: the cut went a little deeper than it was measured.
	s := problemOf(t, b).base
	down, _, err := s.geo.Angles(s.geo.Travel(unit.Rad(100)) - 0.65)
	if err != nil {
		t.Fatal(err)
	}
	a := unit.Deg(down)
	b.Passes = append(b.Passes, build.Pass{Name: "after the first bite", Stops: b.Passes[0].Stops, Readings: []build.Reading{
		{Window: "exhaust", Event: build.Opens, Value: unit.Length{Value: a}}, {Window: "exhaust", Event: build.Closes, Value: unit.Length{Value: 360 - a}}}})
	r = run(t, b)
	if rest := *step(t, r, build.MoveExhaustRoof).ByMM; math.Abs(rest-(whole-0.65)) > 1e-6 || warned(r, WarnNotRead) != nil {
		t.Errorf("%v left of %v after 0.65 as read", rest, whole)
	}
	if !(math.Abs(r.Now[TransferOpens]-122) < 1e-6) {
		t.Errorf("the transfer, read in the first pass alone: %v", r.Now[TransferOpens])
	}
	// A pass named is taken as it was read; a struck bite does not count.
	named, err := Run(b, Options{Pass: 1})
	if err != nil || math.Abs(*step(t, named, build.MoveExhaustRoof).ByMM-whole) > 1e-6 {
		t.Errorf("from the first pass: %v, %v", err, named)
	}
	b.Passes, b.Bites[0].Struck = b.Passes[:1], "measured wrong"
	if all := *step(t, run(t, b), build.MoveExhaustRoof).ByMM; math.Abs(all-whole) > 1e-6 {
		t.Errorf("%v with the bite struck out, want %v", all, whole)
	}
}

// A gasket that was taken out and squish and chamber measured again since.
func TestBitesOfTheWholeCylinder(t *testing.T) {
	b := withTarget(theBench().file(), build.TargetSquish, 0.45)
	b.Allowed.BaseCut = &build.Room{}
	b.Bites = []build.Bite{{Move: build.Move{Move: build.MoveBaseGasket, ToMM: mm(0)}, Pass: "as received"}}
	r := run(t, b)
	if r.Now[Squish] != 0.5 || math.Abs(r.Now[ExhaustOpens]-101.81771) > 2e-5 || math.Abs(*step(t, r, build.MoveBaseCut).ByMM-0.05) > 1e-6 {
		t.Errorf("squish %v, exhaust %v, cut %v", r.Now[Squish], r.Now[ExhaustOpens], *step(t, r, build.MoveBaseCut).ByMM)
	}
	b.Passes = append(b.Passes, build.Pass{Name: "gasket out", Squish: []unit.Length{*mm(0.54), *mm(0.58)}, ChamberCC: ptr(5.2)})
	r = run(t, b)
	if math.Abs(r.Now[Squish]-0.56) > 1e-9 || r.Now[SquishLeast] != 0.54 || r.Now[Clearance] != 5.2 {
		t.Errorf("squish %v, least %v, chamber %v", r.Now[Squish], r.Now[SquishLeast], r.Now[Clearance])
	}
}

// Each cylinder has its own passes and bites.
func TestCylindersAreKeptApart(t *testing.T) {
	b := withTarget(theBench().file(), build.TargetExhaustOpens, 96)
	b.Allowed.ExhaustRoof = &build.Room{}
	b.Engine.Cylinders = 2
	second := b.Passes[0]
	second.Cylinder = 2
	second.Readings = append([]build.Reading(nil), second.Readings...)
	second.Readings[0].Value.Value, second.Readings[1].Value.Value = 101, 259
	b.Passes = append(b.Passes, second)
	bite := build.Move{Move: build.MoveExhaustRoof, ByMM: mm(0.3)}
	b.Bites = []build.Bite{{Move: bite, Pass: "as received", Cylinder: 1}}
	r := run(t, b)
	if r.Cylinder != 2 || math.Abs(r.Now[ExhaustOpens]-101) > 1e-6 {
		t.Errorf("cylinder %d opens at %v", r.Cylinder, r.Now[ExhaustOpens])
	}
	b.Bites[0].Cylinder = 2
	if r = run(t, b); !(r.Now[ExhaustOpens] < 100.5) {
		t.Errorf("after its own bite it opens at %v", r.Now[ExhaustOpens])
	}
}

// After the first bite the wheel stands between now and the target, at the
// bite's own depth. Independent: the roof raised by 0.5 and by 1.0 mm opens at
// 98.20966 and 96.44408 degrees, slider-crank solved in Python.
func TestTheWheelAfterTheFirstBite(t *testing.T) {
	b := theBench().file()
	for range 4 {
		b.Passes[0].Readings = append(b.Passes[0].Readings, b.Passes[0].Readings[:2]...)
	}
	withTarget(b, build.TargetExhaustOpens, 96.44408)
	b.Allowed.ExhaustRoof = &build.Room{Step: mm(0.5)}
	s := step(t, run(t, b), build.MoveExhaustRoof)
	if *s.FirstBiteMM != 0.5 || len(s.WheelBite) != 2 || math.Abs(*s.WheelBite[0].ReadsDeg-98.20966) > 2e-5 || math.Abs(*s.WheelAfter[0].ReadsDeg-96.44408) > 2e-5 {
		t.Errorf("first bite %v, then %+v", *s.FirstBiteMM, s.WheelBite)
	}
}

// A bite that the next readings contradict is said before the next one is
// offered, with both numbers, and so is that the plan goes on from the readings.
// Independent: 0.5 mm off the roof at 100 degrees make 98.20966, 1.0 mm 96.44408.
func TestABiteThatTheReadingsContradict(t *testing.T) {
	b := withTarget(theBench().file(), build.TargetExhaustOpens, 94.70086) // 1.5 mm off in all
	b.Wheel.StepDeg = ptr(0.1)
	b.Allowed.ExhaustRoof = &build.Room{}
	again := b.Passes[0]
	again.Name, again.Readings = "cut", append([]build.Reading(nil), again.Readings...)
	for k, v := range []float64{96.44408, 360 - 96.44408} {
		again.Readings[k].Value.Value = v
	}
	for _, p := range []*build.Pass{&b.Passes[0], &again} {
		for range 3 {
			p.Readings = append(p.Readings, p.Readings...)
		}
	}
	b.Passes = append(b.Passes, again)
	b.Bites = []build.Bite{{Move: build.Move{Move: build.MoveExhaustRoof, Window: "exhaust", ByMM: mm(0.5)}, Pass: "as received"}}
	r := run(t, b)
	w := warned(r, WarnBite)
	if w == nil || w.Step != 0 || !strings.Contains(w.Text, "98.2") || !strings.Contains(w.Text, "96.4") || !strings.Contains(w.Text, "goes on from the readings") {
		t.Fatalf("%+v", r.Warnings)
	}
	if by := *step(t, r, build.MoveExhaustRoof).ByMM; math.Abs(by-0.5) > 1e-4 {
		t.Errorf("%v mm are left from the readings, want 0.5", by)
	}
	// If the bite was right and the reading wrong, 1.0 mm is left, else 0.5; were it
	// the other way about nothing would be: so nothing may come off yet.
	if s := step(t, r, build.MoveExhaustRoof); *s.FirstBiteMM != 0 || *s.U95MM < 0.5 || s.Help != HelpBites {
		t.Errorf("%v +- %v, first %v, help %s", *s.ByMM, *s.U95MM, *s.FirstBiteMM, s.Help)
	}
	// Nor where much more is left: first the last cut is measured and read again.
	b.Targets.List[0].Value.Value = 86
	if s := step(t, run(t, b), build.MoveExhaustRoof); *s.FirstBiteMM != 0 || len(s.WheelBite) != 0 || *s.ByMM < *s.U95MM+0.5 || !strings.Contains(s.Text, "read again") {
		t.Errorf("%v +- %v, first %v: %s", *s.ByMM, *s.U95MM, *s.FirstBiteMM, s.Text)
	}
	b.Targets.List[0].Value.Value = 94.70086
	b.Bites[0].ByMM = mm(1)
	r = run(t, b)
	if w := warned(r, WarnBite); w != nil {
		t.Errorf("measured right: %s", w.Text)
	}
	if s := step(t, r, build.MoveExhaustRoof); *s.FirstBiteMM < 0.3 {
		t.Errorf("measured right: first bite %v", *s.FirstBiteMM)
	}
}

// What a move does to an edge and to squish is said once, by package build; here
// it is what the model does for a mm of it.
func TestTheModelMovesEdgesAsBuildSays(t *testing.T) {
	bn := theBench()
	bn.second, bn.boost = 103, 121
	p := problemOf(t, withTarget(bn.file(), build.TargetSquish, 0.9))
	for _, move := range build.MoveNames()[1:9] {
		s := p.now.clone()
		p.apply(&s, move, -1, 1)
		m := build.Move{Move: move}
		for i, w := range p.windows {
			if got := s.x[i] - p.now.x[i]; math.Abs(got-m.Shift(&w.doc, w.crown, w.skirt)) > 1e-12 {
				t.Errorf("%s moves %s by %v", move, w.doc.Name, got)
			}
		}
		if got := s.squish - p.now.squish; math.Abs(got-m.Squish()) > 1e-12 {
			t.Errorf("%s moves squish by %v", move, got)
		}
	}
}

// A bound stops the move and not the target: it is said, and the depth has the
// doubt of what is taken off, 2 x 0.02 mm at 95 %.
func TestABoundThatStopsAMove(t *testing.T) {
	b := withTarget(theBench().file(), build.TargetExhaustOpens, 85)
	b.Allowed.ExhaustRoof = &build.Room{Max: mm(2)}
	s := step(t, run(t, b), build.MoveExhaustRoof)
	if *s.ByMM != 2 || s.BoundMM == nil || *s.BoundMM != 2 || math.Abs(*s.U95MM-1.96*0.02) > 1e-3 || *s.FirstBiteMM != 1.95 || !strings.Contains(s.Text, "bound of 2 mm") {
		t.Errorf("%v of %v +- %v, first %v: %s", *s.ByMM, s.BoundMM, *s.U95MM, *s.FirstBiteMM, s.Text)
	}
	if s := step(t, run(t, withoutBound(b, 98)), build.MoveExhaustRoof); s.BoundMM != nil || strings.Contains(s.Text, "bound") {
		t.Errorf("no bound: %+v", s)
	}
}

func withoutBound(b *build.Build, opens float64) *build.Build {
	c := *b
	c.Targets.List = nil
	return withTarget(&c, build.TargetExhaustOpens, opens)
}

// A bound counts from the engine as it was received: bites take their part of it,
// each window's own, and what is left is said.
func TestABoundShrinksWithBites(t *testing.T) {
	bn := theBench()
	bn.transfers = []float64{122, 122}
	b := withTarget(withTarget(bn.file(), build.TargetExhaustOpens, 85), build.TargetTransferOpens, 106)
	b.Allowed.ExhaustRoof, b.Allowed.TransferRoof = &build.Room{Max: mm(2)}, &build.Room{Max: mm(1)}
	bite := func(move, window string, amount float64) build.Bite {
		m := by(move, amount)
		m.Window = window
		return build.Bite{Move: m, Pass: "as received"}
	}
	b.Bites = []build.Bite{bite(build.MoveExhaustRoof, "exhaust", 0.6), bite(build.MoveExhaustRoof, "", 0.15), bite(build.MoveTransferRoof, "transfer 1", 0.7), bite(build.MoveTransferRoof, "transfer 2", 0.7),
		bite(build.MoveBaseCut, "", 0.1)}
	struck := bite(build.MoveExhaustRoof, "exhaust", 1)
	struck.Struck = "another engine"
	b.Bites = append(b.Bites, struck)
	r := run(t, b)
	s := step(t, r, build.MoveExhaustRoof)
	if math.Abs(*s.ByMM-1.25) > 1e-9 || *s.BoundMM != 2 || !strings.Contains(s.Text, "bound of 2 mm") || !strings.Contains(s.Text, "0.75 mm of that are off already") {
		t.Errorf("%v: %s", *s.ByMM, s.Text)
	}
	want := []Room{{build.MoveExhaustRoof, "exhaust", 2, 0.75, 1.25}, {build.MoveTransferRoof, "transfer 1", 1, 0.7, 0.3}, {build.MoveTransferRoof, "transfer 2", 1, 0.7, 0.3}}
	if !slices.Equal(r.Rooms, want) {
		t.Errorf("%+v", r.Rooms)
	}
	b.Bites[0].ByMM = mm(3) // more than was allowed: nothing is left
	if r = run(t, b); slices.ContainsFunc(r.Moves, func(s Step) bool { return s.Move == build.MoveExhaustRoof }) || r.Rooms[0].LeftMM != 0 {
		t.Errorf("%+v, %+v", r.Moves, r.Rooms)
	}
	// From an earlier pass, what came off after it has not been taken.
	b.Bites = b.Bites[:1]
	named, err := Run(b, Options{Pass: 1})
	if err != nil || named.Rooms[0].LeftMM != 2 {
		t.Errorf("%v %+v", err, named.Rooms)
	}
}

// A doubt larger than the depth is said in full, not cut off at what could come
// off: the roof at 100 degrees by readings alone, for 1.0 mm and for 0.05 mm, has
// about the same (the slope of the travel changes by a hundredth).
func TestADoubtLargerThanTheDepth(t *testing.T) {
	u95 := func(opens float64) float64 {
		b := withTarget(theBench().file(), build.TargetExhaustOpens, opens)
		b.Allowed.ExhaustRoof = &build.Room{}
		return *step(t, run(t, b), build.MoveExhaustRoof).U95MM
	}
	large, small := u95(96.44408), u95(99.82)
	if !(small > 0.05) || math.Abs(small-large) > 0.1*large {
		t.Errorf("of 1.0 mm +- %v, of 0.05 mm +- %v", large, small)
	}
}
