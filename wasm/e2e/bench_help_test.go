package e2e

import (
	"fmt"
	"testing"
	"time"

	"portwright/wasm/e2e/chrome"
)

// Each question has its help in words with a small picture, readable at 7:1 in
// both themes, and none of it is cut off.
func TestHelpHasItsPicture(t *testing.T) {
	p := openApp(t)
	p.Tap("#whole-build")
	p.WaitFor(`document.querySelector("[data-station=engine]")`, 10*time.Second)
	p.TapText("Bench")
	p.TapText("Exhaust, two transfers, intake")
	p.WaitFor(`document.querySelector("#question")`, 10*time.Second)
	for _, c := range []struct{ question, pictured string }{
		{"Stop check before", "The stop holds the piston"}, {"Exhaust opens", "The crown at the roof of the window, piston going down"},
		{"Transfer left closes", "The crown at the roof of the window, piston going up"}, {"Intake opens", "The skirt at the floor of the window, piston going up"},
	} {
		p.Tap(".strip .place")
		p.TapText(c.question)
		p.Tap(".ask .aid")
		p.WaitFor(fmt.Sprintf(`document.querySelector(".over .picture svg")?.getAttribute("aria-label").includes(%q)`, c.pictured), 5*time.Second)
		shot(p.Page, "help_"+c.question)
		for _, theme := range []string{"day", "shed"} {
			p.Do(fmt.Sprintf(`document.documentElement.dataset.theme = %q`, theme))
			for _, faults := range []string{lies, contrasts} {
				for _, fault := range chrome.MustEval[[]string](p, faults) {
					t.Errorf("%s, %s: %s", c.question, theme, fault)
				}
			}
		}
		if below := chrome.MustEval[int](p, `document.querySelector(".work").scrollHeight - document.querySelector(".work").clientHeight`); below > 0 {
			t.Errorf("%s: %d px of the help are below the screen", c.question, below)
		}
		p.TapText("Back to the keys")
	}
}

// With a few colours of the device's own, what is chosen, where one is and what
// is in hand still stand out, and so do the keys' edges.
func TestForcedColours(t *testing.T) {
	p := openApp(t)
	p.toBench()
	p.enter("104")
	p.Media("", map[string]string{"forced-colors": "active"})
	differ := func(what, a, b, of string) {
		t.Helper()
		style := func(sel string) string {
			return chrome.MustEval[string](p, fmt.Sprintf(`getComputedStyle(document.querySelector(%q))[%q]`, sel, of))
		}
		if x, y := style(a), style(b); x == y {
			t.Errorf("%s: both have %s %s", what, of, x)
		}
	}
	differ("Keep and a key", ".pad .keep", ".pad .k7", "backgroundColor")
	differ("the caret and its ground", ".value .caret", ".bench", "backgroundColor")
	if w := chrome.MustEval[string](p, `getComputedStyle(document.querySelector(".pad .k7")).borderTopWidth`); w != "2px" {
		t.Errorf("a key's edge is %s", w)
	}
	shot(p.Page, "bench_forced")
	p.Tap(".strip .place")
	p.WaitFor(`document.querySelector(".all[data-open]")`, 5*time.Second)
	differ("a chosen button and another", `.sets [aria-pressed="true"]`, `.sets [aria-pressed="false"]`, "backgroundColor")
	differ("the question in hand and another", `.all li[data-here]`, `.all li:not([data-here])`, "backgroundColor")
	differ("the station in hand and another", `.all .stations a[aria-current="page"]`, `.all .stations a:not([aria-current="page"])`, "backgroundColor")
	shot(p.Page, "bench_list_forced")
	p.TapText("Engine")
	p.WaitFor(`document.querySelector("[data-station=engine]")`, 5*time.Second)
	p.field("engine.bore_mm")
	differ("the unit in hand and another", `.field-units [aria-pressed="true"]`, `.field-units [aria-pressed="false"]`, "backgroundColor")
	p.Press("Tab")
	if s := chrome.MustEval[string](p, `getComputedStyle(document.activeElement).outlineStyle + getComputedStyle(document.activeElement).outlineWidth`); s != "solid5px" {
		t.Errorf("the focus is shown as %s", s)
	}
}

// Another wheel after readings were taken: the question on a phone's screen.
func TestAnotherWheelOnTheScreen(t *testing.T) {
	p := openApp(t)
	p.toBench()
	p.reads("104.5")
	p.Tap(".strip .place")
	p.TapText("Engine")
	p.WaitFor(`document.querySelector("[data-station=engine]")`, 5*time.Second)
	p.field("wheel.numbers")
	p.TapText("They fall 20, 10, 0 ...")
	p.sees("What does “They fall” mean for them?")
	shot(p.Page, "engine_asked")
	if bad := chrome.MustEval[[]string](p, lookAt); len(bad) > 0 {
		t.Errorf("the question about the wheel: %v", bad)
	}
	p.TapText("A new wheel, from a new pass on")
	p.WaitFor(`!document.querySelector(".field-hand > .picks") && document.querySelector("#field-1[aria-pressed=true]")`, 5*time.Second)
	p.Tap(".field-top a")
	p.sees("on a wheel of its own")
}
