package findings_test

import (
	"encoding/json"
	"errors"
	"math"
	"os"
	"path/filepath"
	"testing"

	"pgregory.net/rapid"

	"portwright/engine/build"
	"portwright/engine/findings"
	"portwright/engine/unit"
)

// holdsTogether is what must be so of any build that passes build.Check: no
// panic, every number finite and in its range, every remedy one that can be
// applied and written to a file, and the same answer every time.
func holdsTogether(t interface {
	Fatalf(string, ...any)
	Helper()
}, b *build.Build) {
	t.Helper()
	r, err := findings.Run(b, findings.Options{})
	var input *unit.InputError
	if errors.As(err, &input) && input.Field == "engine.pin_offset_mm" && b.Engine.Rod == nil {
		return // more than any rod that the stroke may have
	}
	if err != nil {
		t.Fatalf("a build that passes build.Check is refused: %v", err)
	}
	raw, err := json.Marshal(r) // fails on NaN and infinities
	if err != nil {
		t.Fatalf("results can't be written: %v", err)
	}
	again, err := findings.Run(b, findings.Options{})
	if err != nil {
		t.Fatalf("second run: %v", err)
	}
	if raw2, err := json.Marshal(again); err != nil || string(raw2) != string(raw) {
		t.Fatalf("two runs differ (%v)", err)
	}
	for i := range r.Passes {
		p := &r.Passes[i]
		for _, w := range p.Windows {
			for _, a := range []*float64{w.OpensDeg, w.ClosesDeg} {
				if a != nil && !(*a >= 0 && *a < 360) {
					t.Fatalf("%s: angle %v", w.Name, *a)
				}
			}
			for _, u := range []*float64{w.OpensU95Deg, w.ClosesU95Deg, w.DurationU95Deg, w.TravelU95MM} {
				if u != nil && *u < 0 {
					t.Fatalf("%s: doubt %v", w.Name, *u)
				}
			}
		}
		for _, x := range p.Problems {
			if !findings.KnownCode(x.Code) || x.Title == "" || x.Text == "" {
				t.Fatalf("problem %+v", x)
			}
			if x.Remedy == nil {
				continue
			}
			with, err := findings.Apply(b, i, x)
			if err != nil {
				t.Fatalf("%s can't be applied: %v", x.Code, err)
			}
			if err := build.Check(with); err != nil {
				t.Fatalf("with %s applied: %v", x.Code, err)
			}
			if _, err := findings.Run(with, findings.Options{}); err != nil {
				t.Fatalf("with %s applied: %v", x.Code, err)
			}
			if _, err := build.Encode(with); err != nil {
				t.Fatalf("with %s applied it can't be written: %v", x.Code, err)
			}
		}
	}
}

// Builds of any shape, sensible and not.
func TestAnyBuildHoldsTogether(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := drawBuild(t)
		if build.Check(b) != nil {
			return
		}
		holdsTogether(t, b)
	})
}

func drawBuild(t *rapid.T) *build.Build {
	length := func(name string, least, most float64) *unit.Length {
		if rapid.Bool().Draw(t, name+" known") {
			return mmOf(rapid.Float64Range(least, most).Draw(t, name))
		}
		return nil
	}
	step := rapid.SampledFrom([]float64{0.05, 0.25, 0.5, 1, 5}).Draw(t, "step")
	b := &build.Build{Format: build.Format, Version: build.Version}
	b.Engine = build.Engine{Bore: length("bore", 1, 200), Stroke: length("stroke", 1, 200), Rod: length("rod", 1, 400),
		PinOffset: length("offset", -8, 8), CrownBelowDeck: length("crown", -10, 10), SkirtIntake: length("intake skirt", 1, 200),
		SkirtExhaust: length("exhaust skirt", 1, 200), RingHeight: length("ring", 0.3, 5), RingBelowCrown: length("land", 0, 10),
		SquishWire: length("wire", 0.1, 5),
		Intake:     rapid.SampledFrom([]string{"", build.IntakePistonPort, build.IntakeReed, build.IntakeRotaryValve, build.IntakeNone}).Draw(t, "intake")}
	for range rapid.IntRange(0, 4).Draw(t, "places") {
		b.Engine.Squish = append(b.Engine.Squish, unit.Length{Value: rapid.Float64Range(0.01, 60).Draw(t, "squish")})
	}
	if rapid.Bool().Draw(t, "chamber known") {
		cc := rapid.Float64Range(0.1, 200).Draw(t, "chamber")
		b.Engine.ChamberCC = &cc
	}
	b.Wheel = build.Wheel{StepDeg: &step,
		Numbering: rapid.SampledFrom([]string{"", build.Numbering360, build.Numbering180, build.Numbering90}).Draw(t, "numbering"),
		Numbers:   rapid.SampledFrom([]string{"", build.NumbersRise, build.NumbersFall}).Draw(t, "numbers")}
	top := map[string]float64{build.Numbering180: 180, build.Numbering90: 90}[b.Wheel.Numbering]
	if top == 0 {
		top = 360
	}
	names := []string{"exhaust", "transfer left", "transfer right", "boost", "intake", "exhaust left"}[:rapid.IntRange(0, 6).Draw(t, "windows")]
	for _, n := range names {
		b.Windows = append(b.Windows, build.Window{Name: n, Kind: kindOf(n), Chord: length(n+" chord", 1, 80), Height: length(n+" height", 1, 40)})
	}
	for i := range rapid.IntRange(0, 2).Draw(t, "passes") {
		b.Passes = append(b.Passes, drawPass(t, string(rune('a'+i)), names, top))
	}
	return b
}

func drawPass(t *rapid.T, name string, windows []string, top float64) build.Pass {
	p := build.Pass{Name: name, Habit: rapid.SampledFrom([]string{"", build.HabitTDCZero, build.HabitOpenZero, build.HabitDepth}).Draw(t, "habit")}
	label := rapid.OneOf(rapid.Float64Range(0, top), rapid.Map(rapid.IntRange(0, int(top)), func(n int) float64 { return float64(n) }))
	for range rapid.IntRange(0, 3).Draw(t, "checks") {
		s := build.StopCheck{When: rapid.SampledFrom([]string{build.WhenBefore, build.WhenAfter}).Draw(t, "when"),
			Near: rapid.SampledFrom([]string{build.NearTDC, build.NearBDC}).Draw(t, "near")}
		for range rapid.IntRange(1, 2).Draw(t, "sides") {
			s.Readings = append(s.Readings, label.Draw(t, "stop"))
		}
		p.Stops = append(p.Stops, s)
	}
	if len(windows) == 0 {
		return p
	}
	for range rapid.IntRange(0, 14).Draw(t, "readings") {
		r := build.Reading{Window: rapid.SampledFrom(windows).Draw(t, "window"), Value: unit.Length{Value: label.Draw(t, "value")},
			Event:   rapid.SampledFrom([]string{build.Opens, build.Closes}).Draw(t, "event"),
			Method:  rapid.SampledFrom([]string{"", "light", "feeler", "paper", "angle gauge"}).Draw(t, "method"),
			Side:    rapid.SampledFrom([]string{"", build.SideDown, build.SideUp}).Draw(t, "side"),
			Quarter: rapid.IntRange(0, 4).Draw(t, "quarter")}
		if p.Habit == build.HabitOpenZero {
			r.Event = build.Closes
		}
		if rapid.Bool().Draw(t, "feeler") {
			r.FeelerMM = mmOf(rapid.Float64Range(0.01, 3).Draw(t, "thickness"))
		}
		if rapid.IntRange(0, 9).Draw(t, "struck") == 0 {
			r.Struck = "wrong"
		}
		p.Readings = append(p.Readings, r)
	}
	return p
}

// FuzzRun: any bytes that are a build file.
func FuzzRun(f *testing.F) {
	files, err := filepath.Glob("../../testdata/cases/*.json")
	if err != nil || len(files) == 0 {
		f.Fatal("no worked cases to begin with", err)
	}
	for _, file := range files {
		raw, err := os.ReadFile(file)
		if err != nil {
			f.Fatal(err)
		}
		var c workedCase
		if err := json.Unmarshal(raw, &c); err != nil {
			f.Fatal(err)
		}
		f.Add([]byte(c.Build))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		b, err := build.Decode(data)
		if err != nil || build.Check(b) != nil || len(b.Passes) > 8 {
			return
		}
		holdsTogether(t, b)
	})
}

// The same readings on another wheel, further round or falling, say the same.
func TestTheWheelMakesNoOdds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tdc := float64(rapid.IntRange(0, 359).Draw(t, "tdc"))
		falls := rapid.Bool().Draw(t, "falls")
		on := func(a float64) float64 {
			if falls {
				return unit.Turn(tdc - a)
			}
			return unit.Turn(tdc + a)
		}
		plain := note{engine: engineA(), before: []float64{340, 20}, lines: good}.build()
		turned := note{engine: engineA(), before: []float64{on(340), on(20)}, lines: good}.build()
		if falls {
			turned.Wheel.Numbers = build.NumbersFall
		}
		for i := range turned.Passes[0].Readings {
			v := &turned.Passes[0].Readings[i].Value.Value
			*v = on(*v)
		}
		a, err := findings.Run(plain, findings.Options{})
		if err != nil {
			t.Fatal(err)
		}
		b, err := findings.Run(turned, findings.Options{})
		if err != nil {
			t.Fatal(err)
		}
		if len(b.Passes[0].Problems) > 0 {
			t.Fatalf("problems %v", b.Passes[0].Problems)
		}
		for i := range a.Passes[0].Windows {
			x, y := &a.Passes[0].Windows[i], &b.Passes[0].Windows[i]
			if math.Abs(unit.Signed(*x.OpensDeg-*y.OpensDeg)) > 1e-5 || math.Abs(*x.DurationDeg-*y.DurationDeg) > 1e-5 ||
				math.Abs(*x.OpensU95Deg-*y.OpensU95Deg) > 1e-5 || math.Abs(*x.TravelMM-*y.TravelMM) > 1e-5 {
				t.Fatalf("%s: %v %v, turned %v %v", x.Name, *x.OpensDeg, *x.DurationDeg, *y.OpensDeg, *y.DurationDeg)
			}
		}
	})
}
