package findings_test

import (
	"bytes"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"portwright/engine/build"
	"portwright/engine/findings"
)

// workedCase is one file of testdata/cases: a build, a command, and what comes
// out, by a source outside the project.
type workedCase struct {
	Case      string             `json:"case"`
	What      string             `json:"what"`
	Source    map[string]string  `json:"source"`
	Command   string             `json:"command"`
	Build     json.RawMessage    `json:"build"`
	Expect    json.RawMessage    `json:"expect"`
	Tolerance map[string]float64 `json:"tolerance"`
}

// wanted is what a findings case expects. Keys that it does not list fail.
type wanted struct {
	Zero           map[string]float64 `json:"zero"`
	Windows        []map[string]any   `json:"windows"`
	BlowdownDeg    *float64           `json:"blowdown_deg"`
	DisplacementCC *float64           `json:"displacement_cc"`
	GeometricRatio *float64           `json:"geometric_ratio"`
	TrappedRatio   *float64           `json:"trapped_ratio"`
	Problems       []string           `json:"problems"`
	ProblemsAbsent []string           `json:"problems_absent"`
	AfterApply     map[string]*wanted `json:"after_apply"`
}

// How many cases there are for findings and for the plan, which package plan
// runs, so that none is lost.
const casesHere, casesOfPlan = 10, 10

func TestWorkedCases(t *testing.T) {
	files, err := filepath.Glob("../../testdata/cases/*.json")
	if err != nil {
		t.Fatal(err)
	}
	run, others := 0, 0
	for _, file := range files {
		raw, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		var c workedCase
		strict(t, file, raw, &c)
		if c.Case != strings.TrimSuffix(filepath.Base(file), ".json") || c.Source["kind"] == "" || c.Source["how"] == "" {
			t.Errorf("%s: case must be named as its file and give its source", file)
		}
		if c.Command == "plan" {
			others++
			continue
		}
		run++
		t.Run(c.Case, func(t *testing.T) { runCase(t, &c) })
	}
	if run != casesHere || others != casesOfPlan {
		t.Errorf("%d cases run and %d of the plan, want %d and %d", run, others, casesHere, casesOfPlan)
	}
}

func strict(t *testing.T, what string, raw []byte, into any) {
	t.Helper()
	d := json.NewDecoder(bytes.NewReader(raw))
	d.DisallowUnknownFields()
	if err := d.Decode(into); err != nil {
		t.Fatalf("%s: %v", what, err)
	}
}

func runCase(t *testing.T, c *workedCase) {
	if c.Command != "findings" {
		t.Fatalf("command %q is not known", c.Command)
	}
	b, err := build.Decode(c.Build)
	if err != nil {
		t.Fatal(err)
	}
	var want wanted
	strict(t, c.Case, c.Expect, &want)
	hold(t, c, b, findings.Options{}, &want)
	for code, after := range want.AfterApply {
		t.Run("after "+code, func(t *testing.T) { hold(t, c, b, findings.Options{Apply: []string{code}}, after) })
	}
}

// hold checks the last pass of a build against what is wanted.
func hold(t *testing.T, c *workedCase, b *build.Build, opt findings.Options, want *wanted) {
	t.Helper()
	r, err := findings.Run(b, opt)
	if err != nil {
		t.Fatal(err)
	}
	p := r.Passes[len(r.Passes)-1]
	got := asMap(t, p)
	checked := 0
	check := func(what string, got any, want float64) {
		t.Helper()
		checked++
		v, ok := got.(float64)
		if !ok || math.Abs(v-want) > tolerance(t, c, what) {
			t.Errorf("%s = %v, want %v within %v", what, got, want, tolerance(t, c, what))
		}
	}
	for key, v := range want.Zero {
		check("zero."+key, got["zero"].(map[string]any)[key], v)
	}
	for key, v := range map[string]*float64{"blowdown_deg": want.BlowdownDeg, "displacement_cc": want.DisplacementCC,
		"geometric_ratio": want.GeometricRatio, "trapped_ratio": want.TrappedRatio} {
		if v != nil {
			check(key, got[key], *v)
		}
	}
	for _, w := range want.Windows {
		found := windowNamed(t, got, w["name"].(string))
		for key, v := range w {
			switch v := v.(type) {
			case float64:
				check(w["name"].(string)+"."+key, found[key], v)
			case bool:
				checked++
				if found[key] != v {
					t.Errorf("%s.%s = %v, want %v", w["name"], key, found[key], v)
				}
			}
		}
	}
	checked += checkProblems(t, p, want)
	if checked == 0 {
		t.Error("the case checks nothing")
	}
}

func checkProblems(t *testing.T, p findings.PassResult, want *wanted) int {
	t.Helper()
	var codes []string
	for _, pr := range p.Problems {
		codes = append(codes, pr.Code)
	}
	for _, code := range want.Problems {
		if !slices.Contains(codes, code) {
			t.Errorf("problem %s is not named; named are %v", code, codes)
		}
	}
	for _, code := range want.ProblemsAbsent {
		if slices.Contains(codes, code) {
			t.Errorf("problem %s is named; it is not there", code)
		}
	}
	return len(want.Problems) + len(want.ProblemsAbsent)
}

// tolerance goes by the unit at the end of a key.
func tolerance(t *testing.T, c *workedCase, key string) float64 {
	t.Helper()
	for _, unit := range []string{"deg", "mm", "ratio", "cc"} {
		if strings.HasSuffix(key, "_"+unit) {
			return c.Tolerance[unit]
		}
	}
	t.Fatalf("%s: no tolerance for it", key)
	return 0
}

func asMap(t *testing.T, v any) map[string]any {
	t.Helper()
	raw, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	var m map[string]any
	if err := json.Unmarshal(raw, &m); err != nil {
		t.Fatal(err)
	}
	return m
}

func windowNamed(t *testing.T, pass map[string]any, name string) map[string]any {
	t.Helper()
	for _, w := range pass["windows"].([]any) {
		if m := w.(map[string]any); m["name"] == name {
			return m
		}
	}
	t.Fatalf("no window %q", name)
	return nil
}
