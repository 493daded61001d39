package build_test

import (
	"strings"
	"testing"

	"portwright/engine/build"
)

const planFile = `{"format":"portwright-build","version":1,"targets":{"exhaust_opens_deg":100,"squish_mm":{"thou":20},"wish_of_later":[1]},
 "moves_allowed":{"base_gaskets_mm":[0,0.5],"exhaust_roof_mm":{"max":2,"tool":"stone"},"head_cut_mm":{"max":1}},
 "limits":{"squish_min_mm":0.45,"later":1},"rules":{"trapped_ratio_most":0},
 "moves":[{"move":"base_gasket","to_mm":0}],"bites":[{"move":"exhaust_roof","by_mm":0.6,"by":"hand"}]}`

// The order of targets is the user's, and fields of a later version stay where
// they were.
func TestPlanIsKept(t *testing.T) {
	b, err := build.Decode([]byte(planFile))
	if err != nil {
		t.Fatal(err)
	}
	if l := b.Targets.List; len(l) != 2 || l[0].Key != build.TargetExhaustOpens || l[1].Key != build.TargetSquish || l[1].Value.MM() != 0.508 {
		t.Errorf("targets %+v", l)
	}
	if r := b.Allowed.ExhaustRoof; r == nil || r.Max.MM() != 2 || b.Allowed.BaseCut != nil || len(b.Allowed.BaseGaskets) != 2 {
		t.Errorf("allowed %+v", b.Allowed)
	}
	if m := b.Rules.TrappedRatioMost; m == nil || *m != 0 {
		t.Errorf("a rule set to 0 is not asked, and is kept: %v", m)
	}
	if len(b.Bites) != 1 || b.Bites[0].Move.Move != build.MoveExhaustRoof || b.Bites[0].ByMM.MM() != 0.6 {
		t.Errorf("bites %+v", b.Bites)
	}
	same(t, b)
	out, err := build.Encode(b)
	if err != nil {
		t.Fatal(err)
	}
	for _, part := range []string{`"wish_of_later": [1]`, `"tool":"stone"`, `"head_cut_mm"`, `"later":1`, `"by":"hand"`, `{"thou":20}`} {
		if !strings.Contains(string(out), part) && !strings.Contains(strings.ReplaceAll(string(out), ": ", ":"), strings.ReplaceAll(part, ": ", ":")) {
			t.Errorf("%s is lost in\n%s", part, out)
		}
	}
	if first, second := strings.Index(string(out), "exhaust_opens_deg"), strings.Index(string(out), "squish_mm"); first > second {
		t.Errorf("the order of targets changed:\n%s", out)
	}
}

// One target at a time, as the book sets them.
func TestSetTarget(t *testing.T) {
	var b build.Build
	for _, set := range [][2]string{{"squish_mm", "0.5"}, {"blowdown_deg", "20"}, {"squish_mm", `{"thou":22}`}, {"blowdown_deg", "null"}, {"trapped_ratio", "6.5"}} {
		if err := build.SetField(&b.Targets, set[0], []byte(set[1])); err != nil {
			t.Fatal(err)
		}
	}
	if l := b.Targets.List; len(l) != 2 || l[0].Key != build.TargetSquish || l[0].Value.Value != 22 || l[1].Key != build.TargetTrappedRatio {
		t.Errorf("targets %+v", l)
	}
	for range 2 { // a list that is set as a whole is not added to
		if err := build.SetField(&b, "moves", []byte(`[{"move":"base_cut","by_mm":0.2}]`)); err != nil || len(b.Moves) != 1 {
			t.Errorf("%v, %+v", err, b.Moves)
		}
	}
	if err := build.SetField(&b, "bites", []byte(`[]`)); err == nil {
		t.Error("bites are entries of their own")
	}
	if err := build.SetField(&b.Allowed, "base_cut_mm", []byte(`{"max":0.8}`)); err != nil || b.Allowed.BaseCut.Max.MM() != 0.8 {
		t.Errorf("%v, %+v", err, b.Allowed)
	}
	if err := build.SetField(&b.Allowed, "base_cut_mm", []byte(`null`)); err != nil || b.Allowed.BaseCut != nil {
		t.Errorf("%v, %+v", err, b.Allowed)
	}
}
