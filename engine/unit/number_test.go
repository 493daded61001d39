package unit_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"portwright/engine/unit"
)

func TestParseNumber(t *testing.T) {
	for _, c := range []struct {
		in   string
		want float64
	}{
		{"104.5", 104.5},
		{"104,5", 104.5},
		{"104½", 104.5},
		{"104 ½", 104.5},
		{"104\u00a0½", 104.5}, // no-break space
		{"½", 0.5},
		{"-½", -0.5},
		{"1¼", 1.25},
		{"2⅞", 2.875},
		{"  23 ", 23},
		{"\t7\n", 7},
		{"-3", -3},
		{"−3", -3}, // U+2212
		{"−3,25", -3.25},
		{"+12", 12},
		{"0", 0},
		{"007", 7},
		{".5", 0.5},
		{",5", 0.5},
		{"104.", 104}, // half typed
		{"1,145", 1.145},
		{"0.020", 0.02},
		{"99999999999999999999", 1e20},
	} {
		got, err := unit.ParseNumber(c.in)
		if err != nil || got != c.want {
			t.Errorf("%q: %v, %v; want %v", c.in, got, err, c.want)
		}
	}
	if v, err := unit.ParseNumber("-0"); err != nil || math.Signbit(v) {
		t.Errorf("minus nothing: %v, %v", v, err)
	}
}

func TestParseNumberRefuses(t *testing.T) {
	for _, in := range []string{
		"", " ", "-", "+", "−", ".", ",", "abc", "12a", "a12", "1 2", "- 5", "--5", "-+5", "+-5",
		"1,234.5", "1.234,5", "1.2.3", "1,2,3", "1'234", "1_000",
		"NaN", "nan", "Inf", "-inf", "Infinity", "∞",
		"1e3", "1E3", "1e-3", "0x1F", "0x1p-2", "1/2",
		"104.5½", "104,½", "½½", "½5", "5½5",
		"٣", "５", "104°", "104 deg", "#12", "=1+1",
		strings.Repeat("9", 33), strings.Repeat("9", 4000),
		"\x00", "\xff\xfe", "5\u200b",
	} {
		v, err := unit.ParseNumber(in)
		var bad *unit.InputError
		if !errors.As(err, &bad) {
			t.Errorf("%q was taken as %v", in, v)
			continue
		}
		if bad.Reason == "" || v != 0 {
			t.Errorf("%q: value %v, reason %q", in, v, bad.Reason)
		}
		if len([]rune(bad.Value)) > 41 {
			t.Errorf("%q: the message repeats all of it", in)
		}
	}
}

func TestMixedMarksAreExplained(t *testing.T) {
	_, err := unit.ParseField("engine.rod_mm", "mm", "1,234.5")
	want := "engine.rod_mm = 1,234.5 mm: holds both a comma and a point: use one decimal mark and nothing between thousands"
	if err == nil || err.Error() != want {
		t.Errorf("%v, want %s", err, want)
	}
}

func TestName(t *testing.T) {
	if err := unit.Name(nil, "x", ""); err != nil {
		t.Errorf("nil became %v", err)
	}
	other := errors.New("other")
	if err := unit.Name(other, "x", ""); err != other {
		t.Errorf("another error became %v", err)
	}
	given := &unit.InputError{Field: "inner", Unit: "in", Reason: "r"}
	if err := unit.Name(given, "outer", "mm"); err.Error() != "inner: r" {
		t.Errorf("a named error became %v", err)
	}
	if blank := (&unit.InputError{Reason: "r"}); unit.Name(blank, "f", "mm").Error() != "f: r" || blank.Field != "" {
		t.Error("naming failed or altered the error given")
	}
	if got := (&unit.InputError{Value: "x", Reason: "r"}).Error(); got != "value = x: r" {
		t.Errorf("an error without a field reads %q", got)
	}
}

func TestFixedAndPlain(t *testing.T) {
	for _, c := range []struct {
		v            float64
		decimals     int
		fixed, plain string
	}{
		{104.5, 2, "104.50", "104.5"},
		{104.50000000000001, 2, "104.50", "104.5"},
		{0.1 + 0.2, 3, "0.300", "0.3"},
		{21.0, 1, "21.0", "21"},
		{100, 0, "100", "100"},
		{-0.001, 2, "0.00", "0"},
		{-0.4, 0, "0", "0"},
		{-1.25, 2, "-1.25", "-1.25"},
		{math.NaN(), 2, "unknown", "unknown"},
		{math.Inf(-1), 2, "unknown", "unknown"},
	} {
		if got := unit.Fixed(c.v, c.decimals); got != c.fixed {
			t.Errorf("Fixed(%v, %d) = %q, want %q", c.v, c.decimals, got, c.fixed)
		}
		if got := unit.Plain(c.v, c.decimals); got != c.plain {
			t.Errorf("Plain(%v, %d) = %q, want %q", c.v, c.decimals, got, c.plain)
		}
	}
}

func TestWrittenNumbersComeBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := rapid.Float64Range(-1e6, 1e6).Draw(t, "v")
		decimals := rapid.IntRange(0, 6).Draw(t, "decimals")
		for _, s := range []string{unit.Fixed(v, decimals), unit.Plain(v, decimals), strings.Replace(unit.Plain(v, decimals), ".", ",", 1)} {
			got, err := unit.ParseNumber(s)
			if err != nil {
				t.Fatal(err)
			}
			if math.Abs(got-v) > 0.5001*math.Pow(10, -float64(decimals)) {
				t.Fatalf("%v was written %q and read %v", v, s, got)
			}
		}
	})
}

// FuzzParseNumber: a text is refused with a reason, or gives a finite number
// that holds nothing but digits, one mark, a sign and a fraction, and that
// reads the same when written out and read again.
func FuzzParseNumber(f *testing.F) {
	for _, s := range []string{"104.5", "104,5", "104½", "½", "−3", "1,234.5", "NaN", "1e3", " 7 ", "0x1p4", "104 ½", "-0", "99999999999999999999999999999999"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		v, err := unit.ParseNumber(s)
		if err != nil {
			var bad *unit.InputError
			if !errors.As(err, &bad) || bad.Reason == "" || v != 0 {
				t.Fatalf("%q: %v, %v", s, v, err)
			}
			return
		}
		if math.IsNaN(v) || math.IsInf(v, 0) {
			t.Fatalf("%q gave %v", s, v)
		}
		if strings.ContainsAny(s, "eExXnNiIpP_/") {
			t.Fatalf("%q was taken as %v", s, v)
		}
		again, err := unit.ParseNumber(" " + s + " ")
		if err != nil || again != v {
			t.Fatalf("%q gave %v, with spaces around %v, %v", s, v, again, err)
		}
		if math.Abs(v) < 1e15 {
			back, err := unit.ParseNumber(unit.Plain(v, 12))
			if err != nil || math.Abs(back-v) > 1e-11*math.Max(1, math.Abs(v)) {
				t.Fatalf("%q gave %v, written and read again %v, %v", s, v, back, err)
			}
		}
	})
}

// Half of the last place goes away from 0, as everybody rounds by hand, though no
// binary number is 0.975 itself.
func TestFixedRoundsAsByHand(t *testing.T) {
	for v, want := range map[float64]string{0.975: "0.98", 0.775: "0.78", -0.975: "-0.98", 1.005: "1.01", 0.974999: "0.97", 2.675: "2.68", 0: "0.00", -0.0001: "0.00"} {
		if got := unit.Fixed(v, 2); got != want {
			t.Errorf("%v is written %s, want %s", v, got, want)
		}
	}
}
