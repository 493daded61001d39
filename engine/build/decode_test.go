package build_test

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"portwright/engine/build"
	"portwright/engine/unit"
)

const root = "../../testdata/"

func read(t testing.TB, name string) []byte {
	t.Helper()
	data, err := os.ReadFile(filepath.FromSlash(name))
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// same decodes what Encode writes and compares the two documents.
func same(t testing.TB, b *build.Build) []byte {
	t.Helper()
	out, err := build.Encode(b)
	if err != nil {
		t.Fatalf("encode: %v", err)
	}
	again, err := build.Decode(out)
	if err != nil {
		t.Fatalf("decode what was encoded: %v\n%s", err, out)
	}
	if !reflect.DeepEqual(b, again) {
		t.Fatalf("the build changed on its way through a file\nbefore %+v\nafter  %+v\n%s", b, again, out)
	}
	out2, err := build.Encode(again)
	if err != nil || string(out2) != string(out) {
		t.Fatalf("second encoding differs (%v)\n%s\n%s", err, out, out2)
	}
	return out
}

func TestEveryOldVersionOpens(t *testing.T) {
	files, err := filepath.Glob(filepath.FromSlash(root + "builds/old/v*.json"))
	if err != nil {
		t.Fatal(err)
	}
	versions := map[int]int{}
	for _, f := range files {
		data := read(t, f)
		var head struct{ Version int }
		if err := json.Unmarshal(data, &head); err != nil {
			t.Fatal(err)
		}
		versions[head.Version]++
		b, err := build.Decode(data)
		if err != nil {
			t.Errorf("%s: %v", f, err)
			continue
		}
		if err := build.Check(b); err != nil {
			t.Errorf("%s: %v", f, err)
		}
		same(t, b)
	}
	for v := 1; v <= build.Version; v++ {
		if versions[v] == 0 {
			t.Errorf("no file of version %d is kept", v)
		}
	}
}

// The worked cases are build files inside a case; they must be good ones.
func TestWorkedCasesAreGoodBuilds(t *testing.T) {
	files, _ := filepath.Glob(filepath.FromSlash(root + "cases/*.json"))
	if len(files) < 10 {
		t.Fatalf("only %d worked cases found", len(files))
	}
	for _, f := range files {
		var c struct{ Build json.RawMessage }
		if err := json.Unmarshal(read(t, f), &c); err != nil {
			t.Fatal(err)
		}
		b, err := build.Decode(c.Build)
		if err != nil {
			t.Errorf("%s: %v", f, err)
			continue
		}
		if err := build.Check(b); err != nil {
			t.Errorf("%s: %v", f, err)
		}
		same(t, b)
	}
}

func TestLengthsKeepTheirUnit(t *testing.T) {
	b, err := build.Decode([]byte(`{"format":"portwright-build","version":1,
		"engine":{"bore_mm":44,"stroke_mm":{"in":1.28},"rod_mm":null,"squish_mm":[{"thou":20},0.5,{"mm":0.6}]},
		"windows":[{"name":"exhaust","kind":"exhaust"}],
		"passes":[{"name":"a","habit":"depth","readings":[
			{"window":"exhaust","event":"opens","value":{"in":1.145}},
			{"window":"exhaust","event":"opens","value":29.1},
			{"window":"exhaust","event":"opens","value":{"mm":29.1}}]}]}`))
	if err != nil {
		t.Fatal(err)
	}
	e := b.Engine
	if *e.Bore != (unit.Length{Value: 44, Unit: unit.MM}) || *e.Stroke != (unit.Length{Value: 1.28, Unit: unit.Inch}) || e.Rod != nil {
		t.Errorf("engine lengths: %v %v %v", e.Bore, e.Stroke, e.Rod)
	}
	want := []unit.Length{{Value: 20, Unit: unit.Thou}, {Value: 0.5, Unit: unit.MM}, {Value: 0.6, Unit: unit.MM}}
	if !reflect.DeepEqual(e.Squish, want) {
		t.Errorf("squish %v, want %v", e.Squish, want)
	}
	var got []unit.Length
	for _, r := range b.Passes[0].Readings {
		got = append(got, r.Value)
	}
	want = []unit.Length{{Value: 1.145, Unit: unit.Inch}, {Value: 29.1}, {Value: 29.1, Unit: unit.MM}}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("readings %v, want %v", got, want)
	}
	out := string(same(t, b))
	for _, part := range []string{`"stroke_mm":{"in":1.28}`, `[{"thou":20},0.5,0.6]`, `{"in":1.145}`, `{"mm":29.1}`} {
		if !strings.Contains(strings.ReplaceAll(out, ": ", ":"), part) {
			t.Errorf("%s is not in\n%s", part, out)
		}
	}
}

// Unknown fields stay where they were, at every level.
func TestUnknownFieldsAreKept(t *testing.T) {
	in := `{"format":"portwright-build","version":1,"x0":{"a":[1,{"b":null}]},"targets":{"squish_mm":0.5},
		"engine":{"bore_mm":44,"x1":1e999},"wheel":{"x2":"<&>"},
		"windows":[{"name":"w","kind":"exhaust","x3":[]}],
		"passes":[{"name":"p","x4":false,
			"stops":[{"when":"before","near":"tdc","readings":[341,23],"x5":null}],
			"readings":[{"window":"w","event":"opens","value":104.5,"x6":"\u00e9","x 7.\"":0.10}],
			"corrections":[{"code":"zero_error","kind":"shift_zero","by_deg":2,"x8":{}}]}]}`
	b, err := build.Decode([]byte(in))
	if err != nil {
		t.Fatal(err)
	}
	var want, got any
	if err := json.Unmarshal([]byte(strings.Replace(in, "1e999", `"1e999"`, 1)), &want); err != nil {
		t.Fatal(err)
	}
	out := same(t, b)
	if err := json.Unmarshal([]byte(strings.Replace(string(out), "1e999", `"1e999"`, 1)), &got); err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("got  %v\nwant %v", got, want)
	}
	if string(b.Passes[0].Readings[0].Extra[`x 7."`]) != "0.10" {
		t.Errorf("an unknown number was written anew: %s", b.Passes[0].Readings[0].Extra[`x 7."`])
	}
}

func TestManyFaultsAreToldAtOnce(t *testing.T) {
	_, err := build.Decode([]byte(`{"format":"portwright-build","version":1,"engine":{"bore_mm":"44","stroke_mm":true},"wheel":{"step_deg":[]}}`))
	if err == nil {
		t.Fatal("no error")
	}
	for _, want := range []string{
		`engine.bore_mm = "44": must be a length: a number of mm, {"in":x} or {"thou":x}; write 44,`,
		`engine.stroke_mm = true: must be a length`,
		`wheel.step_deg = []: must be a number`,
	} {
		if !strings.Contains(err.Error(), want) {
			t.Errorf("%q is not in\n%v", want, err)
		}
	}
	joined, ok := err.(interface{ Unwrap() []error })
	if !ok || len(joined.Unwrap()) != 3 {
		t.Fatalf("not three joined errors: %v", err)
	}
	for _, e := range joined.Unwrap() {
		if _, ok := e.(*unit.InputError); !ok {
			t.Errorf("%T is no *unit.InputError", e)
		}
	}
}

func TestFaultsAreCounted(t *testing.T) {
	var rows []string
	for range 500 {
		rows = append(rows, "null")
	}
	_, err := build.Decode([]byte(`{"format":"portwright-build","version":1,"windows":[` + strings.Join(rows, ",") + `]}`))
	if err == nil || !strings.Contains(err.Error(), "and 480 more") || strings.Count(err.Error(), "\n") != 20 {
		t.Errorf("500 faults: %v", err)
	}
}

func TestAByteOrderMarkIsPassedOver(t *testing.T) {
	b, err := build.Decode([]byte("\ufeff\r\n{\"format\":\"portwright-build\",\"version\":1,\"name\":\"x\"}\r\n"))
	if err != nil || b.Name != "x" {
		t.Error(b, err)
	}
}

func TestAKeyGivenTwiceAmongMany(t *testing.T) {
	_, err := build.Decode([]byte(`{"format":"portwright-build","version":1,` + manyKeys(100) + `,"k42":1}`))
	if err == nil || err.Error() != "k42 = 1: is given twice; keep one of them" {
		t.Error(err)
	}
}

func TestSetField(t *testing.T) {
	var e build.Engine
	set := func(key, value string) {
		t.Helper()
		if err := build.SetField(&e, key, json.RawMessage(value)); err != nil {
			t.Fatal(err)
		}
	}
	set("stroke_mm", `{"thou":1280}`)
	set("squish_mm", `[1,2]`)
	set("intake", `"reed"`)
	set("squish_mm", `[3]`)
	set("later.field", ` {"a" : 1} `)
	if e.Stroke == nil || e.Stroke.Unit != unit.Thou || len(e.Squish) != 1 || e.Intake != "reed" || string(e.Extra["later.field"]) != `{"a":1}` {
		t.Errorf("%+v", e)
	}
	set("stroke_mm", "null")
	if e.Stroke != nil {
		t.Error("null does not clear")
	}
	for _, bad := range [][2]string{{"bore_mm", `"x"`}, {"bore_mm", `{`}, {"bore_mm", ``}, {"cylinders", "1.5"}} {
		if err := build.SetField(&e, bad[0], json.RawMessage(bad[1])); err == nil {
			t.Errorf("%s = %s was taken", bad[0], bad[1])
		}
	}
	if build.SetField(&build.Build{}, "passes", json.RawMessage(`[]`)) == nil || build.SetField(&build.Pass{}, "readings", json.RawMessage(`[]`)) == nil {
		t.Error("a list of parts was taken as a field")
	}
}

func TestFieldsAreWhatSetFieldTakes(t *testing.T) {
	b, err := build.Decode(read(t, root+"builds/demo.json"))
	if err != nil {
		t.Fatal(err)
	}
	b.Engine.Extra = build.Extra{"later": json.RawMessage("[1]")}
	fs, err := build.Fields(&b.Engine)
	if err != nil {
		t.Fatal(err)
	}
	var e build.Engine
	for _, f := range fs {
		if err := build.SetField(&e, f.Key, f.Value); err != nil {
			t.Error(err)
		}
	}
	if !reflect.DeepEqual(e, b.Engine) {
		t.Errorf("%+v\n%+v", e, b.Engine)
	}
}

func TestEncodeRefusesWhatNobodyCouldRead(t *testing.T) {
	nan := func() *float64 { z := 0.0; z /= z; return &z }()
	for _, b := range []*build.Build{
		nil,
		{Engine: build.Engine{ChamberCC: nan}},
		{Engine: build.Engine{Rod: &unit.Length{Value: 1, Unit: "cm"}}},
		{Extra: build.Extra{"engine": json.RawMessage("1")}},
		{Extra: build.Extra{"x": json.RawMessage("{")}},
	} {
		if out, err := build.Encode(b); err == nil {
			t.Errorf("written: %s", out)
		}
	}
}

func ExampleDecode() {
	_, err := build.Decode([]byte(`{"format":"portwright-build","version":1,"engine":{"rod_mm":"long"}}`))
	fmt.Println(err)
	// Output:
	// engine.rod_mm = "long": must be a length: a number of mm, {"in":x} or {"thou":x}
}
