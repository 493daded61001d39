package build_test

import (
	"math"
	"strings"
	"testing"

	"portwright/engine/build"
	"portwright/engine/unit"
)

func mm(v float64) *unit.Length   { return &unit.Length{Value: v, Unit: unit.MM} }
func inch(v float64) *unit.Length { return &unit.Length{Value: v, Unit: unit.Inch} }

// A stop pair of a short arc is a finding, not a fault of the file; so are
// windows that open in an odd order and an engine of which nothing is known.
func TestCheckLeavesFindingsToFindings(t *testing.T) {
	for name, b := range map[string]*build.Build{
		"nothing known": {},
		"short stop arc": {Passes: []build.Pass{{Name: "a", Stops: []build.StopCheck{
			{When: "before", Near: "tdc", Readings: []float64{350, 10}}, {When: "after", Near: "tdc", Readings: []float64{350}}}}}},
		"odd order": {Windows: []build.Window{{Name: "e", Kind: "exhaust"}, {Name: "t", Kind: "transfer"}},
			Passes: []build.Pass{{Name: "a", Readings: []build.Reading{reading("e", 140), reading("t", 100), reading("t", 360), reading("t", 0)}}}},
		"crown proud, offset either way": {Engine: build.Engine{CrownBelowDeck: mm(-0.3), PinOffset: mm(-1), Rod: mm(58), Stroke: mm(32.5)}},
		"same pass name, other cylinder": {Engine: build.Engine{Cylinders: 2}, Passes: []build.Pass{{Name: "a"}, {Name: "a", Cylinder: 2}}},
	} {
		if err := build.Check(b); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func reading(window string, v float64) build.Reading {
	return build.Reading{Window: window, Event: build.Opens, Value: unit.Length{Value: v}}
}

func TestNotANumberIsRefusedEverywhere(t *testing.T) {
	nan := math.NaN()
	b := &build.Build{
		Engine:  build.Engine{Bore: mm(nan), Stroke: mm(math.Inf(1)), ChamberCC: &nan},
		Wheel:   build.Wheel{StepDeg: &nan},
		Windows: []build.Window{{Name: "e", Kind: "exhaust"}},
		Passes: []build.Pass{{Name: "a", Stops: []build.StopCheck{{When: "before", Near: "tdc", Readings: []float64{nan, 1}}},
			Readings: []build.Reading{reading("e", nan)}}},
	}
	err := build.Check(b)
	for _, field := range []string{"engine.bore_mm", "engine.stroke_mm", "engine.chamber_cc", "wheel.step_deg", "stops[0].readings[0]", "readings[0].value"} {
		if err == nil || !strings.Contains(err.Error(), field) {
			t.Errorf("%s passes: %v", field, err)
		}
	}
}

func TestCheckReading(t *testing.T) {
	wheel := build.Wheel{Numbering: build.Numbering180}
	if err := build.CheckReading(wheel, "", reading("", 104.5)); err != nil {
		t.Error(err)
	}
	err := build.CheckReading(wheel, "", reading("", 259.5))
	if err == nil || err.Error() != "value = 259.5 deg: must be 0 to 180, as the wheel is numbered 0-180-0" {
		t.Error(err)
	}
	if err := build.CheckReading(wheel, build.HabitDepth, build.Reading{Event: "opens", Value: *inch(1.145)}); err != nil {
		t.Error(err)
	}
	if build.CheckReading(wheel, build.HabitDepth, build.Reading{Event: "opens", Value: *inch(1e300)}) == nil {
		t.Error("a depth of 1e300 in")
	}
}

func TestDoubtLength(t *testing.T) {
	type doubt struct {
		field   string
		given   unit.Length
		suggest *unit.Length
		text    string
	}
	thou := func(v float64) *unit.Length { return &unit.Length{Value: v, Unit: unit.Thou} }
	for _, row := range []doubt{
		// 0.20 in is 5.08 mm: 0.20 x 25.4, by definition of the inch. That 0.020 in is
		// meant: common practice, no source (the usual slip with squish).
		{"engine.squish_mm[1]", *inch(0.20), inch(0.02), "0.2 in is 5.08 mm: squish is usually"},
		{"engine.squish_mm", *mm(20), thou(20), "Did you mean 20 thou?"},
		{"engine.squish_mm", *inch(0.9), mm(0.9), "Did you mean 0.9 mm?"},
		{"engine.bore_mm", *mm(1.73), inch(1.73), "Did you mean 1.73 in?"},
		{"engine.bore_mm", *mm(440), mm(44), "Did you mean 44 mm?"},
		{"engine.rod_mm", *inch(58), mm(58), "Did you mean 58 mm?"},
		{"windows[0].chord_mm", *mm(0.27), inch(0.27), "Did you mean 0.27 in?"},
		{"windows[0].height_mm", *mm(110), mm(11), "Did you mean 11 mm?"},
		{"feeler_mm", *mm(8), thou(8), "Did you mean 8 thou?"},
		{"engine.stroke_mm", *mm(1e-9), nil, "the stroke is usually 8 to 100 mm (common practice)."},
	} {
		d, ok := build.DoubtLength(row.field, row.given)
		if !ok || d.Field != row.field || d.Given != row.given || !strings.Contains(d.Text, row.text) {
			t.Errorf("%s %v: %v %+v", row.field, row.given, ok, d)
			continue
		}
		if (d.Suggest == nil) != (row.suggest == nil) || (row.suggest != nil && (math.Abs(d.Suggest.Value-row.suggest.Value) > 1e-12 || d.Suggest.Unit != row.suggest.Unit)) {
			t.Errorf("%s %v: suggests %v, want %v", row.field, row.given, d.Suggest, row.suggest)
		}
	}
	for field, l := range map[string]unit.Length{"engine.bore_mm": *mm(44), "engine.squish_mm": *thou(20), "engine.pin_offset_mm": *mm(-2), "engine.base_gasket_mm": *mm(0), "unheard_of_mm": *mm(1e9), "": *mm(1)} {
		if d, ok := build.DoubtLength(field, l); ok {
			t.Errorf("%s %v is doubted: %s", field, l, d.Text)
		}
	}
}

func TestDoubtsGoThroughTheWholeBuild(t *testing.T) {
	b := &build.Build{
		Engine:  build.Engine{Stroke: mm(32.5), Rod: mm(110), Squish: []unit.Length{*mm(0.9), *mm(9)}},
		Windows: []build.Window{{}, {Chord: mm(270)}},
		Wheel:   build.Wheel{Diameter: mm(18)},
		Passes:  []build.Pass{{Readings: []build.Reading{{FeelerMM: mm(20)}}}},
	}
	var fields []string
	for _, d := range build.Doubts(b) {
		fields = append(fields, d.Field)
	}
	want := "engine.squish_mm[1] windows[1].chord_mm wheel.diameter_mm passes[0].readings[0].feeler_mm engine.rod_mm"
	if got := strings.Join(fields, " "); got != want {
		t.Errorf("doubts %s\nwant   %s", got, want)
	}
}

// What is refused says what is wrong with it, and not something else.
func TestRefusalsSayWhatIsWrong(t *testing.T) {
	for file, right := range map[string]string{
		`{"format":"portwright-build","version":1,"targets":{"trapped_ratio":100}}`:                        "less than 100",
		`{"format":"portwright-build","version":1,"targets":{"squish_mm":-1}}`:                             "must be more than 0: the gap that is wanted",
		`{"format":"portwright-build","version":1,"moves_allowed":{"base_gaskets_mm":"0.3"}}`:              "must be a list [...]",
		`{"format":"portwright-build","version":1,"moves_allowed":{"exhaust_roof_mm":2}}`:                  `write {"max": 2}`,
		`{"format":"portwright-build","version":1,"limits":{"transfer_duration_max_deg":0}}`:               "must be more than 0, as nothing can hold",
		`{"format":"portwright-build","version":1,"bites":[{"move":"base_cut","by_mm":{"in":0.2}}]}`:       "must be at most 5 mm",
		`{"format":"portwright-build","version":1,"engine":{"stroke_mm":32.5},"targets":{"squish_mm":40}}`: "less than the stroke, 32.5 mm",
	} {
		b, err := build.Decode([]byte(file))
		if err == nil {
			err = build.CheckPlan(b)
		}
		if err == nil || !strings.Contains(err.Error(), right) || strings.Contains(err.Error(), "leave it out when it is not known") || strings.Contains(err.Error(), "without quotes") {
			t.Errorf("%s: %v, want %q", file, err, right)
		}
	}
}
