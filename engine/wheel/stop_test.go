package wheel_test

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"

	"portwright/engine/crank"
	"portwright/engine/stat"
	"portwright/engine/unit"
	"portwright/engine/wheel"
)

func TestContact(t *testing.T) {
	rise := wheel.Wheel{Numbering: wheel.To360}
	fall := wheel.Wheel{Numbering: wheel.To360, Falls: true}
	half := wheel.Wheel{Numbering: wheel.To180}
	quarter := wheel.Wheel{Numbering: wheel.To90}
	for _, c := range []struct {
		what      string
		w         wheel.Wheel
		p         wheel.Pair
		tdc, half float64
		swapped   bool
		unsure    bool
	}{
		// Circular middle, by definition of the mean of two directions.
		{"across the 0 mark", rise, wheel.Pair{First: 341, Second: 23}, 2, 21, false, false},
		{"41 either side of 2", rise, wheel.Pair{First: 321, Second: 43}, 2, 41, false, false},
		{"even about 0", rise, wheel.Pair{First: 350, Second: 10}, 0, 10, false, false},
		{"away from 0", rise, wheel.Pair{First: 100, Second: 160}, 130, 30, false, false},
		{"falling", fall, wheel.Pair{First: 23, Second: 341}, 2, 21, false, false},
		{"noted the other way round", rise, wheel.Pair{First: 23, Second: 341}, 2, 21, true, false},
		{"at BDC", rise, wheel.Pair{First: 338, Second: 22, BDC: true}, 180, 22, false, false},
		{"at BDC of a wheel zeroed at TDC", rise, wheel.Pair{First: 158, Second: 202, BDC: true}, 0, 22, false, false},
		// On a 0-180-0 wheel 21 before and 23 after the mark: TDC lies 1 past it.
		{"half turns", half, wheel.Pair{First: 21, Second: 23}, 1, 22, false, false},
		{"half turns, other side", half, wheel.Pair{First: 24, Second: 20}, 358, 22, false, false},
		{"half turns at BDC", half, wheel.Pair{First: 160, Second: 158, BDC: true}, 1, 21, false, false},
		{"half turns, 180 at TDC", half, wheel.Pair{First: 158, Second: 160}, 179, 21, false, false},
		{"quarters", quarter, wheel.Pair{First: 21, Second: 23}, 1, 22, false, false},
	} {
		got, err := c.w.Contact(c.p, nil)
		if err != nil || math.Abs(unit.Signed(got.TDC-c.tdc)) > 1e-9 || math.Abs(got.Half-c.half) > 1e-9 ||
			got.Swapped != c.swapped || got.Unsure != c.unsure {
			t.Errorf("%s: %+v (%v), want TDC at %v, half %v, swapped %v", c.what, got, err, c.tdc, c.half, c.swapped)
		}
	}
	if _, err := half.Contact(wheel.Pair{First: 341, Second: 23}, nil); err == nil {
		t.Error("341 stands on no 0-180-0 wheel and is taken")
	}
	got, err := half.Contact(wheel.Pair{First: 50, Second: 130}, nil)
	if err != nil || !got.Unsure {
		t.Errorf("numbers that no mark is near: %+v (%v), want unsure", got, err)
	}
}

// How far the middle of two stop readings lies after TDC, stroke 34, rod 60.
// Independent: plane geometry computed in Python outside the project.
func TestMiddleOfTheStopWithOffset(t *testing.T) {
	for _, c := range []struct{ offset, travel, want float64 }{
		{1, 3, 0.030166}, {1, 5, 0.051673}, {1, 8, 0.086272}, {1, 10, 0.111058}, {1, 15, 0.180020}, {2, 10, 0.222107},
	} {
		m, err := crank.New(34, 60, c.offset)
		if err != nil {
			t.Fatal(err)
		}
		down, up, err := m.Angles(c.travel)
		if err != nil {
			t.Fatal(err)
		}
		w := wheel.Wheel{Numbering: wheel.To360}
		p := wheel.Pair{First: unit.Turn(unit.Deg(up) + 5), Second: unit.Turn(unit.Deg(down) + 5)}
		with, err := w.Contact(p, &m)
		if err != nil || math.Abs(with.TDC-5) > 1e-9 || math.Abs(with.Error-c.want) > 1e-6 {
			t.Errorf("offset %v, stop at %v mm: TDC at %v (%v), middle %v after it, want 5 and %v", c.offset, c.travel, with.TDC, err, with.Error, c.want)
		}
		without, err := w.Contact(p, nil)
		if err != nil || math.Abs(without.TDC-5-c.want) > 1e-6 {
			t.Errorf("offset %v not counted in: TDC at %v, want %v", c.offset, without.TDC, 5+c.want)
		}
	}
}

// A stop at any depth near either dead centre gives back the TDC that the wheel
// was set to, on every wheel, with and without offset.
func TestStopFindsTDC(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := drawWheel(t)
		stroke := rapid.Float64Range(20, 80).Draw(t, "stroke")
		m, err := crank.New(stroke, stroke*rapid.Float64Range(1.6, 2.2).Draw(t, "rod"), stroke*rapid.Float64Range(-0.05, 0.05).Draw(t, "offset"))
		if err != nil {
			t.Fatal(err)
		}
		tdc := rapid.Float64Range(0, 359.999).Draw(t, "tdc")
		if w.Repeats() {
			tdc = unit.Turn(rapid.Float64Range(-4, 4).Draw(t, "mark off TDC"))
		}
		bdc := rapid.Bool().Draw(t, "bdc")
		depth := m.ActualStroke() * rapid.Float64Range(0.05, 0.3).Draw(t, "depth")
		if bdc {
			depth = m.ActualStroke() - depth
		}
		down, up, err := m.Angles(depth)
		if err != nil {
			t.Fatal(err)
		}
		p := wheel.Pair{First: w.Shows(unit.Deg(up), tdc), Second: w.Shows(unit.Deg(down), tdc), BDC: bdc}
		if bdc { // the running way leads down to the stop, back onto it from the upstroke
			p.First, p.Second = p.Second, p.First
		}
		got, err := w.Contact(p, &m)
		if err != nil || math.Abs(unit.Signed(got.TDC-tdc)) > 1e-6 || got.Swapped {
			t.Fatalf("%+v, stop at %v (bdc %v): %+v (%v), want TDC at %v", w, depth, bdc, got, err, tdc)
		}
	})
}

func TestFindZero(t *testing.T) {
	w := wheel.Wheel{Numbering: wheel.To360}
	pool := stat.Pool{SD: 0.3, DF: 20}
	pair := func(a, b float64) wheel.Pair { return wheel.Pair{First: a, Second: b} }
	u := func(z wheel.Zero) float64 {
		u, _, err := stat.Combine(z.Parts...)
		if err != nil {
			t.Fatal(err)
		}
		return u
	}

	one, err := w.FindZero([]wheel.Check{{Pair: pair(341, 23)}}, pool, 0.5, nil)
	if err != nil || one.TDC != 2 || one.Half != 21 || one.Pairs != 1 || one.Slipped {
		t.Errorf("one check: %+v (%v)", one, err)
	}
	// JCGM 100:2008, eq. (10): the middle of two readings of scatter s and step q.
	if want := math.Sqrt(0.3*0.3/2 + 0.25/24); math.Abs(u(one)-want) > 1e-12 {
		t.Errorf("one check: u %v, want %v", u(one), want)
	}

	four := []wheel.Check{{Pair: pair(341, 23)}, {Pair: pair(330.5, 33.5)}, {Pair: pair(341, 23.5), After: true}, {Pair: pair(340.5, 23), After: true}}
	z, err := w.FindZero(four, pool, 0.5, nil)
	if err != nil || z.Pairs != 4 || math.Abs(z.TDC-2) > 1e-9 || z.Slipped {
		t.Errorf("two pairs before and after: %+v (%v)", z, err)
	}
	if u(z) >= u(one) {
		t.Errorf("four pairs are no better (%v) than one (%v)", u(z), u(one))
	}

	slip, err := w.FindZero([]wheel.Check{{Pair: pair(339, 21)}, {Pair: pair(343, 25), After: true}}, pool, 0.5, nil)
	if err != nil || slip.Slip != 4 || !slip.Slipped || slip.TDC != 0 || slip.Pairs != 1 {
		t.Errorf("slipped by 4: %+v (%v)", slip, err)
	}
	known, err := w.FindZero([]wheel.Check{{Pair: pair(339, 21)}, {Pair: pair(343, 25), After: true, Moved: 4}}, pool, 0.5, nil)
	if err != nil || known.Slip != 0 || known.Slipped || known.TDC != 0 || known.Pairs != 2 {
		t.Errorf("slip of 4 counted in: %+v (%v)", known, err)
	}

	apart := []wheel.Check{{Pair: pair(341, 23)}, {Pair: pair(343, 25)}}
	loose, err := w.FindZero(apart, pool, 0.5, nil)
	if err != nil || u(loose) <= u(one)/math.Sqrt2 {
		t.Errorf("pairs 2 deg apart: u %v, no more than their scatter of 1.4 over root 2 says", u(loose))
	}
	if _, err := w.FindZero(nil, pool, 0.5, nil); !errors.Is(err, stat.ErrTooFew) {
		t.Errorf("no check: %v", err)
	}
}
