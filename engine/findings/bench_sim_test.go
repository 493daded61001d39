package findings_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"portwright/engine/build"
	"portwright/engine/crank"
	"portwright/engine/findings"
	"portwright/engine/unit"
	"portwright/engine/wheel"
)

// simulated is an engine whose truth is known and a person who reads it with a
// known scatter: readings are the truth, a normal error and the rounding to the
// wheel's step.
type simulated struct {
	rng                          *rand.Rand
	bore, stroke, rod, offset    float64
	exhaust, left, right, intake float64 // travel to the edge, mm
	boost                        float64
	noise, step                  float64
	tdc                          float64 // place under the pointer at TDC
	wheel                        wheel.Wheel
	repeats                      int
	stops                        int // pairs before, and as many after
	after                        bool
}

// anEngine draws an engine of a kind that is found: strokes of 30 to 60 mm, an
// exhaust at 95 to 106 after TDC, 15 to 24 degrees of blowdown (common
// practice, no source).
func anEngine(rng *rand.Rand) *simulated {
	s := &simulated{rng: rng, noise: 0.3, step: 0.5, repeats: 3, stops: 1, after: true, wheel: wheel.Wheel{Numbering: wheel.To360}}
	s.stroke = 30 + 30*rng.Float64()
	s.bore = s.stroke * (1 + 0.4*rng.Float64())
	s.rod = s.stroke * (1.7 + 0.3*rng.Float64())
	s.tdc = 360 * rng.Float64()
	exhaust := 95 + 11*rng.Float64()
	transfer := exhaust + 15 + 9*rng.Float64()
	s.setOpenings(exhaust, transfer, transfer, transfer+4*rng.Float64(), 68+12*rng.Float64())
	return s
}

// setOpenings sets edges by the angles at which they would open without offset.
func (s *simulated) setOpenings(exhaust, left, right, boost, intake float64) {
	m := s.without()
	at := func(a float64) float64 { return m.Travel(unit.Rad(a)) }
	s.exhaust, s.left, s.right, s.boost, s.intake = at(exhaust), at(left), at(right), at(boost), at(intake)
}

func (s *simulated) without() crank.Mechanism { return mustCrank(s.stroke, s.rod, 0) }

func mustCrank(stroke, rod, offset float64) crank.Mechanism {
	m, err := crank.New(stroke, rod, offset)
	if err != nil {
		panic(err)
	}
	return m
}

// truth returns the true angles of a travel: opening and closing.
func (s *simulated) truth(travel float64, intake bool) (opens, closes float64) {
	down, up, err := mustCrank(s.stroke, s.rod, s.offset).Angles(travel)
	if err != nil {
		panic(err)
	}
	if intake {
		return unit.Deg(up), unit.Deg(down)
	}
	return unit.Deg(down), unit.Deg(up)
}

// reads returns the number noted at a true angle.
func (s *simulated) reads(angle float64) float64 {
	place := s.wheel.Place(angle+s.noise*s.rng.NormFloat64(), s.tdc)
	label := s.wheel.Label(math.Round(place/s.step) * s.step)
	return math.Min(label, s.wheel.Top())
}

// moment is one event in the order in which they are read.
type moment struct {
	window, event string
	angle         float64
}

func (s *simulated) moments() []moment {
	var out []moment
	for _, w := range []struct {
		name   string
		travel float64
		intake bool
	}{{"exhaust", s.exhaust, false}, {"transfer left", s.left, false}, {"transfer right", s.right, false},
		{"boost", s.boost, false}, {"intake", s.intake, true}} {
		o, c := s.truth(w.travel, w.intake)
		out = append(out, moment{w.name, build.Opens, o}, moment{w.name, build.Closes, c})
	}
	return out
}

// read returns the build of one pass. moved is added to the wheel's place from
// reading from (counted from 0) on.
func (s *simulated) read(from int, moved float64) *build.Build {
	b := &build.Build{Format: build.Format, Version: build.Version,
		Engine: build.Engine{Bore: mmOf(s.bore), Stroke: mmOf(s.stroke), Rod: mmOf(s.rod), Intake: build.IntakePistonPort},
		Windows: []build.Window{{Name: "exhaust", Kind: build.KindExhaust}, {Name: "transfer left", Kind: build.KindTransfer},
			{Name: "transfer right", Kind: build.KindTransfer}, {Name: "boost", Kind: build.KindBoost}, {Name: "intake", Kind: build.KindIntake}},
		Wheel: build.Wheel{Numbering: string(s.wheel.Numbering), Numbers: build.NumbersRise, StepDeg: &s.step}}
	if s.wheel.Falls {
		b.Wheel.Numbers = build.NumbersFall
	}
	p := build.Pass{Name: "as received"}
	for range s.stops {
		p.Stops = append(p.Stops, s.stop(build.WhenBefore))
	}
	n := 0
	tdc := s.tdc
	for _, m := range s.moments() {
		for range s.repeats {
			if n == from {
				s.tdc += moved
			}
			r := build.Reading{Window: m.window, Event: m.event, Value: unit.Length{Value: s.reads(m.angle)}, Method: "light"}
			if s.wheel.Numbering == wheel.To90 {
				r.Quarter = int(unit.Turn(m.angle)/90) + 1
			}
			p.Readings = append(p.Readings, r)
			n++
		}
	}
	if s.after {
		for range s.stops {
			p.Stops = append(p.Stops, s.stop(build.WhenAfter))
		}
	}
	s.tdc = tdc
	b.Passes = []build.Pass{p}
	return b
}

func (s *simulated) stop(when string) build.StopCheck {
	depth := s.stroke * (0.1 + 0.1*s.rng.Float64())
	down, up := s.truth(depth, false)
	return build.StopCheck{When: when, Near: build.NearTDC, Readings: []float64{s.reads(up), s.reads(down)}}
}

func mmOf(v float64) *unit.Length { return &unit.Length{Value: v, Unit: unit.MM} }

// codesOf runs findings and lists the problems of the pass.
func codesOf(t testing.TB, b *build.Build) []string {
	t.Helper()
	r, err := findings.Run(b, findings.Options{})
	if err != nil {
		t.Fatal(err)
	}
	var codes []string
	for _, p := range r.Passes[0].Problems {
		codes = append(codes, p.Code)
	}
	return codes
}

func seeded(n uint64) *rand.Rand { return rand.New(rand.NewPCG(n, 20)) }
