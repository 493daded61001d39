// Package anybuild draws random builds for property tests. Every build that it
// draws can be written and read back unchanged; its numbers need not make sense.
package anybuild

import (
	"encoding/json"
	"fmt"

	"pgregory.net/rapid"

	"portwright/engine/build"
	"portwright/engine/unit"
)

// Draw draws a build without IDs.
func Draw(t *rapid.T) *build.Build {
	b := &build.Build{
		Format: build.Format, Version: build.Version,
		Number: text(t, "number"), Name: text(t, "name"), Note: text(t, "note"), State: text(t, "state"),
		Demo: rapid.Bool().Draw(t, "demo"), Engine: engine(t),
		Wheel: wheel(t),
		Extra: extra(t),
	}
	for i := range rapid.IntRange(0, 4).Draw(t, "windows") {
		b.Windows = append(b.Windows, build.Window{Name: fmt.Sprintf("%s %d", text(t, "window"), i), Kind: word(t, build.KindExhaust, build.KindBoost, "of a later version"),
			Chord: length(t), Height: length(t), CornerTop: length(t), Count: rapid.IntRange(0, 3).Draw(t, "count"), Extra: extra(t)})
	}
	for i := range rapid.IntRange(0, 3).Draw(t, "passes") {
		b.Passes = append(b.Passes, pass(t, fmt.Sprintf("pass %d", i), b.Windows))
	}
	plan(t, b)
	return b
}

func wheel(t *rapid.T) build.Wheel {
	return build.Wheel{Numbering: word(t, "", build.Numbering360, build.Numbering90), Numbers: word(t, "", build.NumbersFall),
		StepDeg: number(t), Diameter: length(t), Extra: extra(t)}
}

// plan draws what a plan stands on. Bites name passes and windows that are there.
func plan(t *rapid.T, b *build.Build) {
	for _, key := range rapid.Permutation(build.TargetKeys()).Draw(t, "order")[:rapid.IntRange(0, 4).Draw(t, "targets")] {
		v := unit.Length{Value: finite(t)}
		if key == build.TargetSquish {
			v = lengthIn(t, unit.MM)
		}
		b.Targets.List = append(b.Targets.List, build.Target{Key: key, Value: v})
	}
	b.Targets.Extra = extra(t)
	if rapid.Bool().Draw(t, "allowed") {
		b.Allowed = build.Allowed{BaseGaskets: []unit.Length{lengthIn(t, unit.MM)}, BaseCut: &build.Room{Max: length(t), Step: length(t), Extra: extra(t)},
			IntakeSkirt: &build.Room{}, Extra: extra(t)}
		b.Limits = build.Limits{SquishMin: length(t), ExhaustDurationMax: number(t), BlowdownMin: number(t), Extra: extra(t)}
		b.Rules = build.Rules{SquishLeast: length(t), SquishVelocityMost: number(t), FloorShroudMost: length(t), Extra: extra(t)}
	}
	for range rapid.IntRange(0, 2).Draw(t, "moves") {
		b.Moves = append(b.Moves, move(t, b))
	}
	for range rapid.IntRange(0, 2).Draw(t, "bites") {
		bite := build.Bite{Move: move(t, b), Struck: word(t, "", "measured wrong"), Device: text(t, "device"), At: word(t, "", "2026-03-14T09:12:00Z")}
		if len(b.Passes) > 0 {
			p := rapid.SampledFrom(b.Passes).Draw(t, "after")
			bite.Pass, bite.Cylinder = p.Name, p.Cylinder
		}
		b.Bites = append(b.Bites, bite)
	}
}

func move(t *rapid.T, b *build.Build) build.Move {
	m := build.Move{Move: word(t, build.MoveBaseCut, build.MoveExhaustRoof, "of a later version"), ByMM: length(t), ToMM: length(t), ToMM2: number(t), Extra: extra(t)}
	if len(b.Windows) > 0 && rapid.Bool().Draw(t, "one window") {
		m.Window = rapid.SampledFrom(b.Windows).Draw(t, "cut").Name
	}
	return m
}

func engine(t *rapid.T) build.Engine {
	e := build.Engine{Cylinders: rapid.IntRange(0, 4).Draw(t, "cylinders"), Bore: length(t), Stroke: length(t), Rod: length(t), PinOffset: length(t),
		Intake: word(t, "", build.IntakeReed, "steam"), BaseGasket: length(t), CrownBelowDeck: length(t), ChamberCC: number(t), Extra: extra(t)}
	for range rapid.IntRange(0, 3).Draw(t, "places") {
		e.Squish = append(e.Squish, lengthIn(t, unit.MM))
	}
	return e
}

func pass(t *rapid.T, name string, windows []build.Window) build.Pass {
	p := build.Pass{Name: name, Cylinder: rapid.IntRange(0, 4).Draw(t, "cylinder"), Habit: word(t, "", build.HabitDepth), Wheel: wheel(t), ChamberCC: number(t), Extra: extra(t)}
	if rapid.Bool().Draw(t, "squish read") {
		p.Squish = []unit.Length{lengthIn(t, unit.MM)}
	}
	for range rapid.IntRange(0, 3).Draw(t, "stops") {
		p.Stops = append(p.Stops, stop(t))
	}
	if len(windows) > 0 {
		for range rapid.IntRange(0, 6).Draw(t, "readings") {
			p.Readings = append(p.Readings, reading(t, windows))
		}
	}
	for range rapid.IntRange(0, 2).Draw(t, "corrections") {
		p.Corrections = append(p.Corrections, correction(t, len(p.Readings)))
	}
	return p
}

func stop(t *rapid.T) build.StopCheck {
	s := build.StopCheck{When: word(t, build.WhenBefore, build.WhenAfter), Near: word(t, build.NearTDC, build.NearBDC),
		Struck: word(t, "", "wheel bumped"), Device: text(t, "device"), Extra: extra(t)}
	for range rapid.IntRange(1, 2).Draw(t, "stop readings") {
		s.Readings = append(s.Readings, finite(t))
	}
	if len(s.Readings) == 1 {
		s.Way = word(t, "", build.WayBack)
	}
	if rapid.Bool().Draw(t, "timed") {
		for range s.Readings {
			s.At = append(s.At, "2026-03-14T09:12:00Z")
		}
	}
	return s
}

func reading(t *rapid.T, windows []build.Window) build.Reading {
	r := build.Reading{Window: rapid.SampledFrom(windows).Draw(t, "of window").Name, Event: word(t, build.Opens, build.Closes), Value: lengthIn(t, ""),
		Method: word(t, "", "light", "feeler"), FeelerMM: length(t), Side: word(t, "", build.SideUp), Quarter: rapid.IntRange(0, 4).Draw(t, "quarter"),
		Struck: word(t, "", text(t, "reason")), Device: text(t, "device"), Extra: extra(t)}
	if rapid.Bool().Draw(t, "timed") {
		r.At = "2026-03-14T09:12:00Z"
	}
	return r
}

func correction(t *rapid.T, readings int) build.Correction {
	c := build.Correction{Code: text(t, "code"), Kind: word(t, build.CorrectMirror, build.CorrectShiftAfter),
		ByDeg: finite(t), Field: text(t, "field"), Extra: extra(t)}
	if readings > 0 {
		c.After = rapid.IntRange(0, readings).Draw(t, "after")
		for range rapid.IntRange(0, 3).Draw(t, "named") {
			c.Readings = append(c.Readings, rapid.IntRange(1, readings).Draw(t, "place"))
		}
	}
	return c
}

func word(t *rapid.T, words ...string) string { return rapid.SampledFrom(words).Draw(t, "word") }

func text(t *rapid.T, label string) string {
	return word(t, "", label, "Ø 44 <é>", "two\nlines \"quoted\"", "=1+1", "a.b/c")
}

func finite(t *rapid.T) float64 {
	if rapid.Bool().Draw(t, "plain") {
		return float64(rapid.IntRange(-720, 720).Draw(t, "halves")) / 2
	}
	return rapid.Float64Range(-1e12, 1e12).Draw(t, "value") + 0 // no negative zero
}

func number(t *rapid.T) *float64 {
	if rapid.Bool().Draw(t, "known") {
		f := finite(t)
		return &f
	}
	return nil
}

func length(t *rapid.T) *unit.Length {
	if rapid.Bool().Draw(t, "known") {
		l := lengthIn(t, unit.MM)
		return &l
	}
	return nil
}

func lengthIn(t *rapid.T, bare unit.LengthUnit) unit.Length {
	return unit.Length{Value: finite(t), Unit: rapid.SampledFrom([]unit.LengthUnit{bare, unit.Inch, unit.Thou}).Draw(t, "unit")}
}

func extra(t *rapid.T) build.Extra {
	var x build.Extra
	for range rapid.IntRange(0, 2).Draw(t, "extra") {
		if x == nil {
			x = build.Extra{}
		}
		key := word(t, "later", "x.y", "é", "\"", "wishes")
		x[key] = json.RawMessage(word(t, "null", "0.10", `{"a":[1,{"b":"<&>"}]}`, `"é"`, "1e999", "[]"))
	}
	return x
}
