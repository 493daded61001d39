package findings_test

import (
	"math"
	"testing"

	"portwright/engine/build"
	"portwright/engine/findings"
	"portwright/engine/unit"
)

// A pass that names its own wheel is read with it, and the build's stands for
// the others. The angles are those of the definitions: a wheel whose numbers
// fall shows 360 less the angle.
func TestAPassOnItsOwnWheel(t *testing.T) {
	pass := func(name string, w build.Wheel, opens, closes float64) build.Pass {
		read := func(event string, v float64) build.Reading {
			return build.Reading{Window: "exhaust", Event: event, Value: unit.Length{Value: v}}
		}
		return build.Pass{Name: name, Wheel: w, Readings: []build.Reading{read(build.Opens, opens), read(build.Closes, closes)}}
	}
	b := &build.Build{
		Format: build.Format, Version: build.Version, Name: "two wheels",
		Wheel:   build.Wheel{Numbering: build.Numbering360, Numbers: build.NumbersFall},
		Windows: []build.Window{{Name: "exhaust", Kind: build.KindExhaust}},
		Passes: []build.Pass{
			pass("before", build.Wheel{Numbering: build.Numbering180, Numbers: build.NumbersRise}, 102, 102),
			pass("after", build.Wheel{}, 260, 100),
		},
	}
	if err := build.Check(b); err != nil {
		t.Fatal(err)
	}
	r, err := findings.Run(b, findings.Options{})
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []struct{ opens, closes float64 }{{102, 258}, {100, 260}} {
		w := r.Passes[i].Windows[0]
		if w.OpensDeg == nil || w.ClosesDeg == nil || math.Abs(*w.OpensDeg-want.opens) > 1e-9 || math.Abs(*w.ClosesDeg-want.closes) > 1e-9 {
			t.Errorf("pass %d: opens %v, closes %v, want %v", i, w.OpensDeg, w.ClosesDeg, want)
		}
	}
	b.Passes[0].Readings[0].Value.Value = 200
	if build.Check(b) == nil {
		t.Error("200 stands on a wheel of 0 to 180 to 0")
	}
	b.Passes[0].Wheel.Numbering = "0-400"
	if build.Check(b) == nil {
		t.Error("a pass has a wheel that there is not")
	}
}
