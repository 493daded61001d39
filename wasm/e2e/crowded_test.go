package e2e

import (
	"fmt"
	"testing"
	"time"

	"portwright/wasm/e2e/chrome"
)

// crossed lists what lies over what in the pictures: two texts of one picture, a
// text and the picture's edge. A box has room above and below its letters: a
// third of the lower one is let pass. And what is wider than the page.
const crossed = `(() => { const out = [], said = e => JSON.stringify(e.textContent);
  for (const svg of document.querySelectorAll("main svg")) {
    const page = svg.getBoundingClientRect();
    if (!page.width || !svg.checkVisibility()) continue;
    const all = [...svg.querySelectorAll("text")].filter(e => e.checkVisibility({ visibilityProperty: true, opacityProperty: true }) && e.textContent.trim())
      .map(e => [e, e.getBoundingClientRect()]).filter(([, r]) => r.width > 0 && r.height > 0);
    all.forEach(([e, r], i) => {
      if (r.left < page.left - 1 || r.right > page.right + 1 || r.top < page.top - 3 || r.bottom > page.bottom + 3) out.push(said(e) + " leaves its picture");
      for (const [o, q] of all.slice(i + 1)) {
        const w = Math.min(r.right, q.right) - Math.max(r.left, q.left), h = Math.min(r.bottom, q.bottom) - Math.max(r.top, q.top);
        if (w > 1 && h > Math.min(r.height, q.height) / 3) out.push(said(e) + " lies over " + said(o));
      }
    });
  }
  const wide = document.documentElement.clientWidth;
  for (const e of document.querySelectorAll("main *")) {
    if (e.closest("svg") || !e.checkVisibility() || getComputedStyle(e).position === "absolute") continue;
    const r = e.getBoundingClientRect();
    if (r.width > 2 && r.right > wide + 1) { out.push(e.tagName + " " + said(e).slice(0, 40) + " ends at " + r.right + " of " + wide); break; }
  }
  return out; })()`

// Six windows with long names whose events stand close together, at the widths
// of small phones: no text of any picture lies over another.
func TestSixWindowsWithLongNames(t *testing.T) {
	p := openApp(t)
	p.takesIn(toBuilds, "crowded.json")
	sizes := [][2]int{{360, 640}, {320, 568}}
	whole := func(what string) {
		t.Helper()
		if chrome.MustEval[int](p, `[...document.querySelectorAll("main svg text")].length`) == 0 {
			t.Fatalf("%s has no picture with words", what)
		}
		for _, size := range sizes {
			p.Resize(size[0], size[1])
			for _, fault := range chrome.MustEval[[]string](p, crossed) {
				t.Errorf("%s at %d: %s", what, size[0], fault)
			}
		}
	}
	p.WaitFor(`document.querySelector("#to-section")`, 10*time.Second)
	whole("Findings")
	shot(p.Page, "crowded_findings")
	p.Tap("#to-section")
	p.WaitFor(`document.querySelector("[data-station=section] svg text")`, 10*time.Second)
	seen := map[string]bool{}
	for range 20 { // once round: six windows open and close, two dead centres, and between
		now := p.Text("#section-title")
		whole("Section, " + now)
		seen[now] = true
		p.Tap("#section-next")
		p.WaitFor(fmt.Sprintf(`document.querySelector("#section-title").textContent !== %q`, now), 5*time.Second)
	}
	if len(seen) < 8 {
		t.Errorf("the section came to %d places alone", len(seen))
	}
	shot(p.Page, "crowded_section")
	for _, s := range [][2]string{{"Cuts", "main svg text"}, {"Sheet", ".paper svg text"}} {
		p.TapText(s[0])
		p.WaitFor(fmt.Sprintf(`document.querySelector(%q)`, s[1]), 10*time.Second)
		whole(s[0])
		shot(p.Page, "crowded_"+s[0])
	}
}
