// Package chrome drives a real headless Chrome or Chromium for tests and
// measurements: taps and keys go in as input events, not as script calls, and
// whatever the page reports as an error is collected.
//
//	b := chrome.Start(t, chrome.Options{Width: 360, Height: 640, Mobile: true})
//	b.Goto(server.URL)
//	b.TapText("Keep")
//	b.WaitFor(`document.querySelector(".tick")`, 2*time.Second)
//	if errs := b.ConsoleErrors(); len(errs) > 0 { t.Error(errs) }
//
// Every wait is bounded. A step that can't be done ends the test with the
// reason and with what the page shows at that moment.
package chrome
