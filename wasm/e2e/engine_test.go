package e2e

import (
	"testing"
	"time"

	"portwright/wasm/e2e/chrome"
)

// A unit is tapped and the number typed on a keyboard at once; the link to the
// next field keeps it first.
func TestAUnitIsTappedAndTheNumberTyped(t *testing.T) {
	p := openApp(t)
	p.Tap("#whole-build")
	p.WaitFor(`document.querySelector("[data-station=engine]")`, 10*time.Second)
	p.field("engine.stroke_mm")
	p.TapText("in")
	p.WaitFor(`document.activeElement?.id === "field"`, 5*time.Second)
	p.TypeKeys("1.26")
	p.WaitFor(`document.querySelector("#field").value === "1.26"`, 5*time.Second)
	p.TapText("rod length")
	p.WaitFor(`document.querySelector("#field-title").textContent === "rod length"`, 5*time.Second)
	p.Tap(".field-top a")
	p.WaitFor(`[...document.querySelectorAll(".field-row")].some(r => r.textContent.includes("stroke") && r.textContent.includes("1.26 in") && !r.textContent.includes("not kept"))`, 5*time.Second)

	p.field("engine.squish_mm[0]") // 1 in where 1 mm is usual
	p.TapText("in")
	p.WaitFor(`document.activeElement?.id === "field"`, 5*time.Second)
	p.TypeKeys("1.0\n")
	p.sees("It is not kept yet")
	p.TypeKeys("\n")
	time.Sleep(600 * time.Millisecond)
	p.sees("It is not kept yet")
	p.Tap("#field-sure")
	p.WaitFor(`document.querySelector("#field-title").textContent === "squish, pin axis, right"`, 5*time.Second)
}

// A fresh whole build without one of the usual sets of windows leads from the
// bench to the engine's list of windows.
func TestFromAnEmptyBenchToTheWindows(t *testing.T) {
	p := openApp(t)
	p.Tap("#whole-build")
	p.WaitFor(`document.querySelector("[data-station=engine]")`, 10*time.Second)
	p.TapText("Bench")
	p.sees("Which windows has the cylinder?")
	shot(p.Page, "bench_setup")
	if bad := chrome.MustEval[[]string](p, lookAt); len(bad) > 0 {
		t.Errorf("the bench without windows: %v", bad)
	}
	p.TapText("Something else: set the windows")
	p.WaitFor(`(() => { const on = document.activeElement, r = on.getBoundingClientRect(); return on.id === "windows-title" && r.top >= 0 && r.bottom <= innerHeight; })()`, 5*time.Second)
	p.Tap(".part-new button")
	p.WaitFor(`document.querySelector(".part-cards li")?.textContent.includes("exhaust")`, 5*time.Second)
	p.TapText("Bench")
	p.asks("Turn to the stop", "the running way")
}
