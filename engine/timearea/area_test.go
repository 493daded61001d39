package timearea_test

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"

	"portwright/engine/chamber"
	"portwright/engine/crank"
	"portwright/engine/port"
	"portwright/engine/timearea"
	"portwright/engine/unit"
)

func mechanism(t testing.TB, stroke, rod, offset float64) crank.Mechanism {
	t.Helper()
	m, err := crank.New(stroke, rod, offset)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// Parts of the span add up to the whole, the closing side mirrors the opening
// side without offset, and the mean never exceeds the full area.
func TestAngleAreaOfAnyWindow(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		stroke := rapid.Float64Range(20, 70).Draw(t, "stroke")
		m, err := crank.New(stroke, stroke*rapid.Float64Range(1.6, 2.2).Draw(t, "rod"), 0)
		if err != nil {
			t.Fatal(err)
		}
		w := timearea.Window{Shape: port.Shape{Chord: 20, Height: 0.3 * stroke, CornerTop: 0.1 * stroke, CornerBottom: 0.05 * stroke, Arch: rapid.Float64Range(0, 3).Draw(t, "arch")},
			Travel: stroke * rapid.Float64Range(0.2, 0.9).Draw(t, "edge"), Skirt: rapid.Bool().Draw(t, "skirt")}
		if w.Check() != nil {
			return
		}
		from, to, err := w.Span(m)
		if err != nil {
			t.Fatal(err)
		}
		whole, err := w.AngleArea(m)
		if err != nil {
			t.Fatal(err)
		}
		if whole <= 0 || whole > (to-from)*w.FullArea() {
			t.Fatalf("angle-area %v, full area %v over %v degrees", whole, w.FullArea(), to-from)
		}
		cut := from + (to-from)*rapid.Float64Range(0, 1).Draw(t, "cut")
		if sum := w.Between(m, from, cut) + w.Between(m, cut, to); math.Abs(sum-whole) > 1e-7*whole {
			t.Fatalf("cut at %v: %v, whole %v", cut, sum, whole)
		}
		if half := w.Between(m, from, (from+to)/2); math.Abs(2*half-whole) > 1e-7*whole {
			t.Fatalf("opening half %v of %v", half, whole)
		}
	})
}

// The speed for a time-area is the one that it was worked out at.
func TestSpeedForIsTheInverse(t *testing.T) {
	m := mechanism(t, 34, 60, 0.5)
	vs := chamber.Displacement(48, m.ActualStroke())
	w := timearea.Window{Shape: port.Shape{Chord: 30, Height: 11.66, CornerTop: 4, CornerBottom: 3}, Travel: m.Travel(unit.Rad(100))}
	theta, err := w.AngleArea(m)
	if err != nil {
		t.Fatal(err)
	}
	for _, rpm := range []float64{3000, 9000, 14000} {
		if got := timearea.SpeedFor(theta, timearea.Specific(theta, rpm, vs), vs); math.Abs(got-rpm) > 1e-6 {
			t.Errorf("%v rpm comes back as %v", rpm, got)
		}
	}
	// The short method overrates a window that spends long half open.
	short, err := w.MeanArea(m, timearea.MeanOfExhaust, 9000, vs)
	if whole := timearea.Specific(theta, 9000, vs); err != nil || short < whole/2 || short > 2*whole {
		t.Errorf("short method %v, integral %v, %v", short, whole, err)
	}
	if v := timearea.StreamSpeed(0.6, 0.0110910); math.Abs(v-54.1) > 0.05 {
		t.Errorf("stream speed %v; 0.6/0.0110910 is 54.1 by hand", v)
	}
	if _, ok := timearea.Jennings("boost"); ok {
		t.Error("a range for a boost port")
	}
}

func TestEdgesOutOfReach(t *testing.T) {
	m := mechanism(t, 34, 60, 0)
	w := timearea.Window{Shape: port.Shape{Chord: 30, Height: 10}, Travel: 40}
	if _, err := w.AngleArea(m); !errors.Is(err, timearea.ErrNeverOpen) {
		t.Errorf("%v", err)
	}
	if _, err := w.At(m, 0); !errors.Is(err, timearea.ErrNeverOpen) {
		t.Errorf("%v", err)
	}
	w.Travel = m.Travel(unit.Rad(100))
	if a, err := w.At(m, 0); err != nil || math.Abs(a-100) > 1e-9 {
		t.Errorf("opens at %v, %v", a, err)
	}
	if a, err := w.BlowdownArea(m, 99); err != nil || a != 0 {
		t.Errorf("blowdown before the exhaust opens: %v, %v", a, err)
	}
	w.Skirt, w.Travel = true, m.Travel(unit.Rad(75))
	if a, err := w.At(m, 0); err != nil || math.Abs(a-285) > 1e-9 {
		t.Errorf("intake opens at %v, %v", a, err)
	}
}

func BenchmarkAngleArea(b *testing.B) {
	m := mechanism(b, 34, 60, 0)
	w := timearea.Window{Shape: port.Shape{Chord: 30, Height: 11.66, CornerTop: 4, CornerBottom: 3}, Travel: m.Travel(unit.Rad(100))}
	b.ReportAllocs()
	for b.Loop() {
		if a, err := w.AngleArea(m); err != nil || a == 0 {
			b.Fatal(a, err)
		}
	}
}
