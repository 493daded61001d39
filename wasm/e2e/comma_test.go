package e2e

import (
	"strings"
	"testing"
	"time"

	"portwright/wasm/e2e/chrome"
)

// shownNumbers are the visible words, picture's included, that hold a number
// with a point.
const shownNumbers = `(() => {
  const out = [], walk = document.createTreeWalker(document.querySelector(".app"), NodeFilter.SHOW_TEXT);
  while (walk.nextNode()) if (/\d\.\d/.test(walk.currentNode.data) && !walk.currentNode.parentElement.closest("[translate=no]")) out.push(walk.currentNode.data.trim());
  for (const e of document.querySelectorAll(".app [aria-label]")) if (/\d\.\d/.test(e.getAttribute("aria-label"))) out.push(e.getAttribute("aria-label"));
  return out;
})()`

// Where people write a decimal comma numbers are shown with it, on every
// station and in pictures; what is kept and what people named stays as it is.
func TestADecimalCommaWhereItIsUsual(t *testing.T) {
	p := openApp(t, `Object.defineProperty(navigator, "language", { value: "de-DE" })`)
	p.Tap("#demo")
	p.WaitFor(`document.querySelector("[data-station=findings]")`, 20*time.Second)
	for _, station := range []string{"Findings", "Engine", "Cuts", "Bench"} {
		p.Do(`location.hash = [...document.querySelectorAll(".stations a")].find(a => a.textContent.trim() === "` + station + `").getAttribute("href")`)
		p.WaitFor(`document.querySelector("[data-station=`+strings.ToLower(station)+`]")`, 10*time.Second)
		if got := chrome.MustEval[[]string](p, shownNumbers); len(got) > 0 {
			t.Errorf("%s shows %q", station, got)
		}
		if station == "Findings" {
			p.sees("49,42 cc") // π/4 x 44² x 32.5 mm is 49.417 cc
			if d := chrome.MustEval[string](p, `document.querySelector("svg path").getAttribute("d")`); strings.Contains(d, ",") {
				t.Errorf("a picture's path is %q", d)
			}
		}
		shot(p.Page, "comma_"+station)
	}
	p.Goto(p.server.URL)
	p.WaitFor(`document.querySelector("[data-station=book]")`, 10*time.Second)
	p.toBench()
	if k := p.Text(".pad .po"); k != "," {
		t.Errorf("the key says %q", k)
	}
	for _, key := range []string{".k1", ".k0", ".k4", ".po", ".k5"} {
		p.Tap(".pad " + key)
	}
	p.WaitFor(`document.querySelector("#value .digits").textContent === "104,5"`, 5*time.Second)
	p.Tap(".pad .keep")
	p.ticked()
	p.WaitFor(`document.querySelector(".tape .chip").textContent === "104,5°"`, 5*time.Second)
	stored := chrome.MustEval[[]string](p, `new Promise(done => { const r = indexedDB.open("portwright"); r.onsuccess = () => { const q = r.result.transaction("entries").objectStore("entries").getAll(); q.onsuccess = () => done(q.result.map(v => v.entry)); }; })`)
	if all := strings.Join(stored, " "); !strings.Contains(all, `104.5`) || strings.Contains(all, "104,5") {
		t.Errorf("kept: %s", all[max(0, len(all)-400):])
	}
}

// Elsewhere the point stays, also where the browser names no language that it
// knows itself.
func TestADecimalPointWhereItIsUsual(t *testing.T) {
	for _, language := range []string{"en-GB", "en-US@posix"} {
		p := openApp(t, `Object.defineProperty(navigator, "language", { value: "`+language+`" })`)
		p.toBench()
		p.reads("104.5")
		p.WaitFor(`document.querySelector(".tape .chip").textContent === "104.5°"`, 5*time.Second)
	}
}
