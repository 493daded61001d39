package e2e

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"portwright/wasm/e2e/chrome"
)

var (
	toBuilds = filepath.Join("..", "..", "testdata", "builds")
	toSheets = filepath.Join("..", "..", "engine", "sheet", "testdata")
)

// takesIn takes a build file in and waits until its build is open.
func (p *phone) takesIn(dir, name string) {
	p.t.Helper()
	data, err := os.ReadFile(filepath.Join(dir, name))
	if err != nil {
		p.t.Fatal(err)
	}
	file := filepath.Join(p.t.TempDir(), name)
	if err := os.WriteFile(file, data, 0o600); err != nil {
		p.t.Fatal(err)
	}
	p.Chooses(file)
	p.Tap("#take-in")
	p.WaitFor(`document.querySelector("[data-station=findings]")`, 10*time.Second)
}

// toSheet goes to the sheet of a build that was cut, by then without a server.
func toSheet(t *testing.T) *phone {
	t.Helper()
	p := openApp(t)
	p.takesIn(toSheets, "finished.json")
	p.WaitFor(`navigator.serviceWorker.controller`, 20*time.Second)
	p.server.Stop()
	p.TapText("Sheet")
	p.WaitFor(`document.querySelector(".paper footer")`, 10*time.Second)
	return p
}

// cell is a number of the sheet, by window, name and state.
const cell = `((of, name, state) => { let group = "";
  for (const tr of document.querySelectorAll(".paper .states tr")) {
    const th = tr.querySelector("th"), own = th.firstChild?.data;
    if (tr.className === "group") group = own;
    else if (group === of && own === name) return tr.querySelector('td[data-in="' + state + '"]').textContent;
  } return "none"; })`

// Without a network: before and after, the file that goes out and what the
// command makes of the build file, byte for byte, and the same for the numbers.
func TestSheetGoesOutWithoutANetwork(t *testing.T) {
	p := toSheet(t)
	dir := t.TempDir()
	p.Downloads(dir)
	// The stop halves to 0.5: 102, 102 and 102.5 on the wheel are 101.7 after
	// TDC. Source: arithmetic of the definitions.
	for _, c := range [][4]string{{"exhaust", "Opens", "finished", "101.7 ±"}, {"exhaust", "Duration", "finished", "156.7 ±"}, {"Cylinder", "Squish, pin axis", "finished", "not known"}} {
		if got := chrome.MustEval[string](p, fmt.Sprintf("%s(%q, %q, %q)", cell, c[0], c[1], c[2])); !strings.HasPrefix(got, c[3]) {
			t.Errorf("%v: %q", c[:3], got)
		}
	}
	for _, want := range []string{"Before any cut", "Never use the starter against a stop", "check local law", "struck out"} {
		if !strings.Contains(p.says(), want) {
			t.Errorf("the sheet does not say %q", want)
		}
	}
	p.Tap("#sheet-share")
	page := p.downloaded(dir, "*.html")
	p.Tap(".sheet-more summary")
	p.TapText("Numbers (CSV)")
	numbers := p.downloaded(dir, "numbers-*.csv")
	p.TapText("Build file")
	p.downloaded(dir, "*.json")
	files, _ := filepath.Glob(filepath.Join(dir, "*.json"))
	foot := regexp.MustCompile(`Date <b>([^<]*)</b>.*Device <b>([^<]*)</b>`).FindSubmatch(page)
	if foot == nil {
		t.Fatal("the page has no foot")
	}
	said := []string{"sheet", "--date", string(foot[1]), "--device", string(foot[2])}
	if want := p.server.Run(append(said, files[0])...); !bytes.Equal(page, want) {
		t.Errorf("the shared page of %d bytes is not that of the command, %d bytes", len(page), len(want))
	}
	if want := p.server.Run(append(said, "--csv", files[0])...); !bytes.Equal(numbers, want) {
		t.Errorf("the numbers are not those of the command:\n%s\n%s", numbers, want)
	}
}

// lies outside of the paper, or is printed though it is no part of the sheet.
const offPaper = `(() => { const out = [], wide = document.documentElement.clientWidth + 1;
  for (const e of document.querySelectorAll(".strip, .stations, .sheet-acts")) if (e.offsetHeight) out.push(e.className + " is printed");
  for (const e of document.querySelectorAll(".paper *")) {
    if (e.closest("svg") && e.tagName !== "text" && e.tagName !== "svg") continue;
    const r = e.getBoundingClientRect();
    if (r.width > 0 && (r.left < -1 || r.right > wide)) out.push(e.tagName + " " + (e.textContent || "").slice(0, 40) + " " + r.left + ".." + r.right);
  }
  const bar = document.querySelector("svg.portmap path.scale").getBoundingClientRect().width / 96 * 25.4;
  if (Math.abs(bar - 10) > .05) out.push("the scale bar is " + bar + " mm long");
  for (const e of document.querySelectorAll(".paper, .paper td, .paper text")) {
    const c = getComputedStyle(e)[e.tagName === "text" ? "fill" : "color"];
    if (c !== "rgb(0, 0, 0)") { out.push(e.tagName + " is printed in " + c); break; }
  }
  if (getComputedStyle(document.documentElement).colorScheme !== "light") out.push("the margins are printed dark");
  if (getComputedStyle(document.body).backgroundColor !== "rgb(255, 255, 255)") out.push("the ground is printed");
  return out.slice(0, 5); })()`

var pagesOf = regexp.MustCompile(`/Type /Pages[^>]*?/Count (\d+)|/Count (\d+)`)

// From the app, in either theme, on both papers: all of the sheet and nothing
// but the sheet, black on white, the map at full size.
// Sizes: ISO 216 (A4) and ANSI Y14.1 (Letter), in inches.
func TestSheetPrintsFromTheApp(t *testing.T) {
	p := toSheet(t)
	p.Do(`window.print = () => { window.printed = document.adoptedStyleSheets[0]?.cssRules[0]?.cssText || "no style" }`)
	p.Tap("#sheet-print")
	p.WaitFor(`window.printed`, 5*time.Second)
	if got := chrome.MustEval[string](p, `window.printed`); !strings.Contains(got, "@page") {
		t.Errorf("printed with %q", got)
	}
	for name, size := range map[string][2]float64{"A4": {210 / 25.4, 297 / 25.4}, "Letter": {8.5, 11}} {
		for _, theme := range []string{"light", "dark"} {
			p.Media("", map[string]string{"prefers-color-scheme": theme})
			pdf := p.PDF(size[0], size[1])
			if dir := os.Getenv("SHOTS"); dir != "" {
				_ = os.WriteFile(filepath.Join(dir, "app_sheet_"+name+"_"+theme+".pdf"), pdf, 0o600)
			}
			m := pagesOf.FindSubmatch(pdf)
			if m == nil {
				t.Fatalf("%s: no page count", name)
			}
			if n, _ := strconv.Atoi(string(m[1]) + string(m[2])); n < 2 || n > 5 {
				t.Errorf("%s: %d pages", name, n)
			}
			p.Media("print", map[string]string{"prefers-color-scheme": theme})
			p.Resize(int(size[0]*96-2*12/25.4*96), 1000)
			for _, bad := range chrome.MustEval[[]string](p, offPaper) {
				t.Errorf("%s, %s: %s", name, theme, bad)
			}
		}
	}
}

// Two passes of a build, then two builds from the Book, found again after a
// new start.
func TestTwoPassesAndTwoBuildsAreCompared(t *testing.T) {
	p := openApp(t)
	p.takesIn(toBuilds, "cut.json")
	p.Tap(".strip .home")
	p.takesIn(toSheets, "finished.json")
	p.TapText("Sheet")
	p.WaitFor(`document.querySelector(".paper footer")`, 10*time.Second)
	p.Tap(".sheet-more summary")
	p.TapText("Compare two passes")
	p.WaitFor(`document.querySelector(".paper h1")?.textContent === "as received and finished"`, 10*time.Second)
	got := func(state string) string {
		return chrome.MustEval[string](p, fmt.Sprintf(`%s("exhaust", "Duration", %q)`, cell, state))
	}
	if d := got("second less first"); !strings.HasPrefix(d, "+") {
		t.Errorf("the duration grew by %q", d)
	}
	shot(p.Page, "compare_passes")
	p.Tap(`.sheet-acts fieldset:nth-of-type(2) .button`)
	p.WaitFor(`document.querySelector(".paper h1")?.textContent === "as received (first) and as received (second)"`, 10*time.Second)
	if d := got("second less first"); !strings.HasPrefix(d, "+0.0 ±") {
		t.Errorf("a pass differs from itself by %q", d)
	}
	p.Tap(".strip .home")
	p.TapText("More about Demo: pond pump 49, cut")
	p.TapText("Compare with ...")
	p.sees("to be compared with?")
	shot(p.Page, "compare_choose")
	p.TapText("Compare with this one")
	title := "DEMO-3 Demo: pond pump 49, cut, finished and DEMO-2 Demo: pond pump 49, to be cut, as received"
	p.WaitFor(fmt.Sprintf(`document.querySelector(".paper h1")?.textContent === %q`, title), 10*time.Second)
	if n := chrome.MustEval[int](p, `document.querySelectorAll(".paper svg.portmap").length`); n != 2 {
		t.Errorf("%d port maps", n)
	}
	shot(p.Page, "compare_builds")
	p.Goto(chrome.MustEval[string](p, "location.href"))
	p.Do("location.reload()")
	p.WaitFor(fmt.Sprintf(`document.querySelector(".paper h1")?.textContent === %q`, title), 20*time.Second)
	p.TapText("Back to the sheet")
	p.WaitFor(`document.querySelector(".paper h2")?.textContent === "Before and after"`, 10*time.Second)
}

// Both themes, small, wide and in large text: contrast, targets, and nothing
// wider than the screen.
func TestSheetCanBeSeenAndTouched(t *testing.T) {
	p := toSheet(t)
	p.Do(`document.querySelectorAll("details").forEach(d => d.open = true)`)
	look := func(where string) {
		t.Helper()
		for _, js := range []string{lookAt, cells} {
			for _, bad := range chrome.MustEval[[]string](p, js) {
				t.Errorf("%s: %s", where, bad)
			}
		}
		shot(p.Page, "sheet_"+where)
	}
	for _, theme := range []string{"light", "dark"} {
		p.Media("", map[string]string{"prefers-color-scheme": theme})
		for _, size := range [][2]int{{360, 640}, {320, 568}, {640, 360}, {1280, 800}} {
			p.Resize(size[0], size[1])
			look(fmt.Sprintf("%s_%d", theme, size[0]))
		}
	}
	p.Resize(360, 640)
	p.Do(`document.documentElement.style.fontSize = "200%"`)
	look("large")
}
