package main

import (
	"fmt"
	"time"

	"portwright/cmd/dev/alone"
	"portwright/wasm/e2e/bigbook"
	"portwright/wasm/e2e/chrome"
	"portwright/wasm/e2e/served"
)

// painted times each tap on the keypad: from the time stamp at which the finger
// was lifted, and that at which it touched, to the first moment after the frame
// in which the digits had changed.
const painted = `(() => {
  window.taps = [];
  window.touches = [];
  let touched = 0, lifted = 0, before = "";
  addEventListener("pointerup", e => { lifted = e.timeStamp; }, { capture: true, passive: true });
  const digits = () => document.querySelector("#value .digits")?.textContent ?? "";
  addEventListener("pointerdown", e => {
    if (!e.target.closest(".pad")) return;
    touched = e.timeStamp;
    before = digits();
    const look = () => {
      if (digits() === before) { if (performance.now() - touched < 2000) requestAnimationFrame(look); return; }
      const after = new MessageChannel();
      after.port1.onmessage = () => { const now = performance.now(); touches.push(now - touched); taps.push(now - lifted); };
      after.port2.postMessage(0);
    };
    requestAnimationFrame(look);
  }, { capture: true, passive: true });
})()`

// keyTap measures the bench's keypad with a large book on the phone.
func keyTap(_ string, r *alone.Runner) []row {
	const builds, readings, taps = 1000, 50, 120
	big, err := bigbook.Make(builds, readings)
	r.Must(err)
	app := served.App(r)
	b := phone(r, "")
	b.Goto(app.URL + "repair")
	r.Must(big.Fill(b.Page))
	b.Before(painted)
	begin := time.Now()
	b.Goto(app.URL)
	b.WaitFor(`document.querySelector("#first-look") && !document.querySelector("#first-look").disabled`, time.Minute)
	shown := time.Since(begin).Seconds()
	b.Tap("#first-look")
	b.WaitFor(`document.querySelector("[data-station=bench]")`, time.Minute)
	if chrome.MustEval[bool](b, `!document.querySelector("#question")`) {
		b.TapText("Exhaust, four transfers, intake")
		b.WaitFor(`document.querySelector("#question")`, time.Minute)
	}
	for n := 0; n < taps; n++ {
		key := fmt.Sprintf(".pad .k%d", n%9+1)
		if n%2 == 1 {
			key = ".pad .er"
		}
		b.Tap(key)
		time.Sleep(200 * time.Millisecond) // asking the page sooner would take its time
		b.WaitFor(fmt.Sprintf(`taps.length === %d`, n+1), 10*time.Second)
	}
	all, touches := chrome.MustEval[[]float64](b, "taps"), chrome.MustEval[[]float64](b, "touches")
	return []row{
		{fmt.Sprintf("key tap to painted digit, 4x slowed, %dk readings, p95", builds*readings/1000), "50 ms",
			fmt.Sprintf("%.0f ms (median %.0f, worst %.0f)", share(all, 0.95), middle(all), share(all, 1)), judge(share(all, 0.95), 50)},
		{"the same from the touch: the tap of this measurement lasts a while", "", fmt.Sprintf("%.0f ms (median %.0f)", share(touches, 0.95), middle(touches)), told},
		{fmt.Sprintf("opening that book of %d builds, 4x slowed, once", builds), "", fmt.Sprintf("%.2f s", shown), told},
	}
}
