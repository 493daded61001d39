// Command shots takes pictures of every station, on a phone's screen and a wide
// one, in both themes, into a folder; with -readme the few that the README
// shows. Start it with
//
//	go run ./cmd/dev shots DIR
//	go run ./cmd/dev readme
package main

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"time"

	"portwright/cmd/dev/alone"
	"portwright/wasm/e2e/chrome"
	"portwright/wasm/e2e/served"
)

const soon = 20 * time.Second

// screens are the sizes and themes that each station is shown in.
var screens = []struct {
	name          string
	width, height int
	mobile, dark  bool
}{
	{"phone-day", 360, 640, true, false},
	{"phone-shed", 360, 640, true, true},
	{"wide-day", 1280, 800, false, false},
	{"wide-shed", 1280, 800, false, true},
}

func main() {
	readme := flag.Bool("readme", false, "only what the README shows")
	flag.Parse()
	if flag.NArg() != 1 {
		fmt.Fprintln(os.Stderr, "usage: shots [-readme] DIR")
		os.Exit(2)
	}
	work := pictures
	if *readme {
		work = forReadme
	}
	if err := alone.Guard(func(r *alone.Runner) { work(r, flag.Arg(0)) }); err != nil {
		fmt.Fprintln(os.Stderr, "shots:", err)
		os.Exit(1)
	}
}

func pictures(r *alone.Runner, dir string) {
	for _, s := range screens {
		app := served.App(r) // its own: two devices of one shop PC would share what they set
		b := chrome.Start(r, chrome.Options{Width: s.width, Height: s.height, Mobile: s.mobile, Dark: s.dark})
		take(b, app.URL, func(station string) {
			file := filepath.Join(dir, station+"-"+s.name+".png")
			b.Screenshot(file)
			fmt.Println(file)
		})
		b.Close()
		app.Stop()
	}
}

// take goes through the app as a newcomer does: the empty book, the demo build's
// stations, then a first look of one's own with a number half typed.
func take(b *chrome.Browser, url string, shot func(station string)) {
	at := func(station string) {
		b.WaitFor(fmt.Sprintf(`document.querySelector("[data-station=%s]") && document.fonts.status === "loaded"`, station), soon)
	}
	b.Goto(url)
	at("book")
	shot("book-empty")
	b.Tap("#demo")
	b.WaitFor(`document.querySelector(".stations a")`, soon)
	for _, to := range []struct{ link, station, name string }{
		{"Findings", "findings", "findings"}, {"Engine", "engine", "engine"}, {"Bench", "bench", "bench-demo"},
	} {
		b.Do(fmt.Sprintf(`location.hash = [...document.querySelectorAll(".stations a")].find(a => a.textContent.trim() === %q).getAttribute("href")`, to.link))
		at(to.station)
		shot(to.name)
	}
	section(b, at, shot)
	cuts(b, at, shot)
	sheet(b, at, shot)
	b.Goto(url)
	at("book")
	shot("book")
	b.Tap("#first-look")
	at("bench")
	if chrome.MustEval[bool](b, `!document.querySelector("#question")`) {
		shot("bench-windows")
		b.TapText("Exhaust, four transfers, intake")
		b.WaitFor(`document.querySelector("#question")`, soon)
	}
	b.Tap(".pad .k1")
	b.Tap(".pad .k0")
	b.Tap(".pad .k4")
	shot("bench")

	b.Goto(url + "repair")
	b.WaitFor(`document.querySelector("#readings").textContent.includes("entries")`, soon)
	shot("repair")
}

// section turns the crank to the exhaust's opening and into the scavenging.
func section(b *chrome.Browser, at func(string), shot func(string)) {
	b.Do(`location.hash = location.hash.replace(/[a-z]+$/, "section")`)
	at("section")
	b.Tap("#section-next")
	b.Tap("#section-next")
	b.WaitFor(`document.querySelector("#section-title").textContent === "Exhaust opens"`, soon)
	shot("section")
	for range 3 {
		b.Tap("#section-next")
	}
	b.Tap(".section-keys button")
	shot("section-scavenging")
}

// cuts plans the demo build: squish and the exhaust, with three moves allowed;
// the screen is then shown part by part, and the same as a what-if.
func cuts(b *chrome.Browser, at func(string), shot func(string)) {
	b.Do(`location.hash = [...document.querySelectorAll(".stations a")].find(a => a.textContent.trim() === "Cuts").getAttribute("href")`)
	at("cuts")
	shot("cuts-empty")
	b.TapText("+ exhaust opens")
	b.WaitFor(`document.querySelector("#want-exhaust_opens_deg")`, soon)
	for range 3 {
		b.Tap(`[aria-label="Less: Exhaust opens"]`)
	}
	b.WaitFor(`document.querySelector("#want-exhaust_opens_deg").textContent.trim() === "100.0°"`, soon)
	b.WaitFor(`document.querySelector(".strip .kept.tick")`, soon)
	for i, name := range []string{"Exhaust roof raised", "Transfer roof raised"} {
		b.Tap(fmt.Sprintf(`.allows li:nth-child(%d) .button`, i+4))
		b.WaitFor(fmt.Sprintf(`[...document.querySelectorAll(".allows [aria-pressed=true]")].some(e => e.textContent.trim() === %q)`, name), soon)
	}
	b.WaitFor(`document.querySelector(".cuts-steps")`, soon)
	for i, to := range []string{".cuts-head", ".cuts-say", ".cuts-steps", "#numbers-title", "#windows-title", ".allows", ".cuts-rules details"} {
		b.Do(fmt.Sprintf(`document.querySelector(%q).scrollIntoView()`, to))
		shot(fmt.Sprintf("cuts-%d", i+1))
	}
	b.TapText("What if")
	b.WaitFor(`document.querySelector("#tries-title")`, soon)
	b.Do(`scrollTo(0, 0)`)
	shot("cuts-what-if")
}

// sheet is the sheet of the same build with its plan, part by part.
func sheet(b *chrome.Browser, at func(string), shot func(string)) {
	b.Do(`location.hash = [...document.querySelectorAll(".stations a")].find(a => a.textContent.trim() === "Sheet").getAttribute("href")`)
	at("sheet")
	b.WaitFor(`document.querySelector(".paper .moves")`, soon) // what was allowed last may still be on its way to the disk
	b.Do(`scrollTo(0, 0)`)
	shot("sheet")
	for i, to := range []string{".paper .states", ".paper svg.ring", ".paper svg.portmap", ".paper .moves", ".paper footer"} {
		b.Do(fmt.Sprintf(`document.querySelector(%q).scrollIntoView()`, to))
		shot(fmt.Sprintf("sheet-%d", i+1))
	}
}
