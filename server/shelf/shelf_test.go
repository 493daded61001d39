package shelf

import (
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"portwright/static/release"
	"portwright/static/release/releasetest"
)

func earlier(t *testing.T, s *Shelf, inUse fs.FS) []string {
	t.Helper()
	list, err := s.Earlier(inUse)
	if err != nil {
		t.Fatal(err)
	}
	var out []string
	for _, dist := range list {
		rel, err := release.Read(dist)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, rel.Build[:1])
	}
	return out
}

// age moves every build's last use into the past, as days between releases do.
func age(t *testing.T, s *Shelf) {
	t.Helper()
	all, err := s.list()
	if err != nil {
		t.Fatal(err)
	}
	for _, k := range all {
		at := k.at.Add(-time.Hour)
		if err := os.Chtimes(filepath.Join(s.dir, k.name, release.Name), at, at); err != nil {
			t.Fatal(err)
		}
	}
}

func TestEarlierBuildsStay(t *testing.T) {
	s, err := Open(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	build := func(digit string) fs.FS {
		return releasetest.Build(releasetest.ID(digit), map[string]string{"app.wasm": "app " + digit, "app.wasm.br": "small " + digit})
	}
	steps := []struct {
		use  string
		want []string
	}{
		{"a", nil},
		{"b", []string{"a"}},
		{"b", []string{"a"}}, // started again
		{"c", []string{"b", "a"}},
		{"d", []string{"c", "b"}}, // a is older than the spare builds
		{"c", []string{"d", "b"}}, // back to an earlier one
	}
	for _, step := range steps {
		age(t, s)
		if err := s.Keep(build(step.use)); err != nil {
			t.Fatal(err)
		}
		if got := earlier(t, s, build(step.use)); !slices.Equal(got, step.want) {
			t.Errorf("with %s in use the earlier builds are %v, want %v", step.use, got, step.want)
		}
	}
	id := releasetest.ID("c")
	for name, want := range map[string]string{"app.wasm": "app c", "app.wasm.br": "small c"} {
		got, err := os.ReadFile(filepath.Join(s.dir, id, "b", id, name))
		if err != nil || string(got) != want {
			t.Errorf("%s on the shelf: %q, %v", name, got, err)
		}
	}
}

func TestDamagedBuildIsLeftOutAndReplaced(t *testing.T) {
	s, err := Open(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	a, b := releasetest.Build(releasetest.ID("a"), nil), releasetest.Build(releasetest.ID("b"), nil)
	for _, dist := range []fs.FS{a, b} {
		age(t, s)
		if err := s.Keep(dist); err != nil {
			t.Fatal(err)
		}
	}
	page := filepath.Join(s.dir, releasetest.ID("a"), "b", releasetest.ID("a"), "index.html")
	if err := os.WriteFile(page, []byte("cut"), 0o644); err != nil {
		t.Fatal(err)
	}
	if got := earlier(t, s, b); len(got) != 0 {
		t.Errorf("a damaged build is offered: %v", got)
	}
	if err := s.Keep(a); err != nil {
		t.Fatal(err)
	}
	if got := earlier(t, s, b); !slices.Equal(got, []string{"a"}) {
		t.Errorf("kept anew, the earlier builds are %v, want a", got)
	}
	if left, _ := filepath.Glob(filepath.Join(s.dir, "part-*")); len(left) > 0 {
		t.Errorf("half copies are left: %v", left)
	}
}
