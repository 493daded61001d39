package engine_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"sort"
	"strings"
	"testing"
)

// published is one file of testdata/published.
type published struct {
	What   string `json:"what"`
	Rows   int    `json:"rows"` // how many checks there must be: none gets lost
	Checks []check
}

// check is one value from outside and how to get it here.
type check struct {
	ID     string `json:"id"`
	What   string `json:"what"`
	Source struct {
		Kind    string `json:"kind"`
		Authors string `json:"authors"`
		Title   string `json:"title"`
		Year    int    `json:"year"` // 0: not known
		Place   string `json:"place"`
		How     string `json:"how"`
	} `json:"source"`
	Function  string             `json:"function"`
	Inputs    map[string]any     `json:"inputs"`
	Want      map[string]float64 `json:"want"`
	Tolerance map[string]float64 `json:"tolerance"`
	Why       string             `json:"why"` // the tolerance's size
}

// function computes a row's values from its inputs.
type function func(in *inputs) map[string]float64

func TestPublished(t *testing.T) {
	// The least number of rows of each file that must be there.
	leastRows := map[string]int{
		"crank_published.json": 7, "crank_independent.json": 113, "wheel_independent.json": 42,
		"timing_published.json": 11, "timing_independent.json": 12, "stat_published.json": 62, "stat_independent.json": 40,
		"chamber_published.json": 18, "chamber_independent.json": 31, "port_independent.json": 41, "timearea_independent.json": 12,
	}
	dir := filepath.Join("..", "testdata", "published")
	paths, err := filepath.Glob(filepath.Join(dir, "*.json"))
	if err != nil {
		t.Fatal(err)
	}
	functions := allFunctions()
	used := map[string]bool{}
	ids := map[string]string{}
	rows := map[string]int{}
	for _, path := range paths {
		name := filepath.Base(path)
		file := readPublished(t, path)
		rows[name] = len(file.Checks)
		for _, c := range file.Checks {
			if other, twice := ids[c.ID]; twice && other == name {
				t.Errorf("%s: id %q stands twice", name, c.ID)
			}
			ids[c.ID] = name
			t.Run(name+"/"+c.ID, func(t *testing.T) {
				f, known := functions[c.Function]
				if !known {
					t.Fatalf("no function %q", c.Function)
				}
				used[c.Function] = true
				c.sound(t)
				c.compare(t, f)
			})
		}
	}
	for name, least := range leastRows {
		if rows[name] < least {
			t.Errorf("%s has %d rows, %d are wanted", name, rows[name], least)
		}
	}
	for name := range functions {
		if !used[name] {
			t.Errorf("function %q is checked by no row", name)
		}
	}
}

func readPublished(t *testing.T, path string) published {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	dec := json.NewDecoder(bytes.NewReader(data))
	dec.DisallowUnknownFields()
	var file published
	if err := dec.Decode(&file); err != nil {
		t.Fatalf("%s: %v", path, err)
	}
	if dec.More() {
		t.Fatalf("%s: something follows the object", path)
	}
	if len(file.Checks) != file.Rows {
		t.Errorf("%s holds %d checks and says %d", path, len(file.Checks), file.Rows)
	}
	return file
}

// sound refuses rows that could not count as a check.
func (c check) sound(t *testing.T) {
	s := c.Source
	named := s.Authors != "" && s.Title != "" && s.Place != ""
	switch s.Kind {
	case "published", "from memory", "independent":
		if !named {
			t.Errorf("source of kind %q lacks authors, title or place", s.Kind)
		}
	case "common practice":
		if !strings.Contains(s.How, "no source") {
			t.Errorf("common practice must say that it has no source: %q", s.How)
		}
	case "analytic", "regression":
	default:
		t.Errorf("unknown kind of source %q", s.Kind)
	}
	if s.How == "" || c.Why == "" || c.What == "" || c.ID == "" || len(c.Want) == 0 {
		t.Error("id, what, source.how, want and why must be there")
	}
	if len(c.Tolerance) != len(c.Want) {
		t.Errorf("%d tolerances for %d values", len(c.Tolerance), len(c.Want))
	}
	for key, want := range c.Want {
		tolerance, ok := c.Tolerance[key]
		if !ok || !(tolerance > 0) {
			t.Errorf("%s: tolerance %v", key, tolerance)
		}
		// A tolerance that lets half the value or its sign pass checks nothing.
		if want != 0 && tolerance > 0.1*math.Abs(want) {
			t.Errorf("%s: a tolerance of %v on %v", key, tolerance, want)
		}
	}
	for key := range c.Inputs {
		carriesUnit(t, key)
	}
	for key := range c.Want {
		carriesUnit(t, key)
	}
}

// carriesUnit wants a unit at the end of every name but those without one.
func carriesUnit(t *testing.T, key string) {
	for _, suffix := range []string{"_mm", "_deg", "_rpm", "_s", "_m_per_s", "_m_per_s2", "_mm_per_deg", "_deg_per_mm", "_nm", "_cc", "_mm2", "_mm2_deg", "_s_per_m"} {
		if strings.HasSuffix(key, suffix) {
			return
		}
	}
	switch key {
	case "coverage", "df", "t", "p", "k", "n", "count", "quarter", "up", "numbering", "numbers", "cosine", "ratio", "share", "geometric_ratio", "trapped_ratio", "back_ratio", "bridges", "kind", "skirt": // have none
	case "readings", "first", "second", "third", "mean", "sd", "mean_first", "mean_second", "sd_first", "sd_second", "diff", "se", "low", "high": // that of the readings
	default:
		t.Errorf("%q does not end in a unit", key)
	}
}

func (c check) compare(t *testing.T, f function) {
	in := &inputs{t: t, values: c.Inputs, seen: map[string]bool{}}
	got := f(in)
	for key := range c.Inputs {
		if !in.seen[key] {
			t.Errorf("input %q is not used by %s", key, c.Function)
		}
	}
	for _, key := range sortedKeys(c.Want) {
		want := c.Want[key]
		value, ok := got[key]
		switch {
		case !ok:
			t.Errorf("%s gives no %q", c.Function, key)
		case !(math.Abs(value-want) <= c.Tolerance[key]):
			t.Errorf("%s = %.12g, want %.12g within %g (%s; %s)", key, value, want, c.Tolerance[key], c.Source.Kind, c.Why)
		}
	}
}

func sortedKeys(m map[string]float64) []string {
	var keys []string
	for k := range m {
		keys = append(keys, k)
	}
	sort.Strings(keys)
	return keys
}

// inputs hands out a row's inputs and remembers which were asked for.
type inputs struct {
	t      *testing.T
	values map[string]any
	seen   map[string]bool
}

func (in *inputs) any(key string) any {
	v, ok := in.values[key]
	if !ok {
		in.t.Fatalf("input %q is missing", key)
	}
	in.seen[key] = true
	return v
}

func (in *inputs) num(key string) float64 {
	v, ok := in.any(key).(float64)
	if !ok {
		in.t.Fatalf("input %q is not a number", key)
	}
	return v
}

func (in *inputs) text(key string) string { return fmt.Sprint(in.any(key)) }

func (in *inputs) flag(key string) bool { return in.any(key) == true }

func (in *inputs) list(key string) []float64 {
	items, ok := in.any(key).([]any)
	if !ok {
		in.t.Fatalf("input %q is not a list", key)
	}
	out := make([]float64, len(items))
	for i, v := range items {
		if out[i], ok = v.(float64); !ok {
			in.t.Fatalf("input %q: item %d is not a number", key, i+1)
		}
	}
	return out
}

// listOf finds the one list whose name begins so, whatever its unit.
func (in *inputs) listOf(prefix string) (list []float64, unit string) {
	for key := range in.values {
		if key == prefix || strings.HasPrefix(key, prefix+"_") {
			return in.list(key), strings.TrimPrefix(key, prefix)
		}
	}
	in.t.Fatalf("input %q is missing", prefix)
	return nil, ""
}

// ok stops the row when err is not nil.
func (in *inputs) ok(err error) {
	if err != nil {
		in.t.Helper()
		in.t.Fatal(err)
	}
}
