package plan_test

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
	"portwright/engine/plan"
)

// workedCase is one file of testdata/cases.
type workedCase struct {
	Case      string             `json:"case"`
	What      string             `json:"what"`
	Source    map[string]string  `json:"source"`
	Command   string             `json:"command"`
	Build     json.RawMessage    `json:"build"`
	Expect    json.RawMessage    `json:"expect"`
	Tolerance map[string]float64 `json:"tolerance"`
}

// wanted is what a case expects; keys that are not known fail.
type wanted struct {
	Status  string             `json:"status"`
	Moves   []map[string]any   `json:"moves"`
	After   map[string]float64 `json:"after"`
	Missed  []string           `json:"missed"`
	Binding []string           `json:"binding"`
}

// casesHere is how many cases of the plan there are, so that none is lost.
const casesHere = 10

func TestWorkedCases(t *testing.T) {
	files, err := filepath.Glob("../../testdata/cases/*.json")
	if err != nil {
		t.Fatal(err)
	}
	run := 0
	for _, file := range files {
		raw, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		var c workedCase
		strict(t, raw, &c)
		if c.Command != "plan" {
			continue
		}
		run++
		t.Run(c.Case, func(t *testing.T) { runCase(t, &c) })
	}
	if run != casesHere {
		t.Errorf("%d cases run, want %d", run, casesHere)
	}
}

func strict(t *testing.T, raw []byte, into any) {
	t.Helper()
	d := json.NewDecoder(bytes.NewReader(raw))
	d.DisallowUnknownFields()
	if err := d.Decode(into); err != nil {
		t.Fatal(err)
	}
}

func runCase(t *testing.T, c *workedCase) {
	b, err := build.Decode(c.Build)
	if err != nil {
		t.Fatal(err)
	}
	var want wanted
	strict(t, c.Expect, &want)
	r, err := plan.Run(b, plan.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if want.Status != "" && r.Status != want.Status {
		t.Errorf("status %q, want %q", r.Status, want.Status)
	}
	raw, err := json.Marshal(r)
	if err != nil {
		t.Fatal(err)
	}
	var got struct {
		Moves []map[string]any   `json:"moves"`
		After map[string]float64 `json:"after"`
	}
	if err := json.Unmarshal(raw, &got); err != nil {
		t.Fatal(err)
	}
	near := func(what string, got, want float64) {
		t.Helper()
		for _, unit := range []string{"deg", "mm", "ratio", "cc"} {
			if strings.HasSuffix(what, "_"+unit) {
				if !(math.Abs(got-want) <= c.Tolerance[unit]) {
					t.Errorf("%s = %v, want %v", what, got, want)
				}
				return
			}
		}
		t.Errorf("%s: no tolerance for it", what)
	}
	for key, v := range want.After {
		near(key, got.After[key], v)
	}
	if want.Moves != nil && len(got.Moves) != len(want.Moves) {
		t.Fatalf("moves %v, want %v", got.Moves, want.Moves)
	}
	for i, m := range want.Moves {
		for key, v := range m {
			switch v := v.(type) {
			case float64:
				x, _ := got.Moves[i][key].(float64)
				near(key, x, v)
			default:
				if got.Moves[i][key] != v {
					t.Errorf("move %d: %s is %v, want %v", i+1, key, got.Moves[i][key], v)
				}
			}
		}
	}
	if want.Binding != nil && !slices.Equal(r.Binding, want.Binding) {
		t.Errorf("binding %v, want %v", r.Binding, want.Binding)
	}
	if want.Missed != nil && !slices.Equal(r.Missed, want.Missed) {
		t.Errorf("missed %v, want %v", r.Missed, want.Missed)
	}
}
