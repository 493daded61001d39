//go:build !js

package rendertest

import (
	"fmt"
	"testing"

	"portwright/wasm/e2e/chrome"
)

// Keyed rows that move stay the same elements and keep focus and selection,
// with moveBefore and on browsers that lack it.
func TestKeyedMoves(t *testing.T) {
	for path, native := range map[string]string{"/": "function", "/?old": "undefined"} {
		t.Run("moveBefore "+native, func(t *testing.T) {
			b := openAt(t, path, "moves")
			is(t, b, fmt.Sprintf(`typeof Element.prototype.moveBefore === %q`, native))
			for _, list := range []string{"#plain", "#comps"} {
				b.Do(`rt.order("a b c d e")`)
				moveRows(t, b, list)
			}
		})
	}
}

// moveRows works one list: a typed and partly selected text in row b has to
// come through every new order.
func moveRows(t *testing.T, b *chrome.Browser, list string) {
	t.Helper()
	b.Tap(list + ` input[name="b"]`)
	b.TypeKeys("typed")
	b.Do(fmt.Sprintf(`
		window.field = document.querySelector('%s input[name="b"]');
		field.setSelectionRange(1, 3);
		window.items = () => [...document.querySelectorAll("%s li")];
		window.nameOf = li => li.querySelector("input").name;
		window.rows = Object.fromEntries(items().map(li => [nameOf(li), li]));`, list, list))
	log := text(b, "#log")
	for _, order := range []string{"e d c b a", "b a e d c", "c b", "x b c a y", "d c b a", "b"} {
		// The rows of before that stay are the same elements.
		b.Do(fmt.Sprintf(`
			window.stay = items().filter(li => %q.split(" ").includes(nameOf(li)));
			rt.order(%q);`, order, order))
		if got := chrome.MustEval[string](b, `items().map(nameOf).join(" ")`); got != order {
			t.Errorf("%s: rows %q, want %q", list, got, order)
		}
		is(t, b, `stay.length > 0 && stay.every(li => items().includes(li))`)
		is(t, b, `document.activeElement === field && field.isConnected && field.value === "typed"`)
		is(t, b, `field.selectionStart === 1 && field.selectionEnd === 3`)
	}
	is(t, b, `rows.b === items()[0]`)
	if got := text(b, "#log"); got != log {
		t.Errorf("%s: a move was heard as %q, want %q", list, got, log)
	}
}

// A render that changes other things leaves the focus and a half-typed text.
func TestFocusIsKept(t *testing.T) {
	b := open(t, "numbers")
	b.Tap("#comma")
	b.TypeKeys("12")
	b.Do(`window.field = document.activeElement; for (let i = 0; i < 20; i++) rt.render()`)
	b.TypeKeys("3")
	is(t, b, `document.activeElement === field && field.value === "123"`)
}

// Ten thousand times shown and hidden: tables, listeners, JavaScript values
// and both heaps stay as they were.
func TestNothingIsLeftBehind(t *testing.T) {
	b := open(t, "churn")
	b.Do(`rt.cycle(200); rt.collect()`)
	before, metrics, live := read(b), b.Metrics(), values(b)
	functions := chrome.MustEval[int](b, "functions")

	for range 10 {
		b.Do(`rt.cycle(1000)`)
	}
	if made := chrome.MustEval[int](b, `rt.cycle(0)`); made != 10_200 {
		t.Errorf("vg-js-create was called %d times, want once per showing: 10200", made)
	}
	b.Do(`rt.collect()`)
	after, now := read(b), b.Metrics()
	if after.Nodes != before.Nodes || after.Handlers != before.Handlers {
		t.Errorf("%d nodes and %d handlers, before: %d and %d", after.Nodes, after.Handlers, before.Nodes, before.Handlers)
	}
	if after.Renders-before.Renders < 20_000 {
		t.Errorf("%d renders, want 20000: the cycles did not happen", after.Renders-before.Renders)
	}
	if n := chrome.MustEval[int](b, "functions"); n != functions {
		t.Errorf("%d JavaScript functions were made, want none: one hears for all elements", n-functions)
	}
	if n := values(b); n > live+50 {
		t.Errorf("%d JavaScript values held, before: %d", n, live)
	}
	// A kept object per cycle would be 10,000 of the first two and more than a
	// megabyte of the others.
	for name, slack := range map[string]float64{"JSEventListeners": 20, "Nodes": 200, "JSHeapUsedSize": 1 << 20} {
		if now[name] > metrics[name]+slack {
			t.Errorf("%s: %.0f, before: %.0f", name, now[name], metrics[name])
		}
	}
	if after.Heap > before.Heap+1<<20 {
		t.Errorf("the Go heap holds %.0f bytes, before: %.0f", after.Heap, before.Heap)
	}
	b.Tap("#stay")
	b.TypeKeys("7")
	if got := value(b, "#stay"); got != "1" { // the model counts, the field follows
		t.Errorf("after the cycles the field holds %q, want 1", got)
	}

	b.Do(`rt.close(); rt.collect()`)
	is(t, b, `document.querySelector("#app").childNodes.length === 0`)
}

// values counts the JavaScript objects that Go holds.
func values(b chrome.Tab) int {
	return chrome.MustEval[int](b, `go._values.filter(v => v !== undefined && v !== null).length`)
}

// Two thousand rows come up, and a change of one text costs one text.
func TestLongTableIsPatched(t *testing.T) {
	b := open(t, "rows")
	if n := b.Count("tbody tr"); n != 2000 {
		t.Fatalf("%d rows, want 2000", n)
	}
	b.Do(`
		window.changes = 0;
		new MutationObserver(list => { changes += list.length; }).observe(document.querySelector("#app"), { subtree: true, childList: true, attributes: true, characterData: true });`)
	b.Tap("#plus")
	shows(t, b, "#count", "1")
	b.WaitFor(`changes > 0`, shortly)
	if n := chrome.MustEval[int](b, "changes"); n > 2 {
		t.Errorf("+1 changed the page in %d places, want one", n)
	}
	if s := read(b); s.Code > 64 {
		t.Errorf("+1 took a program of %d bytes", s.Code)
	}
}
