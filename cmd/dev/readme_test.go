package main

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

var link = regexp.MustCompile(`\]\(([^)#]+)\)`)

// What the documents link to is there, and the pictures are small enough to be
// looked at on a phone.
func TestLinksOfDocumentsLead(t *testing.T) {
	dir, links := root(t), 0
	for _, name := range []string{"README.md", "DEVELOPERS.md", "server/PROTOCOL.md"} {
		text, err := os.ReadFile(filepath.Join(dir, name))
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range link.FindAllStringSubmatch(string(text), -1) {
			if strings.Contains(m[1], "://") {
				continue
			}
			links++
			info, err := os.Stat(filepath.Join(dir, filepath.Dir(name), filepath.FromSlash(m[1])))
			if err != nil {
				t.Errorf("%s: %v", name, err)
			} else if strings.HasSuffix(m[1], ".png") && info.Size() > 60_000 {
				t.Errorf("%s: %s has %d bytes; 60,000 are enough for a picture", name, m[1], info.Size())
			}
		}
	}
	if links < 4 {
		t.Errorf("%d links were found; the README shows four pictures", links)
	}
}
