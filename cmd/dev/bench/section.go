package main

import (
	"fmt"
	"time"

	"portwright/cmd/dev/alone"
	"portwright/wasm/e2e/chrome"
	"portwright/wasm/e2e/served"
)

// framed times the script of each frame that the app asks for, and counts the
// frames that the browser shows.
const framed = `(() => {
  window.framed = [];
  window.shown = 0;
  const ask = requestAnimationFrame.bind(window);
  window.requestAnimationFrame = f => ask(t => {
    const begin = performance.now();
    f(t);
    framed.push(performance.now() - begin);
  });
  const count = () => { shown++; ask(count); };
  ask(count);
})()`

// sectionFrames lets the demo build's section turn.
func sectionFrames(_ string, r *alone.Runner) []row {
	const turning = 15 * time.Second
	app := served.App(r)
	b := phone(r, "")
	b.Before(framed)
	b.Goto(app.URL)
	b.WaitFor(`document.querySelector("#demo")`, time.Minute)
	b.Tap("#demo")
	b.WaitFor(`document.querySelector(".stations a")`, time.Minute)
	b.Do(`location.hash = location.hash.replace(/[a-z]+$/, "section")`)
	b.WaitFor(`document.querySelector("#section-play")`, time.Minute)
	b.Tap("#section-play")
	time.Sleep(time.Second) // the first frames come with the tap
	b.Do(`framed.length = 0; shown = 0`)
	time.Sleep(turning)
	all, shown := chrome.MustEval[[]float64](b, "framed"), chrome.MustEval[float64](b, "shown")
	return []row{
		{"section view frame, 4x, p95 of the script", "16 ms",
			fmt.Sprintf("%.1f ms (median %.1f, worst %.1f)", share(all, 0.95), middle(all), share(all, 1)), judge(share(all, 0.95), 16)},
		{"section view, 4x, frames a second", "", fmt.Sprintf("%.0f", shown/turning.Seconds()), told},
	}
}
