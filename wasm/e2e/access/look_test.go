// Package access looks at every station, in each state and both themes, as
// axe-core does, and measures how large what is tapped is and how far apart.
package access

import (
	"encoding/json"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"portwright/wasm/e2e/access/axe"
	"portwright/wasm/e2e/chrome"
	"portwright/wasm/e2e/drive"
)

const soon = 20 * time.Second

// run asks axe-core for the rules of WCAG 2.2 A and AA, those of AAA that a
// machine can tell (contrast 7:1 among them) and its best practices.
const run = `(async () => {
  const done = await axe.run(document, {
    runOnly: { type: "tag", values: ["wcag2a", "wcag2aa", "wcag2aaa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"] },
    resultTypes: ["violations", "incomplete"],
  });
  const say = list => list.flatMap(v => v.nodes.map(n => v.id + ": " + n.target.join(" ") + ": " + [...n.any, ...n.all, ...n.none].map(c => c.message).join("; ")));
  return { bad: say(done.violations), unsure: say(done.incomplete), passed: done.passes.length };
})()`

// judged are the rules that axe-core leaves to a person now and then, and why
// that is no fault here.
var judged = map[string]string{
	"color-contrast":              "text in a drawing or behind a scrolled edge: measured by drive.Measure",
	"color-contrast-enhanced":     "the same",
	"label-content-name-mismatch": "signs without letters: the point and ½ are called point and and a half",
	"th-has-data-cells":           "the head of a table whose cells are empty so far",
}

// looker is a browser that is shown states.
type looker struct {
	*chrome.Browser
	t      *testing.T
	script string // of axe-core, "" where it can't be had
	looks  int
	faults map[string][]string // where each was seen
}

func start(t *testing.T) *looker {
	t.Helper()
	script, err := axe.Script()
	if err != nil {
		fmt.Fprintf(os.Stderr, "!! NOT RUN: axe-core: %v\n", err)
	}
	l := &looker{t: t, script: script, faults: map[string][]string{}}
	t.Cleanup(l.report)
	l.Browser = chrome.Start(t, chrome.Options{Width: 360, Height: 640, Mobile: true, ReducedMotion: true})
	return l
}

var themes = []string{"light", "dark"}

// look looks at what is shown, small in both themes and wide in one: the wide
// one has the same colours.
func (l *looker) look(state string) {
	l.t.Helper()
	l.Resize(360, 640)
	for _, theme := range themes {
		l.Media("", map[string]string{"prefers-color-scheme": theme, "prefers-reduced-motion": "reduce"})
		l.once(state + ", " + theme)
	}
	l.Resize(1280, 800)
	l.once(state + ", wide")
	l.Resize(360, 640)
}

func (l *looker) once(where string) {
	l.t.Helper()
	l.looks++
	if dir := os.Getenv("SHOTS"); dir != "" {
		l.Screenshot(filepath.Join(dir, strings.NewReplacer(", ", "_", " ", "_").Replace(where)+".png"))
	}
	faults := l.seen(where)
	if len(faults) > 0 { // it may have been drawn in between
		time.Sleep(500 * time.Millisecond)
		faults = l.seen(where)
	}
	for _, fault := range faults {
		l.faults[fault] = append(l.faults[fault], where)
	}
}

// seen is what is wrong with what is shown now.
func (l *looker) seen(where string) []string {
	l.t.Helper()
	faults := chrome.MustEval[[]string](l, drive.Measure)
	if l.script == "" {
		return faults
	}
	if chrome.MustEval[bool](l, `typeof axe === "undefined"`) {
		l.Do(l.script)
	}
	var got struct {
		Bad, Unsure []string
		Passed      int
	}
	text, err := l.Evaluate(run)
	if err == nil {
		err = json.Unmarshal([]byte(text), &got)
	}
	if err != nil {
		l.t.Fatalf("%s: %v", where, err)
	}
	faults = append(faults, got.Bad...)
	for _, unsure := range got.Unsure {
		rule, _, _ := strings.Cut(unsure, ":")
		if _, ok := judged[rule]; !ok {
			faults = append(faults, "not sure: "+unsure)
		}
	}
	if got.Passed < 10 {
		faults = append(faults, fmt.Sprintf("axe-core tried %d rules only", got.Passed))
	}
	return faults
}

// report tells each fault once, with where it was seen.
func (l *looker) report() {
	for _, fault := range slices.Sorted(maps.Keys(l.faults)) {
		l.t.Errorf("%s\n    at %s", fault, strings.Join(l.faults[fault], "; "))
	}
	l.t.Logf("%d looks", l.looks)
}
