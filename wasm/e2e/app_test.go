package e2e

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"
	"time"

	"portwright/wasm/e2e/chrome"
	"portwright/wasm/e2e/served"
)

// phone is the app in a browser of a phone's size, with a profile of its own.
type phone struct {
	*chrome.Browser
	t      *testing.T
	server *served.Server
	hash   string // where the build in hand is, "#..."
}

// openApp starts the app's server and opens the app with a fresh profile at
// 360 x 640; before runs ahead of the page's own scripts.
func openApp(t *testing.T, before ...string) *phone {
	t.Helper()
	p := &phone{t: t, server: served.App(t)}
	p.Browser = chrome.Start(t, chrome.Options{Width: 360, Height: 640, Mobile: true})
	for _, script := range before {
		p.Before(script)
	}
	p.Goto(p.server.URL)
	p.WaitFor(`document.querySelector("[data-station=book]")`, 20*time.Second)
	return p
}

// opening and closing readings that belong together: none of them is odd.
var plausible = map[string]string{
	"Exhaust opens": "104.5", "Exhaust closes": "256",
	"Transfer opens": "121", "Transfer closes": "239.5",
	"Intake opens": "286", "Intake closes": "74.5",
}

// value is what a wheel would read at the question in hand, such as "Transfer
// front left opens".
func (p *phone) value() string {
	p.t.Helper()
	words := strings.Fields(p.at().Heading)
	v := plausible[words[0]+" "+words[len(words)-1]]
	if v == "" {
		p.t.Fatalf("no reading belongs to the question %q", words)
	}
	return v
}

// toBench makes a build with six windows and goes to its first event.
func (p *phone) toBench() {
	p.t.Helper()
	p.Tap("#whole-build")
	p.WaitFor(`document.querySelector("[data-station=engine]")`, 10*time.Second)
	p.TapText("Bench")
	p.TapText("Exhaust, four transfers, intake")
	p.WaitFor(`document.querySelector("#question")`, 10*time.Second)
	p.skipStops()
	p.hash = chrome.MustEval[string](p, "location.hash")
	p.drafted("")
}

// skipStops goes on to the first event.
func (p *phone) skipStops() {
	p.t.Helper()
	for strings.Contains(p.at().Heading, "stop") {
		p.TapText("skip")
		p.WaitFor(`!document.querySelector("#question").textContent.includes("stop")`, 5*time.Second)
	}
}

// drafted waits until what is in hand is in the database: it is written without
// a tick that could be waited for.
func (p *phone) drafted(text string) {
	p.t.Helper()
	until := time.Now().Add(10 * time.Second)
	for {
		var drafts []string
		for _, d := range chrome.MustEval[stored](p, readStored).Drafts {
			var hand struct{ Text string }
			if err := json.Unmarshal([]byte(d), &hand); err != nil {
				p.t.Fatalf("draft %s: %v", d, err)
			}
			if hand.Text == text {
				return
			}
			drafts = append(drafts, d)
		}
		if time.Now().After(until) {
			p.t.Fatalf("%q is not stored as a draft: %s", text, drafts)
		}
		time.Sleep(20 * time.Millisecond)
	}
}

// place is what the bench shows: the question, the kept readings of it and the
// value in hand.
type place struct {
	Heading string   `json:"heading"`
	Sub     string   `json:"sub"`
	Chips   []string `json:"chips"`
	Digits  string   `json:"digits"`
}

const readPlace = `(() => ({
  heading: document.querySelector("#question").textContent.trim(), sub: document.querySelector(".ask p").textContent.trim(),
  chips: [...document.querySelectorAll(".tape .chips button")].map(b => b.textContent.trim()), digits: document.querySelector("#value .digits").textContent.trim()}))()`

func (p *phone) at() place {
	p.t.Helper()
	return chrome.MustEval[place](p, readPlace)
}

// enter taps a value's keys without keeping it.
func (p *phone) enter(value string) {
	p.t.Helper()
	for _, key := range value {
		if key == '.' {
			p.Tap(".pad .po")
		} else {
			p.Tap(fmt.Sprintf(".pad .k%c", key))
		}
	}
	p.WaitFor(fmt.Sprintf(`document.querySelector("#value .digits").textContent.trim() === %q`, value), 5*time.Second)
}

// keep enters what the question in hand would read, keeps it and waits for the
// tick: the field is empty again only once the reading is durable.
func (p *phone) keep() {
	p.t.Helper()
	p.enter(p.value())
	p.Tap(".pad .keep")
	p.ticked()
}

func (p *phone) ticked() {
	p.t.Helper()
	p.WaitFor(`document.querySelector("#value .digits")?.textContent.trim() === "" && !document.querySelector(".value[data-writing=true]")`, 10*time.Second)
}

// die kills the browser as a flat battery would and opens the app again at the
// build in hand.
func (p *phone) die() {
	p.t.Helper()
	p.Kill9()
	p.again()
}

func (p *phone) again() {
	p.t.Helper()
	p.Restart()
	p.Goto(p.server.URL + p.hash)
	p.WaitFor(`document.querySelector("#question")`, 20*time.Second)
}
