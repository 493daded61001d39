//go:build !js

package rendertest

import (
	"slices"
	"time"

	"portwright/wasm/e2e/chrome"
)

// Times says how long a table of 2,000 rows (scene "rows") takes. Update is
// one tap that changes one text: handler, build of all rows, comparison and
// page change, without layout and paint.
type Times struct {
	FirstMS                  float64 // until the rows stand in the page
	UpdateMS, UpdateWorstMS  float64 // median and largest of the taps
	UpdateCPUMS              float64 // mean of the taps in processor time
	Nodes, ProgramBytesFirst int
}

// Measure opens the table and taps n times.
func Measure(p *chrome.Page, url string, n int) Times {
	p.Goto("about:blank")
	p.Goto(url + "/#rows")
	p.WaitFor("window.rt", time.Minute)
	type state struct{ Nodes, Code, Text int }
	s := chrome.MustEval[state](p, "rt.stats()")
	t := Times{
		FirstMS: chrome.MustEval[float64](p, "rt.firstMS"),
		Nodes:   s.Nodes, ProgramBytesFirst: s.Code + s.Text,
	}
	before := p.Metrics()["ScriptDuration"]
	times := make([]float64, 0, n)
	for range n {
		times = append(times, chrome.MustEval[float64](p, `new Promise(done => setTimeout(() => {
			const begin = performance.now();
			document.querySelector("#plus").click();
			done(performance.now() - begin);
		}, 5))`))
	}
	t.UpdateCPUMS = (p.Metrics()["ScriptDuration"] - before) * 1000 / float64(n)
	slices.Sort(times)
	t.UpdateMS, t.UpdateWorstMS = times[len(times)/2], times[len(times)-1]
	return t
}
