package build_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"portwright/engine/build"
	"portwright/engine/unit"
)

// badRow says what a file of testdata/bad must be refused with.
type badRow struct {
	At    string   `json:"at"` // "decode": the file can't be read; "check": what it says can't be
	Field string   `json:"field"`
	Value string   `json:"value"` // as shown, with its unit; "" when it is not looked at
	Right []string `json:"right"` // parts of the reason: what would be right
}

// Each bad file has one fault, told by field, value and what would be right.
func TestBadInputs(t *testing.T) {
	dec := json.NewDecoder(bytes.NewReader(read(t, root+"bad.json")))
	dec.DisallowUnknownFields()
	var rows map[string]badRow
	if err := dec.Decode(&rows); err != nil {
		t.Fatal(err)
	}
	files, err := os.ReadDir(filepath.FromSlash(root + "bad"))
	if err != nil {
		t.Fatal(err)
	}
	if len(files) != len(rows) || len(files) < 80 {
		t.Errorf("%d files, %d rows in bad.json", len(files), len(rows))
	}
	for _, f := range files {
		row, ok := rows[f.Name()]
		if !ok {
			t.Errorf("%s has no row in bad.json", f.Name())
			continue
		}
		t.Run(f.Name(), func(t *testing.T) { row.test(t, read(t, root+"bad/"+f.Name())) })
	}
}

func (row badRow) test(t *testing.T, data []byte) {
	b, err := build.Decode(data)
	switch row.At {
	case "decode":
		if err == nil {
			t.Fatal("the file was read")
		}
	case "check":
		if err != nil {
			t.Fatalf("the file can't be read: %v", err)
		}
		same(t, b) // a person's slip is not lost on the way to its mending
		err = errors.Join(build.Check(b), build.CheckPlan(b))
	default:
		t.Fatalf("at %q", row.At)
	}
	for {
		joined, ok := err.(interface{ Unwrap() []error })
		if !ok {
			break
		}
		if len(joined.Unwrap()) != 1 {
			t.Fatalf("more than one fault: %v", err)
		}
		err = joined.Unwrap()[0]
	}
	var in *unit.InputError
	if !errors.As(err, &in) {
		t.Fatalf("no *unit.InputError: %v", err)
	}
	if in.Field != row.Field {
		t.Errorf("field %q, want %q", in.Field, row.Field)
	}
	if given := strings.TrimSpace(in.Value + " " + in.Unit); row.Value != "" && given != row.Value {
		t.Errorf("value %q, want %q", given, row.Value)
	}
	if len(row.Right) == 0 {
		t.Error("the row does not say what would be right")
	}
	for _, part := range row.Right {
		if !strings.Contains(in.Reason, part) {
			t.Errorf("%q is not in: %v", part, err)
		}
	}
}

// endless gives a valid beginning of a file and then blanks for ever.
type endless struct{ given int64 }

func (e *endless) Read(p []byte) (int, error) {
	for i := range p {
		p[i] = ' '
	}
	if e.given == 0 {
		copy(p, `{"format":"portwright-build","version":1,"name":"`)
	}
	e.given += int64(len(p))
	return len(p), nil
}

func TestLargeFilesAreRefusedEarly(t *testing.T) {
	var src endless
	_, err := build.Read(io.LimitReader(&src, 50<<20))
	if err == nil || !strings.Contains(err.Error(), "larger than 32 MB") {
		t.Errorf("50 MB: %v", err)
	}
	if src.given > build.MaxBytes+1<<20 {
		t.Errorf("%d bytes were read before it was refused", src.given)
	}
	var head bytes.Buffer
	head.WriteString(`{"format":"portwright-build","version":1,"note":"`)
	head.Write(bytes.Repeat([]byte("x"), 50<<20))
	head.WriteString(`"}`)
	if _, err := build.Decode(head.Bytes()); err == nil || !strings.Contains(err.Error(), "larger than 32 MB") {
		t.Errorf("50 MB in memory: %v", err)
	}
	broken := errors.New("pulled out")
	if _, err := build.Read(io.MultiReader(strings.NewReader("{"), errReader{broken})); !errors.Is(err, broken) {
		t.Errorf("%v", err)
	}
}

type errReader struct{ err error }

func (r errReader) Read([]byte) (int, error) { return 0, r.err }

func TestHugeAndDeepFiles(t *testing.T) {
	const head = `{"format":"portwright-build","version":1,`
	many := func(one string, n int) string { return "[" + strings.Repeat(one+",", n-1) + one + "]" }
	deep := func(n int) string { return strings.Repeat("[", n) + strings.Repeat("]", n) }
	for _, row := range []struct{ name, text, want string }{
		{"list of lengths", head + `"engine":{"squish_mm":` + many("1", 100_001) + `}}`, "engine.squish_mm: has more than 100000 elements"},
		{"list of windows", head + `"windows":` + many("{}", 100_001) + `}`, "windows: has more than 100000 elements"},
		{"a million wrong ones", head + `"engine":{"squish_mm":` + many(`""`, 100_000) + `}}`, "and 99980 more"},
		{"elements all over", head + `"passes":` + many(`{"squish":1,"readings":`+many(`{"value":1}`, 1000)+`}`, 120) + `}`, "holds more than 100000 list elements"},
		{"fields of one object", head + strings.Repeat(`"x":1,`, 100_001) + `"y":1}`, "has more than 100000 fields"},
		{"unknown fields all over", head + `"windows":` + many(`{`+manyKeys(200)+`}`, 1000) + `}`, "list elements and unknown fields"},
		{"too deep", head + `"later":` + deep(1_000_000) + `}`, "exceeded max depth"},
	} {
		_, err := build.Decode([]byte(row.text))
		if err == nil || !strings.Contains(err.Error(), row.want) || len(err.Error()) > 4000 {
			t.Errorf("%s: %.200v", row.name, err)
		}
	}
	// A large build that a person may have is read and written.
	b, err := build.Decode([]byte(head + `"windows":[{"name":"w","kind":"exhaust"}],"passes":` + many(`{"name":"p","readings":`+many(`{"window":"w","event":"opens","value":104.5}`, 200)+`}`, 100) + `}`))
	if err != nil {
		t.Fatal(err)
	}
	same(t, b)
	// As deep as the JSON reader goes and kept, in time that grows with the size.
	b, err = build.Decode([]byte(head + `"later":` + deep(9_000) + `}`))
	if err != nil {
		t.Fatal(err)
	}
	same(t, b)
	b = &build.Build{Format: build.Format, Version: build.Version}
	for range 201 {
		b.Windows = append(b.Windows, build.Window{})
	}
	b.Passes = []build.Pass{{Name: "a", Readings: make([]build.Reading, 10_001)}}
	if err := build.Check(b); err == nil || !strings.Contains(err.Error(), "windows = 201: must be at most 200") || !strings.Contains(err.Error(), "at most 500 stop checks and 10000 readings") {
		t.Errorf("%v", err)
	}
}

func manyKeys(n int) string {
	var keys []string
	for i := range n {
		keys = append(keys, fmt.Sprintf(`"k%d":0`, i))
	}
	return strings.Join(keys, ",")
}
