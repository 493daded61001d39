package e2e

import (
	"strings"
	"testing"
	"time"

	"portwright/wasm/e2e/chrome"
)

// toSection opens the demo build's section, by then without a server.
func toSection(t *testing.T) *phone {
	t.Helper()
	p := openApp(t)
	p.Tap("#demo")
	p.WaitFor(`document.querySelector(".stations a")`, 10*time.Second)
	p.WaitFor(`navigator.serviceWorker.controller`, 20*time.Second)
	p.server.Stop()
	p.TapText("Findings")
	p.WaitFor(`document.querySelector("#to-section")`, 10*time.Second)
	p.Tap("#to-section")
	p.WaitFor(`document.querySelector("[data-station=section] svg text")`, 10*time.Second)
	return p
}

// The keyboard alone turns the crank, without a network: by a degree, to the
// next event, by the slider; each event is said and read out.
func TestSectionByKeyboardWithoutANetwork(t *testing.T) {
	p := toSection(t)
	shot(p.Page, "section")
	title := func(want string) {
		t.Helper()
		p.WaitFor(`document.querySelector("#section-title").textContent === "`+want+`"`, 5*time.Second)
	}
	title("Top dead centre")
	focus := func(id string) {
		t.Helper()
		for range 40 {
			p.Press("Tab")
			if chrome.MustEval[string](p, `document.activeElement.id`) == id {
				return
			}
		}
		t.Fatalf("the Tab key never comes to %s", id)
	}
	focus("section-turn")
	for range 3 {
		p.Press("ArrowRight")
	}
	p.WaitFor(`document.querySelector("#section-turn").getAttribute("aria-valuetext") === "3.0° after TDC"`, 5*time.Second)
	focus("section-next")
	p.Press("Enter")
	title("Intake closes")
	p.Press("Enter")
	title("Exhaust opens")
	// The wheel was read open at 103.5, 103.5 and 104. Source: the demo file.
	if shows := chrome.MustEval[string](p, `document.querySelector(".section-picture svg > text").textContent`); shows != "103.7" {
		t.Errorf("the wheel shows %s", shows)
	}
	if said := p.Text(".live"); !strings.Contains(said, "Exhaust opens") || !strings.Contains(said, "blowdown begins") {
		t.Errorf("%q is read out", said)
	}
	shot(p.Page, "section_exhaust")
	p.Press("ArrowRight")
	p.Press("ArrowRight")
	title("Blowdown")
	shot(p.Page, "section_blowdown")
	if errs := p.ConsoleErrors("ERR_CONNECTION_REFUSED", "ERR_INTERNET_DISCONNECTED"); len(errs) > 0 { // the server is gone on purpose
		t.Errorf("the page reported %v", errs)
	}
}

// Played, it turns by itself, rests at an event and says it, and stops on the
// same button; nothing turns before it is asked to.
func TestSectionPlays(t *testing.T) {
	p := toSection(t)
	const crank = `document.querySelector(".section-picture svg > g:nth-of-type(4)").getAttribute("transform")`
	still := chrome.MustEval[string](p, crank)
	time.Sleep(500 * time.Millisecond)
	if now := chrome.MustEval[string](p, crank); now != still || !strings.Contains(still, "rotate(0)") {
		t.Errorf("before anybody asked the crank went from %s to %s", still, now)
	}
	p.Tap("#section-play")
	p.WaitFor(`document.querySelector("#section-play").textContent === "Stop" && `+crank+` !== "`+still+`"`, 5*time.Second)
	p.WaitFor(`document.querySelector(".live").textContent.startsWith("Intake closes, 73.8° after TDC.")`, 15*time.Second)
	p.Tap("#section-play")
	p.WaitFor(`document.querySelector("#section-play").getAttribute("aria-pressed") === "false"`, 5*time.Second)
	still = chrome.MustEval[string](p, crank)
	time.Sleep(500 * time.Millisecond)
	if now := chrome.MustEval[string](p, crank); now != still {
		t.Errorf("stopped, the crank goes on from %s to %s", still, now)
	}
}

// Where little motion is wanted, Play goes from event to event.
func TestSectionPlaysCalmly(t *testing.T) {
	p := toSection(t)
	p.Media("", map[string]string{"prefers-reduced-motion": "reduce"})
	p.Do(`(() => {
	  window.seen = [];
	  const turn = document.querySelector("#section-turn");
	  new MutationObserver(() => { const s = turn.getAttribute("aria-valuetext"); if (seen.at(-1) !== s) seen.push(s); }).observe(turn, { attributes: true });
	})()`)
	p.Tap("#section-play")
	p.WaitFor(`seen.length === 2`, 15*time.Second)
	want := "73.8° after TDC, Intake closes;103.2° after TDC, Exhaust opens"
	if got := strings.Join(chrome.MustEval[[]string](p, "seen"), ";"); got != want {
		t.Errorf("it went by %s, want %s", got, want)
	}
}

// The picture's words lie apart and inside it as the browser lays them out, on
// the smallest screen that is meant; everything to turn the crank with is on one
// screen of a small phone with the picture.
func TestSectionFitsAPhone(t *testing.T) {
	p := toSection(t)
	for _, width := range []int{360, 320} {
		p.Resize(width, 640)
		time.Sleep(200 * time.Millisecond)
		for _, fault := range chrome.MustEval[[]string](p, `(() => {
		  const faults = [];
		  const all = [...document.querySelectorAll(".section-picture text")].filter(e => e.textContent && !e.closest("g[transform^=rotate]"));
		  const frame = document.querySelector(".section-picture svg").getBoundingClientRect();
		  const boxes = all.map(e => [e.textContent, e.getBoundingClientRect()]);
		  boxes.forEach(([s, r], i) => {
		    if (r.left < frame.left - 1 || r.right > frame.right + 1 || r.top < frame.top - 1 || r.bottom > frame.bottom + 1) faults.push(s + " leaves the picture");
		    for (const [o, q] of boxes.slice(0, i)) {
		      if (r.left < q.right - 1 && q.left < r.right - 1 && r.top + 3 < q.bottom && q.top + 3 < r.bottom) faults.push(s + " lies over " + o);
		    }
		  });
		  if (document.documentElement.scrollWidth > innerWidth) faults.push("the page is wider than the screen");
		  for (const b of document.querySelectorAll(".section-keys > *")) {
		    const r = b.getBoundingClientRect();
		    if (r.height < 44 || r.width < 44) faults.push(b.textContent + " is smaller than 44 px");
		    if (innerWidth === 360 && r.bottom + scrollY > innerHeight) faults.push(b.textContent + " is below the screen");
		  }
		  return faults;
		})()`) {
			t.Errorf("at %d: %s", width, fault)
		}
	}
}

// On its side the phone shows at once what turns the crank and what happens.
func TestSectionOnTheSide(t *testing.T) {
	p := toSection(t)
	p.Resize(640, 360)
	for _, what := range []string{"#section-turn", "#section-back", "#section-next", "#section-title", ".section-says p"} {
		if !chrome.MustEval[bool](p, `(r => r.width > 0 && r.top >= 0 && r.bottom <= innerHeight && r.right <= innerWidth)(document.querySelector("`+what+`").getBoundingClientRect())`) {
			t.Errorf("%s is not in view", what)
		}
	}
}
