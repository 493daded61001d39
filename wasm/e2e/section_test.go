package e2e

import (
	"strings"
	"testing"
	"time"

	"portwright/wasm/e2e/chrome"
)

// toSection opens the demo build's section, by then without a server.
func toSection(t *testing.T) *phone {
	t.Helper()
	p := openApp(t)
	p.Tap("#demo")
	p.WaitFor(`document.querySelector(".stations a")`, 10*time.Second)
	p.WaitFor(`navigator.serviceWorker.controller`, 20*time.Second)
	p.server.Stop()
	p.TapText("Findings")
	p.WaitFor(`document.querySelector("#to-section")`, 10*time.Second)
	p.Tap("#to-section")
	p.WaitFor(`document.querySelector("[data-station=section] svg text")`, 10*time.Second)
	return p
}

// The keyboard alone turns the crank, without a network: by a degree, to the
// next event, by the slider; each event is said and read out.
func TestSectionByKeyboardWithoutANetwork(t *testing.T) {
	p := toSection(t)
	shot(p.Page, "section")
	title := func(want string) {
		t.Helper()
		p.WaitFor(`document.querySelector("#section-title").textContent === "`+want+`"`, 5*time.Second)
	}
	title("Top dead centre")
	focus := func(id string) {
		t.Helper()
		for range 40 {
			p.Press("Tab")
			if chrome.MustEval[string](p, `document.activeElement.id`) == id {
				return
			}
		}
		t.Fatalf("the Tab key never comes to %s", id)
	}
	focus("section-turn")
	for range 3 {
		p.Press("ArrowRight")
	}
	p.WaitFor(`document.querySelector("#section-turn").getAttribute("aria-valuetext") === "3.0° after TDC"`, 5*time.Second)
	focus("section-next")
	p.Press("Enter")
	title("Intake closes")
	p.Press("Enter")
	title("Exhaust opens")
	// The wheel was read open at 103.5, 103.5 and 104. Source: the demo file.
	if shows := chrome.MustEval[string](p, `document.querySelector(".section-picture svg > text").textContent`); shows != "103.7" {
		t.Errorf("the wheel shows %s", shows)
	}
	if said := p.Text(".live"); !strings.Contains(said, "Exhaust opens") || !strings.Contains(said, "blowdown begins") {
		t.Errorf("%q is read out", said)
	}
	shot(p.Page, "section_exhaust")
	p.Press("ArrowRight")
	p.Press("ArrowRight")
	title("Blowdown")
	shot(p.Page, "section_blowdown")
	if errs := p.ConsoleErrors(); len(errs) > 0 {
		t.Errorf("the page reported %v", errs)
	}
}
