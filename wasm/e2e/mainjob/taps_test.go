package mainjob

import (
	"reflect"
	"strings"
	"testing"

	"portwright/wasm/e2e/drive"
)

// A worker does the job by taps in one browser, and counts them.
type worker struct {
	*browser
	t    *testing.T
	taps taps
	vals int // values entered, however many digits each has
}

// taps by what was tapped.
type taps struct{ Key, Keep, Other int }

// Tap taps and counts.
func (w *worker) Tap(selector string) {
	w.t.Helper()
	switch {
	case selector == ".pad .keep":
		w.taps.Keep++
	case strings.HasPrefix(selector, ".pad .k"), selector == ".pad .po":
		w.taps.Key++
	default:
		w.taps.Other++
	}
	w.Page.Tap(selector)
}

// TapText taps and counts.
func (w *worker) TapText(text string) {
	w.t.Helper()
	w.taps.Other++
	w.Page.TapText(text)
}

// listening counts the clicks that reach the page, by what was tapped; those
// that a script made count as nothing.
const listening = `
  if (!globalThis.counting) addEventListener("click", e => {
    const b = e.target.closest("button, a");
    const kind = b?.matches(".pad .keep") ? "Keep" : b?.matches(".pad [class^=k], .pad .po") ? "Key" : "Other";
    const taps = JSON.parse(sessionStorage.getItem("taps"));
    if (e.isTrusted && e.detail > 0) taps[kind]++;
    sessionStorage.setItem("taps", JSON.stringify(taps));
  }, true);
  globalThis.counting = true;`

// count begins to count anew.
func (w *worker) count() {
	w.taps, w.vals = taps{}, 0
	w.Do(`sessionStorage.setItem("taps", JSON.stringify({ Key: 0, Keep: 0, Other: 0 }));` + listening)
}

// goOn counts on in a page that was loaded anew.
func (w *worker) goOn() { w.Do(listening) }

// counted holds the taps of a full pass against what it may cost: nine events
// with three repeats each are 27 values and 27 times Keep, and all else, a stop
// check before and after among it, at most ten more. A value of the stop check
// counts as one there, as it does among the 27.
func (w *worker) counted() {
	w.t.Helper()
	if seen := drive.Eval[taps](w.t, w.Page, `JSON.parse(sessionStorage.getItem("taps"))`); !reflect.DeepEqual(seen, w.taps) {
		w.t.Errorf("the page saw the taps %+v, made were %+v", seen, w.taps)
	}
	const readings = 9 * 3
	if w.vals < readings || w.taps.Keep < readings {
		w.t.Fatalf("%d values and %d times Keep are no full pass", w.vals, w.taps.Keep)
	}
	rest := w.vals - readings + w.taps.Keep - readings + w.taps.Other
	w.t.Logf("a full pass: %d values and %d times Keep for nine events, %d for the stop checks; %d other taps", readings, readings, w.vals-readings+w.taps.Keep-readings, w.taps.Other)
	if rest > 10 {
		w.t.Errorf("besides %d values and Keeps a full pass takes %d taps (%+v), want 10 at most", readings, rest, w.taps)
	}
}
