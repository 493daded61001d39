package plan

import (
	"math"
	"math/rand"
	"slices"
	"testing"

	"portwright/engine/build"
	"portwright/engine/crank"
	"portwright/engine/unit"
)

// simulated is a bench of which the truth is known: true lengths within their
// declared doubt, each reading off by chance and rounded to the wheel's step,
// the wheel's zero found against a stop by readings of the same kind.
type simulated struct {
	rnd          *rand.Rand
	scatter      float64 // of one reading, deg
	step         float64
	stroke, rod  float64 // as measured
	crank        crank.Mechanism
	zero         float64 // place of the wheel at true TDC
	rodUnknown   bool
	exhaust      float64
	closingsRead bool
}

func (s *simulated) read(angle float64) float64 {
	v := angle + s.zero + s.rnd.NormFloat64()*s.scatter
	return unit.Turn(math.Round(v/s.step) * s.step)
}

// file reads the bench: a stop check before and after, each event three times.
func (s *simulated) file() *build.Build {
	b := theBench().file()
	b.Engine.Stroke, b.Engine.Rod = mm(s.stroke), mm(s.rod)
	if s.rodUnknown {
		b.Engine.Rod = nil
	}
	b.Wheel.StepDeg = ptr(s.step)
	b.Passes[0] = s.pass(b, "as received")
	b.Allowed.ExhaustRoof = &build.Room{Max: mm(3)}
	return b
}

// pass reads everything once more.
func (s *simulated) pass(b *build.Build, name string) build.Pass {
	p := build.Pass{Name: name}
	for _, when := range []string{build.WhenBefore, build.WhenAfter} {
		p.Stops = append(p.Stops, build.StopCheck{When: when, Near: build.NearTDC, Readings: []float64{s.read(-40), s.read(40)}})
	}
	for i := range b.Windows {
		angle := map[string]float64{build.KindExhaust: s.exhaust, build.KindTransfer: 122, build.KindIntake: 285}[b.Windows[i].Kind]
		for range 3 {
			p.Readings = append(p.Readings, build.Reading{Window: b.Windows[i].Name, Event: build.Opens, Value: unit.Length{Value: s.read(angle)}})
			if s.closingsRead {
				p.Readings = append(p.Readings, build.Reading{Window: b.Windows[i].Name, Event: build.Closes, Value: unit.Length{Value: s.read(-angle)}})
			}
		}
	}
	return p
}

func simulate(t *testing.T, rnd *rand.Rand, scatter float64) *simulated {
	s := &simulated{rnd: rnd, scatter: scatter, step: 0.5, stroke: 34, rod: 60, zero: 5 * rnd.Float64(), closingsRead: true, exhaust: 96 + 8*rnd.Float64()}
	m, err := crank.New(34+0.02*rnd.NormFloat64(), 60+0.1*rnd.NormFloat64(), 0)
	if err != nil {
		t.Fatal(err)
	}
	s.crank = m
	return s
}

// fewer keeps a short run short: shares are then looser, but still hold.
func fewer(n int) int {
	if testing.Short() {
		return n / 10
	}
	return n
}

// target returns the opening that is a depth above the present edge in truth.
func (s *simulated) target(t *testing.T, depth float64) float64 {
	down, _, err := s.crank.Angles(s.crank.Travel(unit.Rad(s.exhaust)) - depth)
	if err != nil {
		t.Fatal(err)
	}
	return unit.Deg(down)
}

// The first bite goes past the target in at most 5 of 100 benches, whatever the
// scatter, and where 1 mm is needed and readings are ordinary it takes more than
// half of it.
func TestFirstBitesOfSimulatedBenches(t *testing.T) {
	n := fewer(10_000)
	scatters := []float64{0.1, 0.25, 0.5}
	past, bites := make([]int, len(scatters)), make([][]float64, len(scatters))
	rnd := rand.New(rand.NewSource(1))
	for k := range n {
		i := k % len(scatters)
		s := simulate(t, rnd, scatters[i])
		r, err := Run(withTarget(s.file(), build.TargetExhaustOpens, s.target(t, 1)), Options{})
		if err != nil {
			t.Fatal(err)
		}
		bite := 0.0
		if len(r.Moves) > 0 {
			bite = *r.Moves[0].FirstBiteMM
		}
		if bite > 1 {
			past[i]++
		}
		bites[i] = append(bites[i], bite)
	}
	for i, scatter := range scatters {
		slices.Sort(bites[i])
		median := bites[i][len(bites[i])/2]
		share := float64(past[i]) / float64(len(bites[i]))
		t.Logf("scatter %v deg: %.2f %% past the target, median bite %.2f mm", scatter, 100*share, median)
		if share > 0.05 {
			t.Errorf("scatter %v deg: %.1f %% of the first bites go past the target", scatter, 100*share)
		}
		if median <= 0.5 {
			t.Errorf("scatter %v deg: the median first bite of 1 mm is %v", scatter, median)
		}
	}
}

// The same where two moves depend on one target: the gasket goes, the roof
// follows, and neither its own doubt nor the gasket's is forgotten.
func TestFirstBitesAfterAGasket(t *testing.T) {
	n := fewer(1500)
	past, zero := 0, 0
	rnd := rand.New(rand.NewSource(2))
	for range n {
		s := simulate(t, rnd, 0.25)
		b := withTarget(withTarget(s.file(), build.TargetSquish, 0.5), build.TargetExhaustOpens, s.target(t, 0.5))
		b.Engine.Squish = []unit.Length{*mm(1 + 0.02*rnd.NormFloat64())}
		b.Allowed.BaseGaskets = []unit.Length{*mm(0), *mm(0.5)}
		r, err := Run(b, Options{})
		if err != nil {
			t.Fatal(err)
		}
		truth := 0.5 + 0.5 + gasketU*rnd.NormFloat64() // the gasket's own thickness differs from its nominal one
		last := r.Moves[len(r.Moves)-1]
		if last.Move != build.MoveExhaustRoof || r.Moves[0].Move != build.MoveBaseGasket {
			t.Fatalf("moves %+v", r.Moves)
		}
		if *last.FirstBiteMM > truth {
			past++
		}
		if *last.FirstBiteMM == 0 {
			zero++
		}
	}
	t.Logf("%.2f %% past, %d without a bite", 100*float64(past)/float64(n), zero)
	if past > n/20 || zero > n/10 {
		t.Errorf("%d of %d past the target, %d without a bite", past, n, zero)
	}
}

// A whole job: read, take the first bite, read again, until what is left is less
// than can be taken for certain. Cuts go a little deeper or shallower than was
// meant. Few jobs end past the target, and most end near it.
func TestWholeJobs(t *testing.T) {
	jobs := fewer(250)
	rnd := rand.New(rand.NewSource(5))
	past, left, passes := 0, []float64{}, 0
	for range jobs {
		s := simulate(t, rnd, 0.25)
		goal := s.target(t, 1.3)
		b := withTarget(s.file(), build.TargetExhaustOpens, goal)
		for {
			passes++
			r, err := Run(b, Options{})
			if err != nil {
				t.Fatal(err)
			}
			if len(r.Moves) == 0 || *r.Moves[0].FirstBiteMM == 0 {
				break
			}
			if len(b.Passes) > 20 {
				t.Fatal("the job comes to no end")
			}
			bite := *r.Moves[0].FirstBiteMM
			down, _, err := s.crank.Angles(s.crank.Travel(unit.Rad(s.exhaust)) - bite - 0.01*rnd.NormFloat64())
			if err != nil {
				t.Fatal(err)
			}
			s.exhaust = unit.Deg(down)
			last := b.Passes[len(b.Passes)-1].Name
			b.Bites = append(b.Bites, build.Bite{Move: build.Move{Move: build.MoveExhaustRoof, Window: "exhaust", ByMM: mm(bite)}, Pass: last})
			b.Passes = append(b.Passes, s.pass(b, last+", cut"))
		}
		rest := s.crank.Travel(unit.Rad(s.exhaust)) - s.crank.Travel(unit.Rad(goal))
		if rest < 0 {
			past++
		}
		left = append(left, rest)
	}
	slices.Sort(left)
	t.Logf("%d of %d jobs past the target, %.1f passes each, median %.3f mm left, worst %.3f past and %.3f left", past, jobs,
		float64(passes)/float64(jobs), left[jobs/2], -left[0], left[jobs-1])
	if past > jobs/20 || left[0] < -0.1 {
		t.Errorf("%d of %d jobs go past the target, the worst by %v mm", past, jobs, -left[0])
	}
	if left[jobs/2] > 0.2 {
		t.Errorf("%v mm are left in the middle", left[jobs/2])
	}
}
