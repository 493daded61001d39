package build_test

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"reflect"
	"testing"

	"pgregory.net/rapid"

	"portwright/engine/build"
	"portwright/engine/build/anybuild"
)

func TestEncodeThenDecodeIsTheSameBuild(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := anybuild.Draw(t)
		out, err := build.Encode(b)
		if err != nil {
			t.Fatal(err)
		}
		again, err := build.Decode(out)
		if err != nil {
			t.Fatalf("%v\n%s", err, out)
		}
		if !reflect.DeepEqual(b, again) {
			t.Fatalf("before %#v\nafter  %#v\n%s", b, again, out)
		}
		_ = build.Check(b)
		_ = build.Doubts(b)
		if err := build.WriteCSV(&bytes.Buffer{}, b); err != nil {
			t.Fatal(err)
		}
	})
}

// Nothing that can be in a file makes Decode panic, and what it takes it gives
// back: as JSON the file and its second writing say the same.
func FuzzDecode(f *testing.F) {
	for _, pattern := range []string{"builds/*.json", "builds/old/*.json", "bad/*.json"} {
		files, err := filepath.Glob(filepath.FromSlash(root + pattern))
		if err != nil || len(files) == 0 {
			f.Fatalf("no seeds in %s", pattern)
		}
		for _, name := range files {
			data, err := os.ReadFile(name)
			if err != nil {
				f.Fatal(err)
			}
			f.Add(data)
		}
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		b, err := build.Decode(data)
		if err != nil {
			if b != nil || err.Error() == "" {
				t.Fatalf("refused with %q and %v", err, b)
			}
			return
		}
		out := same(t, b)
		_ = build.Check(b)
		_ = build.Doubts(b)
		if !sameMeaning(t, data, out) {
			t.Fatalf("meaning changed\n%s\n%s", data, out)
		}
	})
}

// sameMeaning compares two files as JSON without what means nothing: nulls,
// zeros, empty texts and empty lists and objects of known fields.
func sameMeaning(t *testing.T, a, b []byte) bool {
	x, okx := meaning(a)
	y, oky := meaning(b)
	return !okx || (oky && reflect.DeepEqual(x, y))
}

func meaning(data []byte) (any, bool) {
	dec := json.NewDecoder(bytes.NewReader(bytes.TrimPrefix(bytes.TrimSpace(data), []byte("\ufeff"))))
	var v any
	if dec.Decode(&v) != nil { // 1e999 and the like under an unknown key
		return nil, false
	}
	return prune(v), true
}

func prune(v any) any {
	switch v := v.(type) {
	case map[string]any:
		out := map[string]any{}
		for k, e := range v {
			if p := prune(e); p != nil {
				out[k] = p
			}
		}
		if mm, ok := out["mm"]; ok && len(out) == 1 {
			return mm
		}
		if len(out) == 0 {
			return nil
		}
		return out
	case []any:
		out := make([]any, len(v))
		for i := range v {
			out[i] = prune(v[i])
		}
		if len(out) == 0 {
			return nil
		}
		return out
	case string:
		if v == "" {
			return nil
		}
	case float64:
		if v == 0 {
			return nil
		}
	case bool:
		if !v {
			return nil
		}
	}
	return v
}
