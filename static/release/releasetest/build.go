// Package releasetest makes small builds for tests.
package releasetest

import (
	"encoding/json"
	"strings"
	"testing/fstest"

	"portwright/static/release"
)

// ID makes a build id of one hexadecimal digit.
func ID(digit string) string { return strings.Repeat(digit, release.IDLen) }

// Build is a whole build with the given files below its base beside the pages
// that every build has.
func Build(id string, files map[string]string) fstest.MapFS {
	all := map[string]string{
		"index.html": "<!doctype html>shell " + id, "repair.html": "<!doctype html>repair " + id,
		"manifest.webmanifest": "{}", "icon/wheel.svg": "<svg/>",
	}
	for name, text := range files {
		all[name] = text
	}
	dist := fstest.MapFS{
		release.Worker:    {Data: []byte("// worker of " + id)},
		release.Withdrawn: {Data: []byte("// withdrawn")},
	}
	rel := release.Release{Build: id}
	for name, text := range all {
		f := release.File{Path: release.Base(id) + name, SHA256: release.Sum([]byte(text)), Size: len(text)}
		if !strings.HasSuffix(name, ".br") {
			rel.Files = append(rel.Files, f)
		}
		dist[f.Inside()] = &fstest.MapFile{Data: []byte(text)}
	}
	data, err := json.Marshal(rel)
	if err != nil { // plain strings and numbers
		panic(err)
	}
	dist[release.Name] = &fstest.MapFile{Data: data}
	return dist
}
