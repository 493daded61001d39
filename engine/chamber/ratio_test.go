package chamber_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"portwright/engine/chamber"
	"portwright/engine/crank"
	"portwright/engine/unit"
)

func TestDisplacement(t *testing.T) {
	for _, c := range []struct {
		source             string
		bore, stroke, want float64
		within             float64
	}{
		{"workshop page, prints 173.7 with pi as 3.142", 64, 54, 173.7, 0.05},
		{"independent: Python outside the project", 54, 54, 123.672, 0.001},
		{"independent: Python outside the project", 44, 32.5, 49.4173, 0.0001},
	} {
		if got := chamber.Displacement(c.bore, c.stroke); math.Abs(got-c.want) > c.within {
			t.Errorf("%v x %v: %v, want %v (%s)", c.bore, c.stroke, got, c.want, c.source)
		}
	}
}

func TestGeometricRatio(t *testing.T) {
	// Bell, cylinder-head chapter: bore and stroke 54, about 15 to 1, 8.8 cm3.
	if got := chamber.GeometricRatio(chamber.Displacement(54, 54), 8.8); math.Abs(got-15) > 0.1 {
		t.Errorf("54 x 54 with 8.8 cc: %v, want about 15", got)
	}
	// Independent: Python outside the project.
	for vc, want := range map[float64]float64{5: 13.304990, 5.5: 12.186355, 6: 11.254158, 6.5: 10.465377} {
		if got := chamber.GeometricRatio(chamber.Displacement(48, 34), vc); math.Abs(got-want) > 1e-6 {
			t.Errorf("48 x 34 with %v cc: %v, want %v", vc, got, want)
		}
	}
}

// The trapped ratio is the volume at exhaust closing over that at TDC, both
// V_c + A_p x. Independent: bore 54, stroke 54.5, rod 105, 10.5 cc, closing at
// 274 after TDC, slider-crank solved in Python outside the project: 7.3099.
func TestTrappedRatio(t *testing.T) {
	m, err := crank.New(54.5, 105, 0)
	if err != nil {
		t.Fatal(err)
	}
	if got := chamber.TrappedRatio(54, m.Travel(unit.Rad(274)), 10.5); math.Abs(got-7.3099) > 1e-4 {
		t.Errorf("trapped ratio %v, want 7.3099", got)
	}
}

// An exhaust that closed at BDC would trap the full stroke; one that closes
// later traps less, never less than nothing.
func TestTrappedLiesBelowGeometric(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		bore, stroke := rapid.Float64Range(15, 100).Draw(t, "bore"), rapid.Float64Range(15, 100).Draw(t, "stroke")
		vc := rapid.Float64Range(0.5, 80).Draw(t, "clearance")
		x := rapid.Float64Range(0, stroke).Draw(t, "travel")
		full := chamber.GeometricRatio(chamber.Displacement(bore, stroke), vc)
		trapped := chamber.TrappedRatio(bore, x, vc)
		if trapped < 1 || trapped > full*(1+1e-12) {
			t.Fatalf("trapped %v, geometric %v", trapped, full)
		}
		if whole := chamber.TrappedRatio(bore, stroke, vc); math.Abs(whole-full) > 1e-9*full {
			t.Fatalf("closing at BDC traps %v, geometric %v", whole, full)
		}
	})
}

func TestSquish(t *testing.T) {
	if _, ok := chamber.MeasuredSquish(nil); ok {
		t.Error("squish out of nothing")
	}
	one, _ := chamber.MeasuredSquish([]float64{0.9})
	if one.PinAxis != 0.9 || one.Spread() != 0 || one.Places != 1 {
		t.Errorf("one place: %+v", one)
	}
	four, _ := chamber.MeasuredSquish([]float64{0.9, 1.0, 0.8, 1.15})
	if math.Abs(four.PinAxis-0.95) > 1e-12 || math.Abs(four.Spread()-0.35) > 1e-12 || four.Least != 0.8 || four.Most != 1.15 {
		t.Errorf("four places: %+v", four)
	}
}
