package unit_test

import (
	"encoding/json"
	"errors"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"portwright/engine/unit"
)

func TestLengthJSON(t *testing.T) {
	for _, c := range []struct {
		in string
		mm float64
	}{
		{`34`, 34},
		{`32.5`, 32.5},
		{`-0.4`, -0.4},
		{`{"mm":32.5}`, 32.5},
		{`{"in":1.145}`, 29.083},
		{`{"thou":20}`, 0.508},
	} {
		var l unit.Length
		if err := json.Unmarshal([]byte(c.in), &l); err != nil {
			t.Errorf("%s: %v", c.in, err)
			continue
		}
		if math.Abs(l.MM()-c.mm) > 1e-12 {
			t.Errorf("%s is %v mm, want %v", c.in, l.MM(), c.mm)
		}
		out, err := json.Marshal(l)
		if err != nil || string(out) != c.in {
			t.Errorf("%s was written back as %s, %v", c.in, out, err)
		}
	}
}

func TestLengthJSONRefuses(t *testing.T) {
	for _, in := range []string{
		`"34"`, `"104,5"`, `true`, `[]`, `[34]`, `{}`, `{"cm":3}`, `{"in":1,"mm":2}`, `{"in":"1"}`, `{"in":null}`, `{"in":{}}`,
		`{"IN":1}`, `1e999`, `{"mm":1e999}`, `{"thou":-1e999}`,
	} {
		var l unit.Length
		err := json.Unmarshal([]byte(in), &l)
		var bad *unit.InputError
		if !errors.As(err, &bad) {
			t.Errorf("%s was taken as %v (%v)", in, l, err)
			continue
		}
		if !strings.Contains(bad.Reason, "mm") {
			t.Errorf("%s: %q does not say what would be right", in, bad.Reason)
		}
	}
	for _, l := range []unit.Length{{Value: math.NaN()}, {Value: math.Inf(1), Unit: unit.Inch}, {Value: 1, Unit: "cm"}} {
		if out, err := json.Marshal(l); err == nil {
			t.Errorf("%v was written as %s", l, out)
		}
	}
	l := &unit.Length{Value: 34}
	if err := json.Unmarshal([]byte("null"), &l); err != nil || l != nil {
		t.Errorf("null gave %v, %v", l, err)
	}
}

func TestLengthJSONComesBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := unit.Length{
			Value: rapid.Float64().Draw(t, "value"),
			Unit:  rapid.SampledFrom([]unit.LengthUnit{"", unit.MM, unit.Inch, unit.Thou}).Draw(t, "unit"),
		}
		out, err := json.Marshal(l)
		if err != nil {
			t.Fatal(err)
		}
		var back unit.Length
		if err := json.Unmarshal(out, &back); err != nil || back != l {
			t.Fatalf("%v was written %s and read %v, %v", l, out, back, err)
		}
	})
}

func TestParseLength(t *testing.T) {
	for _, c := range []struct {
		in    string
		given unit.LengthUnit
		want  unit.Length
	}{
		{"34", unit.MM, unit.Length{Value: 34, Unit: unit.MM}},
		{"34,5", "", unit.Length{Value: 34.5}},
		{"34.5 mm", unit.Inch, unit.Length{Value: 34.5, Unit: unit.MM}},
		{"1.145", unit.Inch, unit.Length{Value: 1.145, Unit: unit.Inch}},
		{"1.145in", unit.MM, unit.Length{Value: 1.145, Unit: unit.Inch}},
		{`1.145"`, unit.MM, unit.Length{Value: 1.145, Unit: unit.Inch}},
		{"1⅜ inch", unit.MM, unit.Length{Value: 1.375, Unit: unit.Inch}},
		{"13/16", unit.Inch, unit.Length{Value: 0.8125, Unit: unit.Inch}}, // 13 divided by 16
		{"1 13/16", unit.Inch, unit.Length{Value: 1.8125, Unit: unit.Inch}},
		{`1-13/16"`, unit.MM, unit.Length{Value: 1.8125, Unit: unit.Inch}},
		{" 2  1/64 in", unit.MM, unit.Length{Value: 2.015625, Unit: unit.Inch}},
		{"-1/32", unit.Inch, unit.Length{Value: -0.03125, Unit: unit.Inch}},
		{"2 Inches", unit.MM, unit.Length{Value: 2, Unit: unit.Inch}},
		{"20 thou", unit.MM, unit.Length{Value: 20, Unit: unit.Thou}},
		{"20 thousandths", unit.MM, unit.Length{Value: 20, Unit: unit.Thou}},
	} {
		got, err := unit.ParseLength(c.in, c.given)
		if err != nil || got != c.want {
			t.Errorf("%q: %+v, %v; want %+v", c.in, got, err, c.want)
		}
	}
	for _, in := range []string{"", "mm", "3 cm", "20 mm mm", "1,234.5 mm", "twenty", "1e3 mm", "nan in",
		"13/16", "13/16 thou", "17/16 in", "0/16 in", "5/10 in", "1/128 in", "1/0 in", "1 2 13/16 in", "1.5 1/2 in", "--1/2 in", "1/2/4 in", "/2 in", "1/ in"} {
		l, err := unit.ParseLength(in, unit.MM)
		var bad *unit.InputError
		if !errors.As(err, &bad) || bad.Value != in {
			t.Errorf("%q was taken as %v, error %v", in, l, err)
		} else if strings.Contains(bad.Reason, "104") {
			t.Errorf("%q: a length's hint shows an angle: %s", in, bad.Reason)
		}
	}
}

func TestLengthInOtherUnits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		all := []unit.LengthUnit{"", unit.MM, unit.Inch, unit.Thou}
		l := unit.Length{Value: rapid.Float64Range(-1e4, 1e4).Draw(t, "value"), Unit: rapid.SampledFrom(all).Draw(t, "unit")}
		u := rapid.SampledFrom(all[1:]).Draw(t, "to")
		got := l.In(u)
		if got.Unit != u || math.Abs(got.MM()-l.MM()) > 1e-12*math.Max(1, math.Abs(l.MM())) {
			t.Fatalf("%v in %s is %v", l, u, got)
		}
	})
}

func TestLengthText(t *testing.T) {
	for _, c := range []struct {
		l    unit.Length
		want string
	}{
		{unit.Length{Value: 34}, "34 mm"},
		{unit.Length{Value: 0.1 + 0.2, Unit: unit.MM}, "0.3 mm"},
		{unit.Length{Value: 1.145, Unit: unit.Inch}, "1.145 in"},
		{unit.Length{Value: 20, Unit: unit.Thou}, "20 thou"},
	} {
		if got := c.l.String(); got != c.want {
			t.Errorf("%+v reads %q, want %q", c.l, got, c.want)
		}
	}
}

func TestTurns(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		deg := rapid.Float64Range(-1e5, 1e5).Draw(t, "deg")
		a, s := unit.Turn(deg), unit.Signed(deg)
		if !(a >= 0 && a < 360) || !(s > -180 && s <= 180) {
			t.Fatalf("%v: turn %v, signed %v", deg, a, s)
		}
		for _, b := range []float64{a, s} {
			if off := math.Remainder(b-deg, 360); math.Abs(off) > 1e-9 {
				t.Fatalf("%v became %v, off by %v", deg, b, off)
			}
		}
		if back := unit.Deg(unit.Rad(deg)); math.Abs(back-deg) > 1e-12*math.Max(1, math.Abs(deg)) {
			t.Fatalf("%v in radians and back is %v", deg, back)
		}
	})
	if unit.Turn(-1e-17) != 0 || unit.Signed(180) != 180 || unit.Signed(-180) != 180 {
		t.Error("the ends of a turn are not where they should be")
	}
}
