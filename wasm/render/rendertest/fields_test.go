//go:build !js

package rendertest

import (
	"fmt"
	"testing"

	"portwright/wasm/e2e/chrome"
)

// Numbers typed key by key arrive as typed, whatever half-typed state they
// pass through; each key renders.
func TestNumberEntry(t *testing.T) {
	b := open(t, "numbers")
	for _, field := range []string{"text", "number"} {
		for _, number := range []string{"1.5e2", "-2.0", "104.5", "0.005", "1e-3"} {
			sel := "#" + field
			b.Tap(sel)
			b.Press("Control+a")
			b.Press("Delete")
			b.TypeKeys(number) // no wait between the keys
			if got := value(b, sel); got != number {
				t.Errorf("%s: typed %q, the field holds %q", field, number, got)
			}
			model := text(b, "#model")
			at := map[string]int{"text": 0, "number": 1}[field]
			if got := split(model)[at]; got != number {
				t.Errorf("%s: typed %q, the model holds %q", field, number, got)
			}
		}
	}
}

func TestEditsInTheMiddleKeepTheCaret(t *testing.T) {
	b := open(t, "numbers")
	b.Tap("#text")
	b.TypeKeys("1045")
	b.Press("ArrowLeft")
	b.TypeKeys(".")
	b.TypeKeys("2")
	b.Press("Backspace")
	b.TypeKeys("7")
	if got := value(b, "#text"); got != "104.75" {
		t.Errorf("the field holds %q, want 104.75", got)
	}
	caret(t, b, "#text", 5)

	// The model rewrites what is typed: a comma becomes a point. The caret
	// stays where the person types.
	b.Tap("#comma")
	b.TypeKeys("1045")
	b.Press("ArrowLeft")
	b.TypeKeys(",")
	b.TypeKeys("2")
	if got := value(b, "#comma"); got != "104.25" {
		t.Errorf("the field holds %q, want 104.25", got)
	}
	caret(t, b, "#comma", 5)
}

func caret(t *testing.T, b chrome.Tab, sel string, want int) {
	t.Helper()
	if got := chrome.MustEval[int](b, fmt.Sprintf("document.querySelector(%q).selectionStart", sel)); got != want {
		t.Errorf("%s: the caret stands at %d, want %d", sel, got, want)
	}
}

// A field whose model does not follow is left alone while it is typed in, and
// shows the model afterwards.
func TestModelThatDoesNotFollow(t *testing.T) {
	b := open(t, "numbers")
	b.Tap("#stays")
	b.Press("End")
	b.TypeKeys("ling")
	if got := value(b, "#stays"); got != "modelling" {
		t.Errorf("while typing the field holds %q", got)
	}
	b.Tap("#tick")
	if got := value(b, "#stays"); got != "model" {
		t.Errorf("after it lost the focus the field holds %q, want what the model says", got)
	}
	b.Tap("#fixed")
	is(t, b, `document.querySelector("#fixed").checked`)
	b.Tap("#r2")
	is(t, b, `document.querySelector("#r1").checked && !document.querySelector("#r2").checked`)
}

func TestControlsFollowTheModel(t *testing.T) {
	b := open(t, "numbers")
	is(t, b, `document.querySelector("#select").value === "b"`)
	is(t, b, `!document.querySelector("#off").disabled`)
	b.Tap("#box")
	is(t, b, `document.querySelector("#box").checked && document.querySelector("#off").disabled`)
	b.Tap("#box")
	is(t, b, `!document.querySelector("#box").checked && !document.querySelector("#off").disabled`)

	// Set changes values, and the options together with the choice.
	b.Tap("#text")
	b.TypeKeys("1")
	b.Tap("#number")
	b.TypeKeys("1e") // half-typed: the field's value is empty
	b.Tap("#set")
	for sel, want := range map[string]string{"#text": "7.25", "#attr": "7.25", "#number": "8.5", "#select": "d"} {
		if got := value(b, sel); got != want {
			t.Errorf("%s holds %q, want %q", sel, got, want)
		}
	}
	b.Do(`const s = document.querySelector("#select"); s.value = "c"; s.dispatchEvent(new Event("change", { bubbles: true }))`)
	shows(t, b, "#model", "7.25|8.5||model|false|1|c")
}

// An input method (here: a composed character) is not disturbed by renders.
func TestComposition(t *testing.T) {
	b := open(t, "numbers")
	b.Tap("#comma")
	b.Do(`
		const f = document.querySelector("#comma");
		f.dispatchEvent(new CompositionEvent("compositionstart", { bubbles: true }));
		f.value = "1,";
		f.dispatchEvent(new InputEvent("input", { bubbles: true, isComposing: true }));
		window.during = f.value;
		f.dispatchEvent(new CompositionEvent("compositionend", { bubbles: true }));`)
	is(t, b, `during === "1,"`)
	if got := value(b, "#comma"); got != "1." {
		t.Errorf("after the composition the field holds %q, want what the model says", got)
	}
}

func split(model string) []string {
	out := []string{""}
	for _, c := range model {
		if c == '|' {
			out = append(out, "")
			continue
		}
		out[len(out)-1] += string(c)
	}
	return out
}
