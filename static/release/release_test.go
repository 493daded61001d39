package release_test

import (
	"errors"
	"strings"
	"testing"
	"testing/fstest"

	"portwright/static/release"
	"portwright/static/release/releasetest"
)

func TestReadRefusesWhatIsNotWhole(t *testing.T) {
	id := releasetest.ID("a")
	file := "b/" + id + "/index.html"
	for _, c := range []struct {
		name string
		harm func(fstest.MapFS)
		want string // part of the error; "" when all is well
	}{
		{"whole", func(fstest.MapFS) {}, ""},
		{"cut short", func(d fstest.MapFS) { d[file].Data = d[file].Data[:5] }, "has 5 bytes"},
		{"another byte", func(d fstest.MapFS) { d[file].Data[3] ^= 1 }, "has SHA-256"},
		{"missing", func(d fstest.MapFS) { delete(d, file) }, "index.html"},
		{"not JSON", func(d fstest.MapFS) { d[release.Name].Data = []byte("{") }, "not a release"},
		{"id with a path", func(d fstest.MapFS) {
			d[release.Name].Data = []byte(strings.ReplaceAll(string(d[release.Name].Data), id, "../../etc/passwd"))
		}, "hexadecimal"},
		{"file of elsewhere", func(d fstest.MapFS) {
			d[release.Name].Data = []byte(`{"build":"` + id + `","files":[{"path":"/b/` + id + `/../x.js"}]}`)
		}, "does not lie in"},
	} {
		t.Run(c.name, func(t *testing.T) {
			dist := releasetest.Build(id, nil)
			c.harm(dist)
			rel, err := release.Read(dist)
			if c.want == "" {
				if err != nil || rel.Build != id || len(rel.Files) != 4 {
					t.Fatalf("got %+v, %v", rel, err)
				}
				return
			}
			if err == nil || !strings.Contains(err.Error(), c.want) {
				t.Fatalf("error %v, want one with %q", err, c.want)
			}
		})
	}
	if _, err := release.Read(fstest.MapFS{}); !errors.Is(err, release.ErrNone) {
		t.Errorf("an empty folder: %v, want ErrNone", err)
	}
}
