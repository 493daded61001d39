//go:build !js

package rendertest

import (
	"testing"
	"time"

	"portwright/wasm/e2e/chrome"
)

const shortly = 5 * time.Second

func TestClearedList(t *testing.T) {
	b := open(t, "list")
	lists := []string{"#plain li", "#keyed li", "#comps button", "#swap b", "#html i"}
	for round := range 2 {
		for _, l := range lists {
			if n := b.Count(l); n != 3 {
				t.Errorf("round %d: %s: %d items, want 3", round, l, n)
			}
		}
		b.Tap("#clear")
		for _, l := range lists {
			if n := b.Count(l); n != 0 {
				t.Errorf("round %d: cleared, %s still has %d items", round, l, n)
			}
		}
		is(t, b, `["plain", "keyed", "comps", "swap", "html"].every(id => document.getElementById(id).textContent.trim() === "")`)
		b.Tap("#fill")
	}
}

// Texts far over 16 KB, with characters of one to four bytes, and what HTML
// would take for markup.
func TestLongTexts(t *testing.T) {
	b := open(t, "long")
	for times := 1; times <= 3; times += 2 {
		b.Do(`
			window.ascii = "abcdefghij".repeat(10000 * ` + itoa(times) + `);
			window.unicode = "é€\u{1F527}<&\"".repeat(10000 * ` + itoa(times) + `);
			window.at = id => document.getElementById(id);`)
		for _, expr := range []string{
			`at("attr").title === ascii`,
			`at("attru").title === unicode`,
			`at("text").textContent === ascii`,
			`at("content").textContent === unicode`,
			`at("markup").children.length === 10000 * ` + itoa(times),
			`[...at("markup").children].every(b => b.textContent === "é")`,
			`at("node").textContent === "{" + unicode + "}"`,
			`at("prop").value === unicode`,
			`!document.body.textContent.includes("\uFFFD")`,
		} {
			is(t, b, expr)
		}
		b.Tap("#more")
		b.Tap("#more")
	}
}

// Nothing under the strict policy is refused in any scene; style attributes
// work all the same.
func TestStrictPolicy(t *testing.T) {
	b := open(t, "styled")
	if head := chrome.MustEval[string](b, `fetch("/").then(r => r.headers.get("Content-Security-Policy"))`); head != Policy {
		t.Errorf("the page is served under %q", head)
	}
	// The policy is in force: what it forbids is refused, and seen here.
	b.Do(`const p = document.createElement("p"); p.setAttribute("style", "color: red"); document.body.append(p)`)
	b.WaitFor(`refused.length > 0`, shortly)
	is(t, b, `refused[0].startsWith("style-src")`)
	b.Do(`refused.length = 0`)
	b.ForgetErrors()

	width := func(want string) {
		t.Helper()
		if got := chrome.MustEval[string](b, `getComputedStyle(document.querySelector("#bar")).width`); got != want {
			t.Errorf("the bar is %s wide, want %s", got, want)
		}
	}
	width("50px")
	is(t, b, `getComputedStyle(document.querySelector("#dot")).fill === "rgb(1, 2, 3)"`)
	is(t, b, `document.querySelector("use").href.baseVal === "#dot"`)
	b.Tap("#wide")
	width("100px")
	b.Tap("#none")
	b.WaitFor(`!document.querySelector("#bar").getAttribute("style")`, shortly)
}

func TestComponentInsideSVG(t *testing.T) {
	b := open(t, "drawing")
	for _, expr := range []string{
		`[...document.querySelectorAll("#svg > circle, .deep, .deep circle, .deep text, .fade, .fade stop")].length === 6`,
		`[...document.querySelectorAll("#svg > circle, .deep, .deep *, .fade, .fade *, foreignObject")].every(e => e.namespaceURI === "http://www.w3.org/2000/svg")`,
		`document.querySelector(".fade") instanceof SVGLinearGradientElement`,
		`document.querySelector(".fade").gradientUnits.baseVal === 1`,
		`document.querySelector("#svg > circle").getBoundingClientRect().width === 20`,
		`document.querySelector(".deep circle").getBBox().width === 20`,
		`document.querySelector("foreignObject .words") instanceof HTMLSpanElement`,
		`[...document.querySelectorAll(".words")].pop().namespaceURI === "http://www.w3.org/1999/xhtml"`,
		`document.querySelector("foreignObject").textContent === "{inside}"`,
	} {
		is(t, b, expr)
	}
	b.Tap("#grow")
	is(t, b, `document.querySelector("#svg > circle").getBoundingClientRect().width === 40`)
	shows(t, b, ".deep text", "20")
}

func TestRenderedEverywhere(t *testing.T) {
	b := open(t, "life")
	seen := func(want string) {
		t.Helper()
		if got := chrome.MustEval[string](b, `seen.splice(0).join(", ")`); got != want {
			t.Errorf("lifecycle: %s\n     want: %s", got, want)
		}
	}
	seen("outer/in/in true, outer/in true, outer true, root true")
	b.Tap("#toggle")
	b.WaitFor(`seen.includes("root false")`, shortly)
	b.Do(`seen.splice(0, seen.length, ...seen.sort())`) // vugu destroys in no order
	seen("outer destroyed, outer/in destroyed, outer/in/in destroyed, root false")
	b.Tap("#toggle")
	b.WaitFor(`seen.includes("root false")`, shortly)
	seen("outer/in/in true, outer/in true, outer true, root false")
	b.Do(`rt.render()`)
	seen("outer/in/in false, outer/in false, outer false, root false")
}

// What the browser keeps in elements stays through renders.
func TestNativeStateIsKept(t *testing.T) {
	b := open(t, "native")
	b.Tap("#static summary")
	b.Tap("#dynamic summary")
	b.Do(`document.querySelector("#scroll").scrollTop = 120`)
	for range 3 {
		b.Tap("#tick")
	}
	shows(t, b, "#ticks", "3")
	shows(t, b, "#dynamic summary", "3")
	is(t, b, `document.querySelector("#static").open && document.querySelector("#dynamic").open`)
	is(t, b, `document.querySelector("#scroll").scrollTop === 120`)
	b.Do(`document.querySelector("#dialog").showModal()`)
	b.Tap("#inside")
	b.Tap("#inside")
	shows(t, b, "#dialog p", "5")
	is(t, b, `document.querySelector("#dialog").open && document.querySelector("#dialog").matches(":modal")`)
}

func TestForeignContentIsKept(t *testing.T) {
	b := open(t, "foreign")
	is(t, b, `document.querySelector("#made").textContent === "made 1"`)
	b.Do(`
		window.mine = document.createElement("i"); mine.textContent = "mine"; document.querySelector("#static").append(mine);
		window.other = document.createElement("i"); document.querySelector("#mixed").append(other);`)
	for range 3 {
		b.Tap("#tick")
	}
	shows(t, b, "#ticks", "3")
	shows(t, b, "#made", "made 1")
	is(t, b, `document.querySelector("#made").title === "3" && document.querySelector("#made").dataset.filled === "3"`)
	is(t, b, `mine.isConnected && mine.parentNode.id === "static"`)
	is(t, b, `other.isConnected && document.querySelector("#mixed b")`)
}

func itoa(n int) string { return string(rune('0' + n)) }
