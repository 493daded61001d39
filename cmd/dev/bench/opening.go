package main

import (
	"fmt"
	"time"

	"portwright/cmd/dev/alone"
	"portwright/wasm/e2e/chrome"
	"portwright/wasm/e2e/served"
)

const (
	slowed = 4 // times: a phone of the workshop's class against this machine
	rounds = 5
)

// seen notes when the book can be used: its buttons are there and enabled.
const seen = `(() => {
  const look = () => {
    const b = document.querySelector("#first-look");
    if (b && !b.disabled) performance.mark("usable"); else requestAnimationFrame(look);
  };
  requestAnimationFrame(look);
})()`

func phone(r *alone.Runner, profile string) *chrome.Browser {
	return chrome.Start(r, chrome.Options{ProfileDir: profile, Width: 360, Height: 640, Mobile: true, CPUSlow: slowed, Patience: time.Minute})
}

// start opens the app and returns when its text was first painted and when it
// could be used, in seconds after the start of the navigation.
func start(p *chrome.Page, url string) (painted, usable float64) {
	p.Goto(url)
	p.WaitFor(`performance.getEntriesByName("usable").length > 0`, time.Minute)
	at := func(name string) float64 {
		return chrome.MustEval[float64](p, fmt.Sprintf(`performance.getEntriesByName(%q)[0]?.startTime ?? -1`, name)) / 1000
	}
	return at("first-contentful-paint"), at("usable")
}

// opening measures the first open, with nothing kept, and later ones without a
// server, in a browser that runs and in one that was just started.
func opening(_ string, r *alone.Runner) []row {
	var painted, first, warm, cold []float64
	app := served.App(r)
	for range rounds {
		b := phone(r, "")
		b.Before(seen)
		p, u := start(b.Page, app.URL)
		painted, first = append(painted, p), append(first, u)
		b.WaitFor(`portwright.offline === "yes"`, time.Minute)
		app.Stop()
		for range rounds {
			_, u := start(b.Page, app.URL+"?again")
			warm = append(warm, u)
		}
		b.Restart()
		b.SlowCPU(slowed)
		b.Before(seen)
		_, u = start(b.Page, app.URL)
		cold = append(cold, u)
		app.Start()
		b.Close()
	}
	seconds := func(v []float64) string { return fmt.Sprintf("%.2f s (worst %.2f)", middle(v), share(v, 1)) }
	return []row{
		{"first open to usable, CPU slowed 4x, median of 5", "2.5 s", seconds(first), judge(middle(first), 2.5)},
		{"first text on the screen, of the same", "", seconds(painted), told},
		{"later opens without network, CPU slowed 4x, median of 25", "1.2 s", seconds(warm), judge(middle(warm), 1.2)},
		{"the same right after the browser was started, median of 5", "", seconds(cold), told},
	}
}
