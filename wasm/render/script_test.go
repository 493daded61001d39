package render

import (
	"fmt"
	"regexp"
	"strings"
	"testing"
)

// TestScriptKnowsEveryStep holds the two lists of steps and the version of
// render.js and the program together.
func TestScriptKnowsEveryStep(t *testing.T) {
	for op := opWord; op <= opNoValue; op++ {
		if !strings.Contains(Script, fmt.Sprintf("case %d:", op)) {
			t.Errorf("render.js does not know step %d", op)
		}
	}
	if n := len(regexp.MustCompile(`case \d+:`).FindAllString(Script, -1)); n != int(opNoValue) {
		t.Errorf("render.js knows %d steps, the program has %d", n, opNoValue)
	}
	if !strings.Contains(Script, fmt.Sprintf("version: %d,", scriptVersion)) {
		t.Errorf("render.js is not of version %d", scriptVersion)
	}
}

// TestScriptKeepsThePolicy looks for what the page's policy would refuse.
func TestScriptKeepsThePolicy(t *testing.T) {
	for _, word := range []string{"eval(", "new Function", "document.write", "setAttribute(\"style\"", "javascript:", "<script"} {
		if strings.Contains(Script, word) {
			t.Errorf("render.js has %q", word)
		}
	}
}
