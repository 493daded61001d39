package e2e

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"portwright/wasm/e2e/chrome"
)

// unfold opens a folded part by its words.
func (p *phone) unfold(words string) {
	p.t.Helper()
	p.Do(fmt.Sprintf(`[...document.querySelectorAll("main summary")].find(s => s.innerText.startsWith(%q)).parentElement.open = true`, words))
}

// cameOff gives a bite of a move by the list of all of them.
func (p *phone) cameOff(move, mm string) {
	p.t.Helper()
	n := chrome.MustEval[int](p, `document.querySelectorAll(".cuts-bites li").length`)
	p.unfold("Something else came off")
	p.Do(fmt.Sprintf(`[...document.querySelectorAll(".cuts-out > details .button")].find(b => b.innerText === %q).click()`, move))
	p.WaitFor(`document.activeElement?.id === "field"`, 5*time.Second)
	p.TypeKeys(mm + "\n")
	p.WaitFor(fmt.Sprintf(`document.querySelectorAll(".cuts-bites li").length === %d && !document.querySelector("#field-title")`, n+1), 10*time.Second)
}

// A cut that went too far is said at its target with what still can be done;
// what is tried begins with the plan made anew; and a hard limit that is crossed
// names the move that would undo it, which one tap allows.
func TestCutTooFar(t *testing.T) {
	p := toCuts(t)
	p.TapText("What if")
	tried := `document.querySelector('[aria-label^="Exhaust roof raised,"]')?.value`
	p.WaitFor(tried+` === "0.99"`, 5*time.Second) // as the plan has it
	p.cameOff("Exhaust roof raised", "1.2")
	p.WaitFor(tried+` === "0"`, 5*time.Second) // it is off, and no move any more
	p.TapText("Targets")
	p.WaitFor(`/reached 1\d\d\.\d°, \d\.\d° too early/.test(document.querySelector('[data-key=want-exhaust_opens_deg]').innerText)`, 5*time.Second)
	shot(p.Page, "cuts_too_far")

	p.cameOff("Exhaust roof raised", "0.3")
	p.sees("Impossible")
	p.sees("Metal that is off can't be put back")
	p.sees("A bite that was entered wrongly can be struck out")
	p.TapText("Allow: squish band cut")
	p.WaitFor(`!document.querySelector("main").innerText.includes("Impossible")`, 5*time.Second)
	p.Tap(`[aria-label^="Strike out: Exhaust roof raised, 0.30 mm"]`)
	p.WaitFor(`document.querySelectorAll(".cuts-bites .tick").length === 1`, 5*time.Second)
}

// Readings that contradict a bite stand before everything else, with both
// numbers, and one tap puts the bite right.
func TestABiteThatTheReadingsContradict(t *testing.T) {
	p := toCuts(t)
	p.cameOff("Exhaust roof raised", "0.5")
	p.Tap("#read-again")
	p.WaitFor(`document.querySelector("#question")`, 10*time.Second)
	p.reads("340.5")
	p.reads("20.5")
	for _, v := range []string{"100", "100", "100", "261", "261", "261"} { // as if it were cut by about a millimetre
		p.reads(v)
	}
	p.Do(`location.hash = location.hash.replace("/bench", "/cuts")`)
	p.sees("Bites and readings contradict each other")
	if first := p.Text(".cuts .note"); !strings.Contains(first, "99.5°") { // 100 less the zero of 0.5; source: the stop's definition
		t.Errorf("the first thing that is said is %q", first)
	}
	if p.Text(`.cuts-out .note h2`) == "Solved" && chrome.MustEval[string](p, `document.querySelector(".cuts-out .note").dataset.kind`) == "good" {
		t.Error("all is called good")
	}
	shot(p.Page, "cuts_contradicted")
	p.Tap(`.cuts-in .note .button`)
	p.WaitFor(`!document.querySelector("main").innerText.includes("contradict") && document.querySelectorAll(".cuts-bites li").length === 2 && document.querySelectorAll(".cuts-bites .tick").length === 1`, 10*time.Second)
}

// The order of the targets by the keyboard: the focus stays with the target.
func TestTargetsUpAndDown(t *testing.T) {
	p := toCuts(t)
	order := `[...document.querySelectorAll(".cuts-order span")].map(s => s.innerText).join(", ")`
	p.unfold("Change the order")
	p.Do(`document.querySelector("#up-exhaust_opens_deg").focus()`)
	p.Press("Enter")
	p.WaitFor(order+` === "Exhaust opens, Squish, pin axis, First transfer opens"`, 5*time.Second)
	p.WaitFor(`document.activeElement?.id === "down-exhaust_opens_deg"`, 5*time.Second)
	p.Press("Enter")
	p.WaitFor(order+` === "Squish, pin axis, Exhaust opens, First transfer opens"`, 5*time.Second)
	p.Press("Enter")
	p.WaitFor(order+` === "Squish, pin axis, First transfer opens, Exhaust opens" && document.activeElement?.id === "up-exhaust_opens_deg"`, 5*time.Second)
	if got := chrome.MustEval[[]string](p, `[...document.querySelectorAll(".cuts-order button")].map(b => b.ariaLabel)`); len(got) != 9 || got[0] != "Up: Squish, pin axis" {
		t.Errorf("the buttons are called %v", got)
	}
}

// A depth that its bound stops says which bound, and no doubt of its own; the
// pictures carry their words, no letter in them is under 11 px on a small phone.
func TestBoundsAndPicturesOfCuts(t *testing.T) {
	p := toCuts(t, `"exhaust_opens_deg":101`, `"exhaust_opens_deg":90`, `"exhaust_duration_max_deg":160`, `"blowdown_min_deg":10`)
	p.sees("The bound of 2 mm stops it.")
	p.unfold("Rules of thumb")
	p.sees("squish, at least 0.5 mm, 19.7 thou common practice, no source") // half a millimetre is 19.7 thou: 1 in = 25.4 mm
	p.sees("exhaust duration, at most 160° common practice, no source")
	for _, mm := range chrome.MustEval[[]string](p, `[...document.querySelectorAll(".step-mm")].map(e => e.innerText)`) {
		if strings.Contains(mm, "± 0.00") {
			t.Errorf("a step says %q", mm)
		}
	}
	for _, bad := range chrome.MustEval[[]string](p, `[...document.querySelectorAll(".cuts-picture svg")].flatMap(s => {
      const k = s.getBoundingClientRect().width / s.viewBox.baseVal.width;
      return [...s.querySelectorAll("text")].filter(t => k * t.getAttribute("font-size") < 11).map(t => t.textContent + " is small").concat(s.getAttribute("aria-label") ? [] : ["a picture has no words"]); })`) {
		t.Error(bad)
	}
	if map1 := chrome.MustEval[string](p, `document.querySelector(".cuts-picture svg").getAttribute("aria-label")`); !strings.Contains(map1, "raise the roof 2.00 mm") {
		t.Errorf("the port map is called %q", map1)
	}
}
