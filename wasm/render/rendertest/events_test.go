//go:build !js

package rendertest

import (
	"strings"
	"testing"
)

// A field that leaves the page while it has the focus blurs in the middle of
// the render.
func TestFieldRemovedOnEnter(t *testing.T) {
	b := open(t, "edit")
	for range 3 {
		b.Tap("#edit")
		b.Tap("#field")
		b.TypeKeys("!")
		b.Press("Enter")
		b.WaitFor(`!document.querySelector("#field")`, shortly)
	}
	shows(t, b, "#edit", "text!!!")
	if log := text(b, "#log"); strings.Contains(log, "blur") || strings.Contains(log, "change") {
		t.Errorf("the removed field still had its say: %q", log)
	}
	// What contains the removed field hears of it, once, after the render.
	b.Tap("#show")
	b.Do(`document.querySelector("#inner").focus()`)
	b.Do(`document.querySelector("#hide").dispatchEvent(new KeyboardEvent("keydown", { key: "x" }))`)
	b.WaitFor(`!document.querySelector("#inner")`, shortly)
	shows(t, b, "#log", "outer focusout")
}

func TestFocusBlurAndClickInsideHandlers(t *testing.T) {
	b := open(t, "calls")
	b.Tap("#focus")
	shows(t, b, "#log", "begin, end click, a focus")
	b.Tap("#blur")
	shows(t, b, "#log", "begin, end click, a focus, a blur, a focus, a blur")
	b.Tap("#click")
	shows(t, b, "#log", "begin, end click, a focus, a blur, a focus, a blur, begin, end, other click")
}

func TestFocusInsideRendered(t *testing.T) {
	b := open(t, "calls")
	b.Tap("#next")
	shows(t, b, "#log", "b focus, other click")
	is(t, b, `document.activeElement.id === "b"`)
	b.Tap("#other")
	shows(t, b, "#log", "b focus, other click, b blur, other click")
}

// An element that takes the place of another one runs its own handler alone.
func TestHandlerOfReplacedElement(t *testing.T) {
	b := open(t, "swap")
	b.Tap(".one")
	b.Tap(".two")
	b.Tap("#ta")
	b.Tap("#tb")
	b.Tap(".press")
	b.Tap(".press")
	shows(t, b, "#log", "A, B, TA, TB, CA, CB")
	// An element kept by somebody else is deaf once it is out of the page.
	b.Do(`window.old = document.querySelector("#ta"); old.click(); old.click(); window.older = document.querySelector(".press")`)
	shows(t, b, "#log", "A, B, TA, TB, CA, CB, TA")
}

func TestEventIsReadLazilyAndStopped(t *testing.T) {
	b := open(t, "events")
	b.Tap("#send")
	shows(t, b, "#log", "submit")
	b.Tap("#stop")
	shows(t, b, "#log", "submit, stopped")
	b.Tap("#b")
	shows(t, b, "#log", "submit, stopped, target b current pass/pass detail 1/1 summary b, outer")
	b.Tap("#in")
	b.TypeKeys("x")
	b.Press("y")
	b.WaitFor(`document.querySelector("#log").textContent.includes("y KeyY")`, shortly)
	if got := value(b, "#in"); got != "y" {
		t.Errorf("the field holds %q, want y alone: x was prevented", got)
	}
	if log := text(b, "#log"); !strings.HasSuffix(log, "x KeyX false <nil>, y KeyY false <nil>") {
		t.Errorf("the log ends with %q", log)
	}
	b.Tap("#link")
	is(t, b, `location.hash === "#events"`)
}

func TestHandlerThatPanics(t *testing.T) {
	b := open(t, "fault", "on demand", "in the build", "not a name!")
	b.Tap("#panic")
	shows(t, b, "#log", "10")
	b.Tap("#count")
	shows(t, b, "#log", "11")
	errs := strings.Join(b.ConsoleErrors(), "\n")
	if !strings.Contains(errs, "click handler of <button>: on demand") || strings.Count(errs, "pc=0x") < 5 {
		t.Errorf("the console got %q, want the reason and the place", errs)
	}
	is(t, b, `rt.panics().length === 1 && rt.panics()[0].includes("on demand")`)
	// An attribute name that can't be one stops nothing.
	is(t, b, `document.querySelector("#attr").title === "fine"`)
	if !strings.Contains(errs, "not a name!") {
		t.Errorf("the console got nothing of the bad attribute: %q", errs)
	}
	b.Tap("#bad")
	b.WaitFor(`rt.panics().length === 2`, shortly)
	shows(t, b, "#log", "11") // what stood there stays
	is(t, b, `rt.panics()[1].includes("in the build")`)
}
