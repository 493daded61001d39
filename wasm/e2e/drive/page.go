// Package drive lets one test run in several browsers: Chromium (package
// chrome), Firefox over WebDriver BiDi and WebKitGTK over WebDriver. Taps and
// keys go in as input events in each.
//
//	p, ok := drive.Firefox(t, drive.Options{Width: 360, Height: 640})
//	if !ok { return } // it is not installed, which was said
//	p.Goto(server.URL)
//	p.TapText("Keep")
//	p.WaitFor(`document.querySelector(".tick")`, 2*time.Second)
//
// Sources of the protocols: W3C, WebDriver BiDi; W3C, WebDriver 2.
package drive

import (
	_ "embed"
	"encoding/json"
	"fmt"
	"time"

	"portwright/wasm/e2e/chrome"
)

// Page is one tab. Its methods end the test when a step fails; every wait is
// bounded. chrome.Browser is one too.
type Page interface {
	Goto(url string)
	Reload()
	Tap(selector string)  // the first that matches, once it can be touched
	TapText(text string)  // the control with this accessible name or text
	TypeKeys(text string) // a line break is Enter
	Press(key string)     // a name of KeyboardEvent.key
	Text(selector string) string
	WaitFor(cond string, d time.Duration)
	Evaluate(expr string) (json string, err error) // a promise is awaited
	Do(script string)
	Screenshot(path string)
	ConsoleErrors(except ...string) []string
	Shows() string
}

var _ Page = (*chrome.Browser)(nil)

// Eval returns the value of a JavaScript expression and ends the test where
// there is none.
func Eval[V any](t chrome.T, p Page, expr string) (v V) {
	t.Helper()
	text, err := p.Evaluate(expr)
	if err == nil {
		err = json.Unmarshal([]byte(text), &v)
	}
	if err != nil {
		t.Fatalf("%s: %v\n%s", expr, err, p.Shows())
	}
	return v
}

// Measure is JavaScript that lists what on the screen is too small or too near
// for a finger, or too faint: targets under 44 px either way, keys of the bench
// under 72 px or less than 8 px apart on a phone, or scrolled; targets that lie
// over each other; text with less than 7 to 1 to its ground.
//
//go:embed measure.js
var Measure string

// asText makes an expression a promise of its value as JSON.
func asText(expr string) string {
	return fmt.Sprintf("(async () => JSON.stringify((await (%s)) ?? null))()", expr)
}
