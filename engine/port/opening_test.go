package port_test

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"

	"portwright/engine/crank"
	"portwright/engine/port"
	"portwright/engine/unit"
)

// anyShape draws an outline that can be.
func anyShape(t *rapid.T) port.Shape {
	f := func(name string, low, high float64) float64 { return rapid.Float64Range(low, high).Draw(t, name) }
	s := port.Shape{Chord: f("chord", 5, 50), Count: rapid.IntRange(0, 3).Draw(t, "count")}
	s.Arch = f("arch", 0, 1) * rapid.SampledFrom([]float64{0, 1e-4, 0.01, 0.5}).Draw(t, "arched") * s.Chord
	s.CornerTop, s.CornerBottom = f("top", 0, 0.5)*s.Chord, f("bottom", 0, 0.5)*s.Chord
	s.Bridges = rapid.IntRange(0, 3).Draw(t, "bridges")
	if s.Bridges > 0 {
		s.BridgeWidth = f("bridge", 0, 0.9) * s.Chord / float64(s.Bridges)
	}
	// High enough for arch and corners: the deepest end of an arched corner is
	// at most arch and radius together.
	s.Height = s.Arch + s.CornerTop + s.CornerBottom + f("height", 0.5, 20)
	if err := s.Check(); err != nil {
		t.Fatal(err)
	}
	return s
}

// The area grows with the depth, never faster than the clear width, and what
// is open from the roof and from the floor make up the whole window.
func TestAreaOfAnyShape(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := anyShape(t)
		n := float64(max(s.Count, 1))
		scale := s.Chord * s.Height * n
		last := 0.0
		for i := range 41 {
			u := s.Height * float64(i) / 40
			a := s.Area(u)
			if a < last-1e-9*scale || a > last+(s.Chord*s.Height/40)*n+1e-9*scale {
				t.Fatalf("area at %v is %v after %v", u, a, last)
			}
			if sum := a + s.AreaFromFloor(s.Height-u); math.Abs(sum-s.FullArea()) > 1e-9*scale {
				t.Fatalf("roof and floor parts at %v make %v of %v", u, sum, s.FullArea())
			}
			last = a
		}
		if s.Area(-1) != 0 || s.Area(s.Height+5) != s.FullArea() {
			t.Fatal("beyond the window")
		}
	})
}

// Corners take (1 - pi/4) r^2 each, an arch the segment of its circle, a bridge
// its own width. Source: plane geometry.
func TestFullArea(t *testing.T) {
	s := port.Shape{Chord: 30, Height: 11, CornerTop: 4, CornerBottom: 3}
	if want := 30*11 - (2-math.Pi/2)*(16+9); math.Abs(s.FullArea()-want) > 1e-9 {
		t.Errorf("rounded: %v, want %v", s.FullArea(), want)
	}
	half := port.Shape{Chord: 20, Height: 15, Arch: 10, Count: 2}
	if want := 2 * (math.Pi*100/2 + 20*5); math.Abs(half.FullArea()-want) > 1e-9 {
		t.Errorf("two half round: %v, want %v", half.FullArea(), want)
	}
	s.Bridges, s.BridgeWidth = 1, 3
	if want := 30*11 - (2-math.Pi/2)*25 - 33; math.Abs(s.FullArea()-want) > 1e-9 {
		t.Errorf("bridged: %v, want %v", s.FullArea(), want)
	}
	// A bridge under the crest of an arch hides the first light.
	arched := port.Shape{Chord: 30, Height: 12, Arch: 3, Bridges: 1, BridgeWidth: 4}
	if a := arched.Area(0.03); a != 0 {
		t.Errorf("behind the bridge %v mm2 are open", a)
	}
	if f := (port.Shape{AimDeg: 60, SweepDeg: 60}).StreamFactor(); math.Abs(f-0.25) > 1e-12 {
		t.Errorf("stream factor %v, want 0.25", f)
	}
}

func TestShapesThatCantBe(t *testing.T) {
	good := port.Shape{Chord: 30, Height: 11}
	for field, change := range map[string]func(*port.Shape){
		"height_mm":     func(s *port.Shape) { s.Height = 0 },
		"chord_mm":      func(s *port.Shape) { s.Chord = math.NaN() },
		"arch_mm":       func(s *port.Shape) { s.Arch = 16 },
		"corner_top_mm": func(s *port.Shape) { s.CornerTop = 15.1 },
		"bridge_mm":     func(s *port.Shape) { s.Bridges, s.BridgeWidth = 2, 15 },
	} {
		s := good
		change(&s)
		var in *unit.InputError
		if err := s.Check(); !errors.As(err, &in) || in.Field != field || in.Reason == "" {
			t.Errorf("%s: %v", field, err)
		}
	}
	s := good
	s.CornerTop, s.CornerBottom = 6, 6
	if s.Check() == nil {
		t.Error("corners higher than the window")
	}
}

func TestOpenArea(t *testing.T) {
	m, err := crank.New(34, 60, 0)
	if err != nil {
		t.Fatal(err)
	}
	s := port.Shape{Chord: 30, Height: 10, CornerTop: 4, CornerBottom: 3}
	roof := m.Travel(unit.Rad(100))
	for _, c := range []struct {
		deg   float64
		skirt bool
		at    float64 // of the window's height
		want  float64
	}{
		{99, false, roof, 0}, {180, false, roof, s.FullArea()}, {261, false, roof, 0},
		{0, true, 10, s.FullArea()}, {100, true, 10, 0},
	} {
		if got := s.OpenArea(m, c.at, unit.Rad(c.deg), c.skirt); math.Abs(got-c.want) > 1e-9 {
			t.Errorf("at %v: %v, want %v", c.deg, got, c.want)
		}
	}
}

// Chord to arc and back.
func TestChordAndArc(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		bore := rapid.Float64Range(10, 100).Draw(t, "bore")
		chord := rapid.Float64Range(0, 1).Draw(t, "share") * bore
		arc, ok := port.ArcOf(bore, chord)
		back, ok2 := port.ChordOf(bore, arc)
		if !ok || !ok2 || math.Abs(back-chord) > 1e-9*bore || arc < chord-1e-12*bore {
			t.Fatalf("chord %v, arc %v, back %v", chord, arc, back)
		}
	})
	for _, wide := range []float64{48.1, math.NaN()} {
		if _, ok := port.ArcOf(48, wide); ok {
			t.Errorf("a chord of %v in a bore of 48", wide)
		}
	}
}
