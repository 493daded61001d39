package e2e

import (
	"strconv"
	"testing"
	"time"

	"portwright/wasm/e2e/chrome"
)

// Text at 200 % on a small phone: with the keys scrolled to, the typed number
// stands above them, and neither the bench nor its list scrolls sideways.
func TestLargeTextKeepsTheValueInView(t *testing.T) {
	p := openApp(t)
	p.toBench()
	p.Do(`document.documentElement.style.fontSize = "200%"`)
	p.enter("104.5")
	for _, size := range [][2]int{{360, 640}, {320, 568}} {
		p.Resize(size[0], size[1])
		p.Do(`document.querySelector(".work").scrollTop = 1e6`)
		shot(p.Page, "bench_large_keys_"+strconv.Itoa(size[0]))
		for what, ok := range chrome.MustEval[map[string]bool](p, `(() => {
			const box = s => document.querySelector(s).getBoundingClientRect(), value = box("#value .digits"), work = box(".work");
			const on = document.elementFromPoint((value.left + value.right) / 2, (value.top + value.bottom) / 2);
			return {
				"the value in view": value.top >= work.top - 1 && value.bottom <= box(".pad").top + 1 && !!on?.closest("#value"),
				"0 in view": box(".k0").bottom <= innerHeight, "Keep in view": box(".keep").bottom <= innerHeight && box(".keep").top >= value.bottom - 1,
			};
		})()`) {
			if !ok {
				t.Errorf("%d px: not %s", size[0], what)
			}
		}
	}
	for _, text := range []string{"100%", "112.5%", "200%"} {
		p.Do(`document.documentElement.style.fontSize = "` + text + `"`)
		p.Resize(360, 640)
		p.Tap(".strip .place")
		p.WaitFor(`document.querySelector(".all[data-open]")`, 5*time.Second)
		shot(p.Page, "bench_list_"+text[:3])
		for _, fault := range chrome.MustEval[[]string](p, lies) {
			t.Errorf("the list at %s: %s", text, fault)
		}
		for _, fault := range chrome.MustEval[[]string](p, `(() => {
			const all = document.querySelector(".all");
			return [...all.querySelectorAll("*")].filter(e => e.getBoundingClientRect().right > all.clientWidth + .5).map(e => e.textContent.trim().slice(0, 30) + " ends at " + e.getBoundingClientRect().right)
				.concat(all.scrollWidth > all.clientWidth ? ["the list is " + all.scrollWidth + " wide in " + all.clientWidth] : []);
		})()`) {
			t.Errorf("the list at %s: %s", text, fault)
		}
		p.TapText("Back to the question")
	}
}

// On its side with large text the bench scrolls, and nothing lies over anything.
func TestLargeTextOnTheSide(t *testing.T) {
	p := openApp(t)
	p.toBench()
	p.enter("104.5")
	p.Resize(640, 360)
	for _, text := range []string{"100%", "150%", "200%"} {
		p.Do(`document.documentElement.style.fontSize = "` + text + `"`)
		for _, fault := range chrome.MustEval[[]string](p, `(() => {
			const all = [...document.querySelectorAll(".ask h1, .ask p, .ask .aid, .aside button, #value .digits, #value .unit, .tape .chip, .says .wait, .says .cell, .pad button")]
				.filter(e => e.checkVisibility()).map(e => [e, e.getBoundingClientRect()]);
			return all.flatMap(([e, r], i) => all.slice(i + 1).filter(([o, q]) => !e.contains(o) &&
				Math.min(r.right, q.right) - Math.max(r.left, q.left) > 1 && Math.min(r.bottom, q.bottom) - Math.max(r.top, q.top) > 2)
				.map(([o]) => e.textContent.trim() + " lies over " + o.textContent.trim()));
		})()`) {
			t.Errorf("%s: %s", text, fault)
		}
	}
}
