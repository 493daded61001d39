package main

import (
	"fmt"
	"io"
	"strings"

	"github.com/agnivade/levenshtein"

	"portwright/engine/build"
)

// warnMistyped names the fields that are kept without effect and look like
// mistyped ones. Fields of a newer version don't look like known ones.
func warnMistyped(stderr io.Writer, b *build.Build) {
	for _, s := range build.Strangers(b) {
		if meant := nearest(s.Key, s.Known); meant != "" {
			path := s.Path
			if path != "" {
				path += "."
			}
			fmt.Fprintf(stderr, "note: %s%s: is not a field and has no effect; did you mean %q?\n", path, s.Key, meant)
		}
	}
}

// nearest returns the known key that differs in the fewest letters, at most a
// third of them; "" when none does.
func nearest(key string, known []string) string {
	best, at := len(key)/3+1, ""
	for _, k := range known {
		if len(key) >= 3 && (strings.HasPrefix(k, key) || strings.HasPrefix(key, k)) {
			return k
		}
		if d := levenshtein.ComputeDistance(key, k); d < best {
			best, at = d, k
		}
	}
	return at
}
