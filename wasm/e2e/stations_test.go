package e2e

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"portwright/engine/book"
	"portwright/engine/build"
	"portwright/wasm/e2e/chrome"
)

// says is what the page shows, spaces joined.
func (p *phone) says() string {
	p.t.Helper()
	return strings.Join(strings.Fields(p.Text("main")), " ")
}

// sees waits until the page shows a text.
func (p *phone) sees(text string) {
	p.t.Helper()
	p.WaitFor(fmt.Sprintf(`document.querySelector("main")?.innerText.replace(/\s+/g, " ").includes(%q)`, text), 10*time.Second)
}

// field goes to one field of the engine by its row in the list.
func (p *phone) field(path string) {
	p.t.Helper()
	p.Tap(`.field-row[href$="` + path + `"]`)
	p.WaitFor(fmt.Sprintf(`location.hash.endsWith(%q) && document.activeElement?.id === "field"`, path), 10*time.Second)
}

// A job from an empty book to a remedy and back: the engine's numbers one at a
// time on a keyboard, three readings of which one is wild, the finding, its
// remedy in one tap, and undo.
func TestFromAnEmptyBookToARemedyAndBack(t *testing.T) {
	p := openApp(t)
	p.Tap("#whole-build")
	p.WaitFor(`document.querySelector("[data-station=engine]")`, 10*time.Second)
	shot(p.Page, "engine_new")
	p.field("engine.stroke_mm")
	p.TypeKeys("32,5\n") // Enter keeps and goes on
	p.WaitFor(`document.querySelector("#field-title").textContent === "rod length" && document.querySelector("#field").value === ""`, 10*time.Second)
	p.TypeKeys("58\n")
	p.WaitFor(`document.querySelector("#field-title").textContent === "pin offset"`, 10*time.Second)
	p.TapText("All of the engine")
	p.field("engine.squish_mm[0]")
	p.TapText("in")
	p.Tap("#field")
	p.TypeKeys("0.20")
	p.sees("0.2 in is 5.08 mm")
	shot(p.Page, "engine_doubt")
	p.Tap("#suggest")
	p.WaitFor(`document.querySelector("#field").value === "0.02"`, 5*time.Second)
	p.Tap("#field-keep")
	p.WaitFor(`document.querySelector("#field-title").textContent === "squish, pin axis, right"`, 10*time.Second)

	p.TapText("Bench")
	p.TapText("Exhaust, one transfer, intake")
	p.WaitFor(`document.querySelector("#question")`, 10*time.Second)
	p.reads("340")
	p.reads("20")
	for _, v := range []string{"102.5", "102.5"} {
		p.asks("Exhaust opens", "piston going down")
		p.reads(v)
	}
	p.enter("108.5")
	p.Tap(".pad .keep")
	p.sees("Keep it all the same?")
	time.Sleep(600 * time.Millisecond) // a tap right after the first is no answer
	p.TapText("Keep 108.5 all the same")
	p.asks("Exhaust closes", "piston going up")
	for _, v := range []string{"257.5", "257.5", "257.5", "120.5", "120.5", "120.5", "239.5", "239.5", "239.5"} {
		p.reads(v)
	}
	p.TapText("What the readings say")
	p.WaitFor(`document.querySelector("[data-code=wild_reading]")`, 10*time.Second)
	shot(p.Page, "findings_wild")
	before := p.says()
	p.Tap("[data-code=wild_reading] .button")
	p.WaitFor(`!document.querySelector("[data-code=wild_reading]") && document.querySelector(".applied")`, 10*time.Second)
	// Two readings of 102.5 and a stop that halves to 0: open 155 degrees.
	// Source: arithmetic of the definitions.
	for _, want := range []string{"102.5°", "155.0°"} {
		if !strings.Contains(p.says(), want) {
			t.Errorf("after the remedy the findings don't show %s: %s", want, p.says())
		}
	}
	if focus := chrome.MustEval[string](p, `document.activeElement.id`); focus != "applied-title" {
		t.Errorf("the focus is on %q, want what was corrected", focus)
	}
	p.TapText("Undo")
	p.WaitFor(`document.querySelector("[data-code=wild_reading]")`, 10*time.Second)
	if after := p.says(); after != before {
		t.Errorf("undo did not bring the findings back:\n%s\n%s", before, after)
	}
	if errs := p.ConsoleErrors(); len(errs) > 0 {
		t.Errorf("the page reported %v", errs)
	}
}

// The tables in text of twice the size and on a phone that lies on its side:
// nothing is wider than the screen, no number runs into the next, and every
// number of a stacked table says what it is.
func TestTablesInLargeTextAndOnTheSide(t *testing.T) {
	p := openApp(t)
	p.Tap("#first-look")
	p.WaitFor(`document.querySelector("#question")`, 10*time.Second)
	for _, v := range []string{"98", "118", "118.5"} {
		p.reads(v)
	}
	p.enter("287")
	p.Tap(".pad .keep")
	p.WaitFor(`document.querySelector(".sum")`, 10*time.Second)
	wide := func(where string) {
		t.Helper()
		for _, fault := range chrome.MustEval[[]string](p, lies) {
			t.Errorf("%s: %s", where, fault)
		}
		for _, fault := range chrome.MustEval[[]string](p, cells) {
			t.Errorf("%s: %s", where, fault)
		}
	}
	p.Resize(640, 360)
	wide("everything was asked, on its side")
	if w := chrome.MustEval[float64](p, `document.querySelector(".sum").offsetWidth`); w < 600 {
		t.Errorf("on its side the table has %v px of 640", w)
	}
	p.Resize(360, 640)
	wide("everything was asked")
	name := `document.querySelector(".sum tbody tr:last-child th").textContent = `
	p.Do(name + `"Intake window on the side of the flywheel"`)
	wide("everything was asked, a long name")
	if apart := chrome.MustEval[float64](p, `(() => { const [a, b] = [...document.querySelectorAll(".sum tbody tr:last-child :is(small, td:last-child b)")].map(e => e.getBoundingClientRect()); return b.left - a.right; })()`); apart < 8 {
		t.Errorf("beside a long name the numbers are %v px apart", apart)
	}
	shot(p.Page, "bench_done_long")
	p.Do(name + `"Intake"`)
	p.Do(`document.documentElement.style.fontSize = "200%"`)
	wide("everything was asked, text at 200 %")
	p.TapText("See what the readings say")
	p.WaitFor(`document.querySelector("[data-station=findings]")`, 10*time.Second)
	wide("first look, text at 200 %")
	if got := chrome.MustEval[string](p, `getComputedStyle(document.querySelector(".ports td:nth-child(3)"), "::before").content`); got != `"open for "` {
		t.Errorf("a stacked number says %s", got)
	}
	p.Do(`document.documentElement.style.fontSize = ""`)
	wide("first look")
}

// cells: no text of a table's cell reaches into another cell.
const cells = `(() => {
  const faults = [];
  for (const table of document.querySelectorAll("table")) {
    const all = [...table.querySelectorAll("th, td")].filter(c => c.offsetWidth).map(c => { const r = document.createRange(); r.selectNodeContents(c); return { c, r: r.getBoundingClientRect() }; });
    all.forEach((a, i) => all.slice(i + 1).forEach(b => {
      if (Math.min(a.r.right, b.r.right) - Math.max(a.r.left, b.r.left) > 0.5 && Math.min(a.r.bottom, b.r.bottom) - Math.max(a.r.top, b.r.top) > Math.min(a.r.height, b.r.height) / 2)
        faults.push(a.c.textContent + " runs into " + b.c.textContent);
    }));
  }
  return faults;
})()`

// Durations and blowdown from two opening angles, without any set-up: one tap
// for the build, then the digits of two numbers and Keep.
func TestFirstLookTakesTenTaps(t *testing.T) {
	p := openApp(t)
	p.Tap("#first-look")
	p.WaitFor(`document.querySelector("#question")`, 10*time.Second)
	p.asks("Exhaust opens", "piston going down")
	taps := 1
	for _, v := range []string{"100", "122"} {
		p.reads(v)
		taps += len(v) + 1
	}
	p.TapText("What the readings say")
	taps++
	p.WaitFor(`document.querySelector("[data-station=findings]")`, 10*time.Second)
	p.sees("22.0°")
	// 2 x (180 - 100) and 2 x (180 - 122); their half difference. Common
	// practice, no source.
	for _, want := range []string{"160.0°", "116.0°", "symmetry assumed", "What more would tell you"} {
		if !strings.Contains(p.says(), want) {
			t.Errorf("a first look does not show %q: %s", want, p.says())
		}
	}
	if taps > 10 {
		t.Errorf("it takes %d taps", taps)
	}
	shot(p.Page, "findings_first_look")
}

// downloaded waits for a file that the browser saves.
func (p *phone) downloaded(dir, pattern string) []byte {
	t := p.t
	t.Helper()
	for range 200 {
		names, _ := filepath.Glob(filepath.Join(dir, pattern))
		for _, n := range names {
			if data, err := os.ReadFile(n); err == nil && len(data) > 0 && !strings.HasSuffix(n, ".crdownload") {
				return data
			}
		}
		time.Sleep(50 * time.Millisecond)
	}
	all, _ := filepath.Glob(filepath.Join(dir, "*"))
	t.Fatalf("no file %s was saved within 10 s, only %v\n%s", pattern, all, p.Shows())
	return nil
}

// What goes out of one device through real files comes in on another as the
// same: the book whole, a build file as a build, the known build as a copy.
func TestFilesGoOutAndComeIn(t *testing.T) {
	a := openApp(t)
	dir := t.TempDir()
	a.Downloads(dir)
	a.Tap("#demo")
	a.WaitFor(`document.querySelector("[data-station=findings]")`, 10*time.Second)
	said := a.says()
	a.TapText("Build file")
	file := a.downloaded(dir, "*.json")
	if _, err := build.Decode(file); err != nil {
		t.Fatalf("the build file: %v", err)
	}
	a.TapText("Readings as a table (CSV)")
	if rows := bytes.Count(a.downloaded(dir, "*.csv"), []byte("\r\n")); rows < 20 {
		t.Errorf("the table has %d rows", rows)
	}
	a.Tap(".strip .home")
	a.Tap("#save-book")
	whole := a.downloaded(dir, "*.book")
	entries, warning, err := book.DecodeBook(bytes.NewReader(whole))
	if err != nil || warning != "" || len(entries) < 50 {
		t.Fatalf("the book file: %d entries, %q, %v", len(entries), warning, err)
	}
	a.sees("last copied to a file")

	b := openApp(t)
	bookFile := filepath.Join(t.TempDir(), "shop.book")
	buildFile := filepath.Join(t.TempDir(), "demo.json")
	for name, data := range map[string][]byte{bookFile: whole, buildFile: file} {
		if err := os.WriteFile(name, data, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	take := func(name string) {
		t.Helper()
		b.Chooses(name)
		b.Tap("#take-in")
	}
	take(bookFile)
	b.sees(fmt.Sprintf("%d entries are new, 0 were here already.", len(entries)))
	take(bookFile)
	b.sees(fmt.Sprintf("0 entries are new, %d were here already.", len(entries)))
	b.Tap(".build-open")
	b.WaitFor(`document.querySelector("[data-station=findings]")`, 10*time.Second)
	if got := b.says(); got != said {
		t.Errorf("the findings changed on the way:\n%s\n%s", said, got)
	}
	b.Tap(".strip .home")
	take(buildFile)
	b.sees("is in the book already")
	b.Tap("#take-it")
	b.WaitFor(`document.querySelector("[data-station=findings]")`, 10*time.Second)
	if got := b.says(); got != said {
		t.Errorf("the copy's findings differ:\n%s\n%s", said, got)
	}
	b.Tap(".strip .home")
	b.WaitFor(`document.querySelectorAll(".builds .build-card").length === 2`, 10*time.Second)

	bad := filepath.Join(t.TempDir(), "bad.json")
	if err := os.WriteFile(bad, []byte(`{"format":"portwright-build","version":1,"engine":{"stroke_mm":40,"rod_mm":12}}`), 0o600); err != nil {
		t.Fatal(err)
	}
	take(bad)
	b.sees("Nothing was written.")
	b.sees("engine.rod_mm: 12 mm, must be longer than half the stroke (20 mm)")
	if n := b.Count(".builds .build-card"); n != 2 {
		t.Errorf("%d builds after a bad file, want 2", n)
	}
	for _, p := range []*phone{a, b} {
		if errs := p.ConsoleErrors(); len(errs) > 0 {
			t.Errorf("the page reported %v", errs)
		}
	}
}

// A half-typed number is there again after a kill, in the field it was typed
// in, with its unit.
func TestHalfTypedNumberOutlivesAKill(t *testing.T) {
	p := openApp(t)
	p.Tap("#whole-build")
	p.WaitFor(`document.querySelector("[data-station=engine]")`, 10*time.Second)
	p.field("engine.base_gasket_mm")
	p.TapText("thou")
	p.Tap("#field")
	p.TypeKeys("-2.")
	p.WaitFor(`document.querySelector("#field").value === "-2."`, 5*time.Second)
	hash := chrome.MustEval[string](p, "location.hash")
	time.Sleep(500 * time.Millisecond) // the draft is not waited for by anything on the screen
	p.Kill9()
	p.Restart()
	p.Goto(p.server.URL + hash)
	p.WaitFor(`document.querySelector("#field")`, 20*time.Second)
	if got := chrome.MustEval[string](p, `document.querySelector("#field").value + " " + document.querySelector(".field-units [aria-pressed=true]").textContent.trim()`); got != "-2. thou" {
		t.Errorf("after the kill the field holds %q", got)
	}
}

// Everything but the bench's keypad from a keyboard: the tab order reaches the
// actions, Enter takes them, the focus is always to be seen.
func TestStationsFromAKeyboard(t *testing.T) {
	p := openApp(t)
	reach := func(what string) {
		t.Helper()
		for range 40 {
			p.Press("Tab")
			if chrome.MustEval[bool](p, what) {
				if chrome.MustEval[string](p, `getComputedStyle(document.activeElement).outlineStyle`) == "none" {
					t.Errorf("the focus on %s can't be seen", what)
				}
				return
			}
		}
		t.Fatalf("40 tabs don't reach %s", what)
	}
	reach(`document.activeElement.id === "whole-build"`)
	p.Press("Enter")
	p.WaitFor(`document.querySelector("[data-station=engine]")`, 10*time.Second)
	reach(`document.activeElement.getAttribute("href")?.endsWith("engine.stroke_mm")`)
	p.Press("Enter")
	p.WaitFor(`document.activeElement?.id === "field"`, 10*time.Second)
	p.TypeKeys("34\n")
	p.WaitFor(`document.querySelector("#field-title").textContent === "rod length" && document.activeElement.id === "field"`, 10*time.Second)
	p.TypeKeys("16\n")
	p.sees("must be longer than half the stroke (17 mm)")
	if !chrome.MustEval[bool](p, `document.activeElement.id === "field" && document.activeElement.getAttribute("aria-invalid") === "true"`) {
		t.Error("after a refusal the focus is not in the field, or it is not marked")
	}
	p.Press("Control+a")
	p.TypeKeys("60\n")
	p.WaitFor(`document.querySelector("#field-title").textContent === "pin offset"`, 10*time.Second)
}

// lookAt measures what can be seen of the page's main part and of its own
// buttons: text with less contrast than 7 to 1 against what lies under it, and
// targets smaller than 48 px either way.
const lookAt = `(() => {
  const rgb = s => { const m = s.match(/[\d.]+/g).map(Number); return { r: m[0], g: m[1], b: m[2], a: m.length > 3 ? m[3] : 1 }; };
  const lum = c => { const f = v => (v /= 255) <= .04045 ? v / 12.92 : ((v + .055) / 1.055) ** 2.4; return .2126 * f(c.r) + .7152 * f(c.g) + .0722 * f(c.b); };
  const under = e => { for (; e; e = e.parentElement) { const c = rgb(getComputedStyle(e).backgroundColor); if (c.a === 1) return c; } return { r: 255, g: 255, b: 255 }; };
  const bad = [];
  const walk = document.createTreeWalker(document.querySelector("main"), NodeFilter.SHOW_TEXT);
  let texts = 0;
  while (walk.nextNode()) {
    const e = walk.currentNode.parentElement, box = e.getBoundingClientRect(), style = getComputedStyle(e);
    if (!walk.currentNode.data.trim() || box.width < 2 || style.visibility === "hidden") continue;
    texts++;
    const ink = style.fill && e instanceof SVGElement ? rgb(style.fill) : rgb(style.color);
    const a = lum(ink), b = lum(under(e)), ratio = (Math.max(a, b) + .05) / (Math.min(a, b) + .05);
    if (ratio < 7) bad.push(ratio.toFixed(2) + ":1 " + walk.currentNode.data.trim().slice(0, 40));
  }
  for (const e of document.querySelectorAll("main button, main a, main input, main textarea, main summary")) {
    const box = e.getBoundingClientRect();
    if (box.width && (box.width < 48 || box.height < 47.5)) bad.push("target " + Math.round(box.width) + " x " + Math.round(box.height) + " " + (e.textContent.trim() || e.id));
  }
  if (document.documentElement.scrollWidth > innerWidth) bad.push("the page is " + document.documentElement.scrollWidth + " px wide");
  if (texts < 5) bad.push("only " + texts + " texts were looked at");
  return bad;
})()`

// Day and shed, on a small phone and on a wide screen: every text at least 7 to
// 1, every target at least 48 px, nothing wider than the screen.
func TestStationsCanBeSeenAndTouched(t *testing.T) {
	p := openApp(t)
	p.Tap("#demo")
	p.WaitFor(`document.querySelector("[data-station=findings]")`, 10*time.Second)
	base := strings.TrimSuffix(chrome.MustEval[string](p, "location.hash"), "findings")
	sizes := [][2]int{{360, 640}, {320, 568}, {1280, 800}}
	for _, place := range []string{"findings", "engine", "engine/engine.rod_mm", "engine/wheel.numbering", "engine/learn", ""} {
		hash := base + place
		if place == "" {
			hash = "#"
		}
		p.Do("location.hash = " + fmt.Sprintf("%q", hash))
		time.Sleep(300 * time.Millisecond)
		if place == "" {
			p.WaitFor(`document.querySelector("[data-station=book]")`, 10*time.Second)
			p.TapText("Settings")
			p.TapText("More about Demo: pond pump 49")
			p.WaitFor(`document.querySelector(".build-acts") && document.querySelector(".settings")`, 5*time.Second)
		}
		for _, theme := range []string{"light", "dark"} {
			p.Media("", map[string]string{"prefers-color-scheme": theme})
			for _, size := range sizes {
				p.Resize(size[0], size[1])
				if bad := chrome.MustEval[[]string](p, lookAt); len(bad) > 0 {
					t.Errorf("%q, %s, %d px: %s", place, theme, size[0], strings.Join(bad, "; "))
				}
				shot(p.Page, fmt.Sprintf("%s_%s_%d", strings.NewReplacer("/", "_", ".", "_").Replace("at_"+place), theme, size[0]))
			}
		}
		p.Resize(360, 640)
	}
}
