package e2e

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"portwright/wasm/e2e/chrome"
)

// shot keeps a picture for a person to look at, when SHOTS names a folder.
func shot(p *chrome.Page, name string) {
	if dir := os.Getenv("SHOTS"); dir != "" {
		p.Screenshot(filepath.Join(dir, name+".png"))
	}
}

// asks waits for a question.
func (p *phone) asks(heading, sub string) {
	p.t.Helper()
	p.WaitFor(fmt.Sprintf(`document.querySelector("#question")?.textContent.trim() === %q && document.querySelector(".ask p").textContent.includes(%q)`, heading, sub), 5*time.Second)
}

// reads taps a value and Keep and waits for the tick.
func (p *phone) reads(value string) {
	p.t.Helper()
	p.enter(value)
	p.Tap(".pad .keep")
	p.ticked()
}

// A whole pass by taps at the size of a small phone, with the network gone
// after the first load: stop checks, exhaust, two transfers and intake, opens
// and closes, three readings each; then what they say.
func TestAFullPassWithoutANetwork(t *testing.T) {
	p := openApp(t)
	p.WaitFor(`portwright.offline === "yes"`, 30*time.Second)
	p.server.Stop()
	p.Reload()
	p.WaitFor(`document.querySelector("#whole-build")`, 20*time.Second)
	p.Tap("#whole-build")
	p.WaitFor(`document.querySelector("[data-station=engine]")`, 10*time.Second)
	p.TapText("Bench")
	p.TapText("Exhaust, two transfers, intake")

	p.asks("Turn to the stop", "the running way")
	p.reads("341")
	p.asks("Turn back to the stop", "the other way round")
	p.reads("23")
	for _, w := range []struct{ question, way, value string }{
		{"Exhaust opens", "piston going down", "104.5"}, {"Exhaust closes", "piston going up", "259.5"},
		{"Transfer left opens", "piston going down", "122"}, {"Transfer left closes", "piston going up", "242"},
		{"Transfer right opens", "piston going down", "122.5"}, {"Transfer right closes", "piston going up", "241.5"},
		{"Intake opens", "piston going up", "287"}, {"Intake closes", "piston going down", "77"},
	} {
		for n := 1; n <= 3; n++ {
			p.asks(w.question, fmt.Sprintf("%s · reading %d of 3", w.way, n))
			p.reads(w.value)
		}
	}
	p.asks("Turn to the stop", "the running way")
	shot(p.Page, "bench_stop_after")
	p.reads("341")
	p.enter("23")
	p.Tap(".pad .keep")
	p.WaitFor(`document.querySelector(".plain h1")?.textContent.trim() === "Everything was asked"`, 5*time.Second)
	shot(p.Page, "bench_done")
	p.TapText("See what the readings say")
	p.WaitFor(`document.querySelector("[data-station=findings]")`, 10*time.Second)
	// The worked pass: the stops halve to 2 degrees, so the wheel reads 2 too
	// much; 104.5 and 259.5 are 102.5 and 257.5, which is open for 155.
	// Source: arithmetic of the definitions, no computing of ours.
	text := strings.Join(strings.Fields(p.Text("main")), " ")
	for _, want := range []string{"102.5°", "155.0°", "120.0°", "17.5°", "150.0°"} {
		if !strings.Contains(text, want) {
			t.Errorf("the findings do not show %s: %s", want, text)
		}
	}
	shot(p.Page, "findings")
	if errs := p.ConsoleErrors("build.json", "sw.js", "ERR_CONNECTION_REFUSED", "ERR_INTERNET_DISCONNECTED"); len(errs) > 0 {
		t.Errorf("the page reports %q", errs)
	}
}

// One window with a number pad alone, on a wide screen.
func TestAWindowByKeyboardAlone(t *testing.T) {
	p := openApp(t)
	p.toBench()
	p.Resize(1280, 800)
	for _, keys := range []string{"104.5", "104", "10", "259.5", "259.5", "260"} {
		for _, r := range keys {
			if r == '.' {
				p.Press("NumpadDecimal")
			} else {
				p.Press("Numpad" + string(r))
			}
		}
		if keys == "10" { // a slip: wiped out and typed again with a comma and the half key
			p.Press("Backspace")
			for _, k := range []string{"0", "4", ",", "5"} {
				p.Press(k)
			}
		}
		p.Press("NumpadEnter")
		p.ticked()
		time.Sleep(260 * time.Millisecond) // a double tap's width
	}
	p.asks("Transfer front left opens", "reading 1 of 3")
	p.Press("ArrowLeft")
	p.asks("Exhaust closes", "one more, reading 4")
	p.Press("NumpadSubtract") // takes the last back
	p.WaitFor(`document.querySelectorAll(".tape .chip[data-struck]").length === 1`, 5*time.Second)
	p.asks("Exhaust closes", "reading 3 of 3")
	shot(p.Page, "bench_wide")
	p.Press("NumpadAdd")
	p.asks("Transfer front left opens", "reading 1 of 3")
	on := func(words string) {
		p.t.Helper()
		p.WaitFor(fmt.Sprintf(`document.activeElement?.textContent.startsWith(%q)`, words), 5*time.Second)
	}
	for _, size := range [][2]int{{1280, 800}, {360, 640}} { // beside the question, and over it
		p.Resize(size[0], size[1])
		p.Press("ArrowDown")
		on("Transfer front left opens")
		p.Press("ArrowDown")
		on("Transfer front left closes")
		p.Press("ArrowUp")
		on("Transfer front left opens")
		p.Press("ArrowUp")
		on("Exhaust closes")
		p.Press("Enter")
		p.asks("Exhaust closes", "reading 3 of 3")
		p.Press("ArrowRight")
		p.asks("Transfer front left opens", "reading 1 of 3")
	}
}

// Strike out with a reason, let count again, undo, put back, skip and go back:
// one tap each, after the one that opens the list or the chip.
func TestStrikeUndoSkipBack(t *testing.T) {
	p := openApp(t)
	p.toBench()
	p.reads("104")
	p.reads("106.5")
	struck := func(n int) {
		t.Helper()
		p.WaitFor(fmt.Sprintf(`document.querySelectorAll(".tape .chip[data-struck]").length === %d`, n), 5*time.Second)
	}
	p.Tap(".tape .chip")
	p.WaitFor(`document.querySelector(".over[data-kind=strike]")`, 5*time.Second)
	time.Sleep(300 * time.Millisecond) // a double tap is no choice
	shot(p.Page, "bench_strike")
	p.TapText("Wheel bumped")
	struck(1)
	if got := chrome.MustEval[string](p, `document.querySelector(".tape .chip[data-struck]").getAttribute("aria-label")`); !strings.Contains(got, "struck out: wheel bumped") {
		t.Errorf("the struck reading says %q", got)
	}
	p.asks("Exhaust opens", "reading 2 of 3")
	p.Tap(".tape .chip[data-struck]")
	p.TapText("Let it count again")
	struck(0)
	p.TapText("undo")
	struck(1)
	p.hash = chrome.MustEval[string](p, "location.hash")
	p.die()
	struck(1)
	p.Tap(".strip .place")
	p.WaitFor(`document.querySelector(".all[data-open]")`, 5*time.Second)
	shot(p.Page, "bench_list")
	p.TapText("Put it back")
	p.TapText("Back to the question")
	struck(0)
	p.TapText("next")
	p.asks("Exhaust closes", "reading 1 of 3")
	p.TapText("back")
	p.asks("Exhaust opens", "reading 3 of 3")
}

// On a phone of 360 x 640 nothing scrolls, keys are at least 72 px square and
// 8 px apart, the value in hand at least 56 px high, and every text has at
// least 7:1 to its ground, in both themes and under both hands.
func TestTheBenchFits(t *testing.T) {
	p := openApp(t)
	p.toBench()
	p.reads("104.5")
	p.reads("104")
	p.Tap(".strip .place")
	p.TapText("Pass: as received")
	p.TapText("New pass “after port work”") // the longest question, with the pass's name over it
	p.WaitFor(`document.querySelector(".where")?.textContent.trim() === "after port work"`, 5*time.Second)
	p.Tap(".strip .place")
	p.TapText("Transfer front right closes")
	p.reads("240")
	p.enter("239.5")
	for _, theme := range []string{"day", "shed"} {
		for _, hand := range []string{"", "left"} {
			p.Do(fmt.Sprintf(`document.documentElement.dataset.theme = %q; document.documentElement.dataset.hand = %q`, theme, hand))
			name := strings.TrimSuffix("bench_"+theme+"_"+hand, "_")
			shot(p.Page, name)
			for _, fault := range chrome.MustEval[[]string](p, fits) {
				t.Errorf("%s %s: %s", theme, hand, fault)
			}
			for _, fault := range chrome.MustEval[[]string](p, contrasts) {
				t.Errorf("%s %s: %s", theme, hand, fault)
			}
		}
	}
	for _, size := range [][2]int{{320, 568}, {412, 915}, {640, 360}, {1280, 800}} {
		p.Resize(size[0], size[1])
		shot(p.Page, fmt.Sprintf("bench_%dx%d", size[0], size[1]))
		for _, fault := range chrome.MustEval[[]string](p, lies) {
			t.Errorf("%d x %d: %s", size[0], size[1], fault)
		}
		if below := chrome.MustEval[int](p, `document.querySelector(".work").scrollHeight - document.querySelector(".work").clientHeight`); below > 0 {
			t.Errorf("%d x %d: %d px of the bench are below the screen", size[0], size[1], below)
		}
	}
	for _, hand := range []string{"", "left"} { // the keys also when the phone lies on its side
		p.Resize(640, 360)
		p.Do(fmt.Sprintf(`document.documentElement.dataset.hand = %q`, hand))
		shot(p.Page, strings.TrimSuffix("bench_640x360_"+hand, "_"))
		for _, fault := range chrome.MustEval[[]string](p, fits) {
			t.Errorf("640 x 360 %s: %s", hand, fault)
		}
	}
	for range 5 {
		p.Tap(".pad .er")
	}
	for _, size := range [][2]int{{360, 640}, {640, 360}} { // the same again has a key of its own
		p.Resize(size[0], size[1])
		shot(p.Page, fmt.Sprintf("bench_again_%d", size[0]))
		for _, fault := range chrome.MustEval[[]string](p, fits) {
			t.Errorf("with nothing in hand, %d x %d: %s", size[0], size[1], fault)
		}
		for _, fault := range chrome.MustEval[[]string](p, lies) {
			t.Errorf("with nothing in hand, %d x %d: %s", size[0], size[1], fault)
		}
	}
	time.Sleep(time.Second)
	p.Tap(".pad .sa")
	p.WaitFor(`document.querySelectorAll(".tape .chip:not([data-struck])").length === 2`, 5*time.Second)
	p.Resize(360, 640)
	p.enter("239.5")
	p.Do(`document.documentElement.style.fontSize = "200%"`)
	shot(p.Page, "bench_text_200")
	for _, fault := range chrome.MustEval[[]string](p, lies) {
		t.Errorf("text at 200 %%: %s", fault)
	}
}

// lies: nothing is wider than the screen, no part of the bench lies over
// another, and no text is cut off inside a key.
const lies = `(() => {
  const faults = [], say = f => faults.push(f);
  for (const e of document.querySelectorAll("html, .work:not(.all[data-open] + .work), .all, .strip")) {
    if (e.scrollWidth > e.clientWidth + 1) say((e.className || e.tagName) + " is wider than the screen: " + e.scrollWidth + " in " + e.clientWidth);
  }
  const box = e => e.getBoundingClientRect();
  const over = (a, b) => Math.min(a.right, b.right) - Math.max(a.left, b.left) > 1 && Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top) > 1;
  for (const of of [".work > *", ".pad > *", ".strip > *", ".value > *", ".tape > *", ".says > *"]) {
    const all = [...document.querySelectorAll(of)].filter(e => box(e).width);
    all.forEach((a, i) => all.slice(i + 1).forEach(b => { if (over(box(a), box(b))) say((a.className || a.tagName) + " lies over " + (b.className || b.tagName)); }));
  }
  for (const row of document.querySelectorAll(".ask, .value, .tape, .says, .strip")) {
    for (const e of row.children) if (box(e).width && (box(e).left < box(row).left - 1 || box(e).right > box(row).right + 1)) say((e.className || e.tagName) + " sticks out of " + row.className);
  }
  for (const e of document.querySelectorAll(".pad button, .button, .chip")) {
    if (e.scrollWidth > e.clientWidth + 1) say("key " + e.textContent.trim() + " is cut off: " + e.scrollWidth + " in " + e.clientWidth);
  }
  return faults;
})()`

const fits = `(() => {
  const faults = [], say = f => faults.push(f);
  const keys = [...document.querySelectorAll(".pad button")].map(e => ({ name: e.textContent.trim(), r: e.getBoundingClientRect() }));
  if (keys.length !== (document.querySelector(".sa") ? 16 : 15)) say(keys.length + " keys");
  for (const k of keys) {
    if (k.r.width < 72 || k.r.height < 72) say(k.name + " is " + k.r.width + " x " + k.r.height);
    if (k.r.left < 0 || k.r.right > innerWidth || k.r.top < 0 || k.r.bottom > innerHeight) say(k.name + " is off the screen");
    for (const o of keys) {
      if (o === k) continue;
      const dx = Math.max(o.r.left - k.r.right, k.r.left - o.r.right), dy = Math.max(o.r.top - k.r.bottom, k.r.top - o.r.bottom);
      if (Math.max(dx, dy) < 7.99) say(k.name + " and " + o.name + " are " + Math.max(dx, dy) + " apart");
    }
  }
  for (const e of [document.documentElement, document.body, ...document.querySelectorAll(".app, .bench, .work")])
    if (e.scrollHeight > e.clientHeight || e.scrollWidth > e.clientWidth) say((e.className || e.tagName) + " scrolls: " + e.scrollWidth + " x " + e.scrollHeight + " in " + e.clientWidth + " x " + e.clientHeight);
  const size = parseFloat(getComputedStyle(document.querySelector("#value .digits")).fontSize);
  if (size < 56) say("digits of " + size + " px");
  for (const e of document.querySelectorAll("button, a")) {
    const r = e.getBoundingClientRect();
    if (r.width > 0 && (r.width < 44 || r.height < 44)) say("target " + (e.getAttribute("aria-label") || e.textContent.trim()) + " is " + r.width + " x " + r.height);
  }
  return faults;
})()`

// contrasts measures every visible text against its ground.
// Source of the formula: W3C, WCAG 2.2, relative luminance and contrast ratio.
const contrasts = `(() => {
  const parse = c => { const m = c.match(/[\d.]+/g).map(Number); return { rgb: m.slice(0, 3), a: m.length > 3 ? m[3] : 1 }; };
  const lum = rgb => { const [r, g, b] = rgb.map(v => { v /= 255; return v <= 0.04045 ? v / 12.92 : Math.pow((v + 0.055) / 1.055, 2.4); }); return 0.2126 * r + 0.7152 * g + 0.0722 * b; };
  const ground = e => { for (; e; e = e.parentElement) { const b = parse(getComputedStyle(e).backgroundColor); if (b.a === 1) return b.rgb; } return [255, 255, 255]; };
  const faults = [];
  for (const e of document.querySelectorAll("body *")) {
    if (![...e.childNodes].some(n => n.nodeType === 3 && n.textContent.trim())) continue;
    const r = e.getBoundingClientRect(), s = getComputedStyle(e);
    if (r.width < 2 || r.height < 2 || s.visibility === "hidden") continue;
    const ink = e instanceof SVGElement ? parse(s.fill === "none" ? s.color : s.fill).rgb : parse(s.color).rgb;
    const a = lum(ink), b = lum(ground(e)), ratio = (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05);
    if (ratio < 7) faults.push(JSON.stringify(e.textContent.trim()) + " has " + ratio.toFixed(2) + ":1");
  }
  return faults;
})()`

// A depth in inches by the keys of a phone: a fraction as a rule has it, with
// the millimetres beside it, and nothing cut off. 25.4 mm to the inch by
// definition makes it 46.0375 mm.
func TestAFractionOfAnInchByTaps(t *testing.T) {
	p := openApp(t)
	p.toBench()
	p.Tap(".strip .place")
	p.TapText("Depths")
	p.TapText("mm")
	p.TapText("Depths in inches")
	p.WaitFor(`!document.querySelector(".over")`, 5*time.Second)
	time.Sleep(300 * time.Millisecond) // a key sooner is the second tap of a double tap
	for _, k := range []string{".k1", ".po", ".k1", ".k3", ".ha", ".k1", ".k6"} {
		p.Tap(".pad " + k)
	}
	p.WaitFor(`document.querySelector("#value .digits").textContent === "1 13/16" && document.querySelector("#value .other").textContent === "= 46.038 mm"`, 5*time.Second)
	shot(p.Page, "bench_fraction")
	for _, faults := range []string{fits, lies, contrasts} {
		for _, fault := range chrome.MustEval[[]string](p, faults) {
			t.Error(fault)
		}
	}
	for _, size := range [][2]int{{320, 568}, {640, 360}} {
		p.Resize(size[0], size[1])
		shot(p.Page, fmt.Sprintf("bench_fraction_%d", size[0]))
		for _, fault := range chrome.MustEval[[]string](p, lies) {
			t.Errorf("%d x %d: %s", size[0], size[1], fault)
		}
	}
}
