package wheel_test

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"

	"portwright/engine/unit"
	"portwright/engine/wheel"
)

// Definitions of the three numberings: quarters of a 0-90-0-90 wheel read ATDC,
// BBDC, ABDC and BTDC; a wheel that counts backwards shows 260 where one that
// counts with the engine shows 100.
func TestNumberings(t *testing.T) {
	for _, c := range []struct {
		what  string
		w     wheel.Wheel
		label float64
		hint  wheel.Hint
		want  float64
	}{
		{"rising", wheel.Wheel{Numbering: wheel.To360}, 100, wheel.Hint{}, 100},
		{"falling, opening", wheel.Wheel{Numbering: wheel.To360, Falls: true}, 260, wheel.Hint{}, 100},
		{"falling, closing", wheel.Wheel{Numbering: wheel.To360, Falls: true}, 100, wheel.Hint{Up: true}, 260},
		{"360 is 0", wheel.Wheel{Numbering: wheel.To360}, 360, wheel.Hint{}, 0},
		{"half turns, going down", wheel.Wheel{Numbering: wheel.To180}, 100, wheel.Hint{}, 100},
		{"half turns, coming up", wheel.Wheel{Numbering: wheel.To180}, 100, wheel.Hint{Up: true}, 260},
		{"quarter 1: ATDC", wheel.Wheel{Numbering: wheel.To90}, 75, wheel.Hint{NearTop: true}, 75},
		{"quarter 2: BBDC", wheel.Wheel{Numbering: wheel.To90}, 80, wheel.Hint{}, 100},
		{"quarter 3: ABDC", wheel.Wheel{Numbering: wheel.To90}, 80, wheel.Hint{Up: true}, 260},
		{"quarter 4: BTDC", wheel.Wheel{Numbering: wheel.To90}, 75, wheel.Hint{Up: true, NearTop: true}, 285},
		{"quarter said", wheel.Wheel{Numbering: wheel.To90}, 88, wheel.Hint{Quarter: 1}, 88},
		{"falling makes no odds on a wheel that repeats", wheel.Wheel{Numbering: wheel.To90, Falls: true}, 80, wheel.Hint{}, 100},
	} {
		got, err := c.w.Resolve(c.label, 0, c.hint)
		if err != nil || math.Abs(got.Angle-c.want) > 1e-12 {
			t.Errorf("%s: %v after TDC (%v), want %v", c.what, got.Angle, err, c.want)
		}
	}
}

func TestNumbersNearAQuartersEndAreAskedAbout(t *testing.T) {
	w := wheel.Wheel{Numbering: wheel.To90}
	for _, c := range []struct {
		label  float64
		hint   wheel.Hint
		unsure bool
		other  float64
	}{
		{88, wheel.Hint{}, true, 88},
		{84, wheel.Hint{}, true, 84},
		{83.5, wheel.Hint{}, false, 83.5},
		{88, wheel.Hint{Quarter: 2}, false, 88},
		{90, wheel.Hint{}, false, 90}, // both sides are the same angle
		{87, wheel.Hint{Up: true, NearTop: true}, true, 267},
		{4, wheel.Hint{}, true, 4},
	} {
		got, err := w.Resolve(c.label, 0, c.hint)
		if err != nil || got.Unsure != c.unsure || math.Abs(unit.Signed(got.Other-c.other)) > 1e-9 {
			t.Errorf("%v %+v: unsure %v, other %v (%v), want %v, %v", c.label, c.hint, got.Unsure, got.Other, err, c.unsure, c.other)
		}
	}
}

func TestLabelsOffTheWheelAreRefused(t *testing.T) {
	for n, bad := range map[wheel.Numbering][]float64{
		wheel.To360: {-0.5, 360.5, math.NaN(), math.Inf(1)},
		wheel.To180: {-1, 180.5, 200},
		wheel.To90:  {90.5, 100, math.NaN()},
	} {
		for _, label := range bad {
			_, err := wheel.Wheel{Numbering: n}.Resolve(label, 0, wheel.Hint{})
			var input *unit.InputError
			if !errors.As(err, &input) {
				t.Errorf("%v on a %s wheel: error %v, want an input error", label, n, err)
			}
		}
	}
	for _, c := range [][2]string{{"0-270", "rise"}, {"0-360", "sideways"}} {
		if _, err := wheel.New(c[0], c[1]); err == nil {
			t.Errorf("%v: no error", c)
		}
	}
}

func drawWheel(t *rapid.T) wheel.Wheel {
	return wheel.Wheel{
		Numbering: rapid.SampledFrom([]wheel.Numbering{wheel.To360, wheel.To180, wheel.To90}).Draw(t, "numbering"),
		Falls:     rapid.Bool().Draw(t, "falls"),
	}
}

// What the wheel shows at an angle, resolved with where the crank stood, is
// that angle again.
func TestShownNumberLeadsBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := drawWheel(t)
		tdc := rapid.Float64Range(0, 359.999).Draw(t, "tdc")
		if w.Repeats() {
			tdc = unit.Turn(rapid.Float64Range(-4, 4).Draw(t, "mark off TDC"))
		}
		a := rapid.Float64Range(0, 359.999).Draw(t, "angle")
		// Within the mark's distance of a dead centre the number does not say
		// which side of it is meant.
		fromMark := math.Abs(unit.Signed(2*a)) / 2
		if w.Numbering == wheel.To90 {
			fromMark = math.Abs(unit.Signed(4*a)) / 4
		}
		if w.Repeats() && fromMark < 8 {
			return
		}
		got, err := w.Resolve(w.Shows(a, tdc), tdc, wheel.Hint{Up: a > 180, Quarter: int(a/90) + 1})
		if err != nil || math.Abs(unit.Signed(got.Angle-a)) > 1e-9 {
			t.Fatalf("%+v at %v with TDC at %v shows %v, resolved to %v (%v)", w, a, tdc, w.Shows(a, tdc), got.Angle, err)
		}
	})
}

func TestPlaceAndAngleAreInverse(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := drawWheel(t)
		tdc := rapid.Float64Range(0, 359.999).Draw(t, "tdc")
		a := rapid.Float64Range(0, 359.999).Draw(t, "angle")
		p := w.Place(a, tdc)
		if got := w.Angle(p, tdc); math.Abs(unit.Signed(got-a)) > 1e-9 {
			t.Fatalf("angle %v is place %v, which is angle %v", a, p, got)
		}
		if l := w.Label(p); w.CheckLabel(l) != nil {
			t.Fatalf("place %v carries label %v, which is not on the wheel", p, l)
		}
	})
}

func TestEveryPlaceOfALabelCarriesIt(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := drawWheel(t)
		label := rapid.Float64Range(0, w.Top()).Draw(t, "label")
		places, n := w.Places(label)
		for _, p := range places[:n] {
			if got := w.Label(p); math.Abs(unit.Signed(got-label)) > 1e-9 {
				t.Fatalf("place %v of label %v carries %v", p, label, got)
			}
		}
	})
}

// FuzzScales: a number that stands on a wheel, resolved anyhow and shown again,
// is the same number.
func FuzzScales(f *testing.F) {
	f.Add(uint8(0), 104.5, 2.0, false, false, uint8(0))
	f.Add(uint8(1), 100.0, 0.0, false, true, uint8(0))
	f.Add(uint8(2), 80.0, 359.0, false, false, uint8(2))
	f.Add(uint8(2), 88.0, 0.0, true, true, uint8(0))
	f.Add(uint8(3), 260.0, 180.0, true, true, uint8(9))
	f.Add(uint8(0), 360.0, 360.0, false, false, uint8(0))
	f.Fuzz(func(t *testing.T, kind uint8, label, tdc float64, up, near bool, quarter uint8) {
		w := wheel.Wheel{Numbering: []wheel.Numbering{wheel.To360, wheel.To180, wheel.To90}[kind%3], Falls: kind%2 == 1}
		if math.IsNaN(tdc) || math.Abs(tdc) > 1e6 {
			return
		}
		got, err := w.Resolve(label, tdc, wheel.Hint{Up: up, NearTop: near, Quarter: int(quarter)})
		if err != nil {
			if w.CheckLabel(label) == nil {
				t.Fatalf("label %v stands on the wheel and is refused: %v", label, err)
			}
			return
		}
		if !(got.Angle >= 0 && got.Angle < 360) {
			t.Fatalf("angle %v is not within a turn", got.Angle)
		}
		if shown := w.Shows(got.Angle, tdc); math.Abs(unit.Signed(shown-label)) > 1e-6 {
			t.Fatalf("%s wheel, TDC at %v: %v is %v after TDC, which shows %v", w.Numbering, tdc, label, got.Angle, shown)
		}
	})
}
