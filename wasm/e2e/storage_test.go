package e2e

import (
	"fmt"
	"math/rand/v2"
	"reflect"
	"strings"
	"testing"
	"time"

	"portwright/engine/book"
	"portwright/wasm/e2e/chrome"
	"portwright/wasm/e2e/served"
)

// readings are the values kept, as the wheel read them.
func readings(entries []book.Entry) int {
	n := 0
	for _, e := range entries {
		if e.Kind == book.KindReading {
			n++
		}
	}
	return n
}

func TestATickedReadingOutlivesTheBrowser(t *testing.T) {
	t.Parallel() // mostly waiting for a browser to start
	p := openApp(t)
	p.toBench()
	rng := rand.New(rand.NewPCG(1, 2))
	kept := 0
	for i := range 20 {
		for range rng.IntN(3) / 2 { // now and then a reading more in between
			p.keep()
			kept++
		}
		p.keep()
		kept++
		before := p.at()
		p.die()
		if after := p.at(); !reflect.DeepEqual(after, before) {
			t.Fatalf("kill %d: the bench shows %+v, before it was %+v", i, after, before)
		}
		if _, entries := whole(t, p); readings(entries) != kept {
			t.Fatalf("kill %d: %d readings are stored, %d had their tick", i, readings(entries), kept)
		}
	}
}

// Killed between the tap and the tick, the reading is kept whole or not at
// all. The moment of the kill hunts for the moment of the write.
func TestAKillBetweenTapAndTickLeavesNothingHalf(t *testing.T) {
	t.Parallel() // mostly waiting for a browser to start
	p := openApp(t)
	p.toBench()
	kept, lost := 0, 0
	wait, step := 60*time.Millisecond, 32*time.Millisecond
	for i := range 20 {
		before := p.at()
		v := p.value()
		p.enter(v)
		p.drafted(v)
		p.Do(`setTimeout(() => document.querySelector(".pad .keep").click(), 40)`)
		time.Sleep(wait)
		p.die()
		after := p.at()
		_, entries := whole(t, p)
		switch readings(entries) {
		case kept + 1:
			kept++
			if after.Digits != "" || after.Sub == before.Sub && after.Heading == before.Heading {
				t.Errorf("kill %d after %v: kept, but the bench shows %+v after %+v", i, wait, after, before)
			}
			wait -= step
		case kept:
			lost++
			before.Digits = v
			if !reflect.DeepEqual(after, before) {
				t.Errorf("kill %d after %v: not kept, and the bench shows %+v in place of %+v", i, wait, after, before)
			}
			for range v {
				p.TapText("erase")
			}
			wait += step
		default:
			t.Fatalf("kill %d: %d readings are stored, want %d or %d", i, readings(entries), kept, kept+1)
		}
		wait = min(max(wait, 20*time.Millisecond), 400*time.Millisecond)
		step = max(step*3/4, 2*time.Millisecond)
	}
	t.Logf("kept %d, not kept %d; the last kill came %v after the script that taps", kept, lost, wait)
	if kept == 0 || lost == 0 {
		t.Errorf("kept %d, not kept %d: the kills did not fall on both sides of the write", kept, lost)
	}
}

func TestAFullDeviceSaysNotSavedAndKeepsTheValue(t *testing.T) {
	p := openApp(t)
	p.toBench()
	origin := p.server.URL[:len(p.server.URL)-1]
	p.WaitFor(`portwright.offline === "yes"`, 30*time.Second) // the app's own files have taken their room
	// The browser looks at its quota again when it starts, at its first write.
	p.Kill9()
	p.Restart()
	p.Goto(p.server.URL + p.hash)
	p.WaitFor(`document.querySelector("#question")`, 20*time.Second)
	used := chrome.MustEval[float64](p, `navigator.storage.estimate().then(e => e.usageDetails.indexedDB ? e.usage : 0)`)
	if used == 0 {
		t.Fatal("the browser does not count the database")
	}
	p.Quota(origin, used+20_000) // a few readings' worth

	kept := 0
	var v string
	for {
		v = p.value()
		p.enter(v)
		p.Tap(".pad .keep")
		p.WaitFor(`document.querySelector(".not-saved .box") || document.querySelector("#value .digits").textContent.trim() === ""`, 20*time.Second)
		if p.Count(".not-saved .box") > 0 {
			break
		}
		if kept++; kept > 30 {
			t.Fatal("30 readings went in, the quota does not hold")
		}
	}
	t.Logf("%d readings went in", kept)
	if got := p.Text(".not-saved"); !containsAll(got, "NOT SAVED", v) {
		t.Errorf("the banner says %q, want NOT SAVED and %s", got, v)
	}
	if got := p.at(); got.Digits != v {
		t.Errorf("the field shows %q, want %s", got.Digits, v)
	}
	p.Tap("#try-again") // still full
	p.WaitFor(`document.querySelector(".not-saved .box")`, 10*time.Second)
	if _, entries := whole(t, p); readings(entries) != kept {
		t.Errorf("%d readings are stored, want %d", readings(entries), kept)
	}

	p.Quota(origin, 0)
	p.Tap("#try-again")
	p.WaitFor(`!document.querySelector(".not-saved .box")`, 10*time.Second)
	p.ticked()
	s, entries := whole(t, p)
	if readings(entries) != kept+1 || s.Unsaved != nil {
		t.Errorf("%d readings are stored, want %d; copy left behind: %v", readings(entries), kept+1, s.Unsaved != nil)
	}
}

func containsAll(text string, parts ...string) bool {
	for _, part := range parts {
		if !strings.Contains(text, part) {
			return false
		}
	}
	return true
}

func TestALostConnectionIsNotNoticed(t *testing.T) {
	p := openApp(t, watchOpen)
	p.toBench()
	p.keep()
	for i, lose := range []string{`connections.at(-1).close()`, `connections.at(-1).dispatchEvent(new Event("versionchange"))`} {
		p.Do(lose)
		p.keep()
		if _, entries := whole(t, p); readings(entries) != i+2 {
			t.Errorf("%d readings are stored, want %d", readings(entries), i+2)
		}
	}
	if n := p.Count(".not-saved .box"); n != 0 {
		t.Error("NOT SAVED is shown")
	}
	if errs := p.ConsoleErrors(); len(errs) > 0 {
		t.Errorf("the page complains: %q", errs)
	}
}

func TestTwoTabsInOneBuild(t *testing.T) {
	p := openApp(t)
	p.toBench()
	tab := &phone{Browser: &chrome.Browser{Page: p.NewTab()}, t: t, server: p.server, hash: p.hash}
	tab.Goto(p.server.URL + p.hash)
	tab.WaitFor(`document.querySelector("#question")`, 20*time.Second)
	for i := range 2 {
		in, other := p, tab
		if i%2 == 1 {
			in, other = tab, p
		}
		in.keep()
		want := in.at()
		other.WaitFor(fmt.Sprintf(`document.querySelector(".ask p").textContent.trim() === %q`, want.Sub), 10*time.Second)
		if got := other.at(); !reflect.DeepEqual(got, want) {
			t.Errorf("the other tab shows %+v, want %+v", got, want)
		}
	}
	// Both at once, neither knowing of the other's.
	v := p.value()
	p.enter(v)
	tab.enter(v)
	p.Do(`document.querySelector(".pad .keep").click()`)
	tab.Do(`document.querySelector(".pad .keep").click()`)
	for _, on := range []*phone{p, tab} {
		on.ticked()
	}
	_, entries := whole(t, p)
	if readings(entries) != 4 {
		t.Errorf("%d readings are stored, want 4", readings(entries))
	}
}

// A value that two tabs show, because the second opened the first one's draft,
// is one reading: kept by both at once it is stored once, and kept by one it
// goes from the other's hand.
func TestADraftInTwoTabsIsStoredOnce(t *testing.T) {
	p := openApp(t)
	p.toBench()
	for round, both := range []bool{true, false} {
		v := p.value()
		p.enter(v)
		p.drafted(v)
		tab := &phone{Browser: &chrome.Browser{Page: p.NewTab()}, t: t, server: p.server, hash: p.hash}
		tab.Goto(p.server.URL + p.hash)
		tab.WaitFor(fmt.Sprintf(`document.querySelector("#value .digits")?.textContent.trim() === %q`, v), 20*time.Second)
		p.Do(`document.querySelector(".pad .keep").click()`)
		if both {
			tab.Do(`document.querySelector(".pad .keep").click()`)
		}
		for _, on := range []*phone{p, tab} {
			on.ticked()
			on.asks("Exhaust opens", fmt.Sprintf("reading %d of 3", round+2))
		}
		if _, entries := whole(t, p); readings(entries) != round+1 {
			t.Errorf("both %v: %d readings are stored, want %d", both, readings(entries), round+1)
		}
		tab.Page.Close()
	}
}

func TestAHalfTypedValueOutlivesTheBrowser(t *testing.T) {
	p := openApp(t)
	p.toBench()
	p.keep()
	for i, typed := range []string{"1", "10", "104."} {
		p.enter(typed)
		before := p.at()
		p.drafted(typed)
		p.die()
		if after := p.at(); !reflect.DeepEqual(after, before) {
			t.Errorf("kill %d: the bench shows %+v, want %+v", i, after, before)
		}
		for range typed {
			p.TapText("erase")
		}
		p.WaitFor(`document.querySelector("#value .digits").textContent.trim() === ""`, 5*time.Second)
	}
}

func TestABookThatCannotBeOpenedIsSaid(t *testing.T) {
	p := openApp(t, `IDBFactory.prototype.open = () => { throw new DOMException("denied", "SecurityError"); };`)
	if got := p.Text("[role=alert].alert"); !containsAll(got, "can't be opened") {
		t.Errorf("the app says %q", got)
	}
	p.Tap("#first-look")
	p.WaitFor(`document.querySelector(".not-saved .box")`, 10*time.Second)
	if got := p.Text(".not-saved"); !containsAll(got, "NOT SAVED") {
		t.Errorf("the banner says %q", got)
	}
}

// What the app itself can't survive ends in plain words, not in a white page.
func TestAFaultOfTheAppIsSaidInPlainWords(t *testing.T) {
	p := &phone{t: t, server: served.App(t)}
	p.Browser = chrome.Start(t, chrome.Options{Width: 360, Height: 640, Mobile: true})
	p.Before(`Object.defineProperty(window, "portwrightRender", {get: () => ({version: 0}), set() {}})`)
	p.Goto(p.server.URL)
	if got := p.Text("#crashed"); !containsAll(got, "The app has stopped", "had its tick is kept") {
		t.Errorf("the page says %q", got)
	}
	time.Sleep(time.Second) // the boot script takes it for the first view
	p.TapText("Repair page")
	p.WaitFor(`location.pathname === "/repair"`, 5*time.Second)
}

// A browser that has thrown the book away must not look like a new one.
func TestAnEmptiedBrowserIsSaid(t *testing.T) {
	// Without a sync, which would bring the book back: each page holds its lock.
	p := openApp(t, `navigator.locks.request("portwright-sync", () => new Promise(() => {}));`)
	p.toBench()
	p.keep()
	p.Do(`new Promise((ok, no) => { const r = indexedDB.deleteDatabase("portwright"); r.onsuccess = ok; r.onerror = no; })`)
	for _, hash := range []string{p.hash, ""} {
		p.Goto(p.server.URL + "build.json") // away and back: another hash alone is no new start
		p.Goto(p.server.URL + hash)
		p.WaitFor(`document.querySelector("[data-station]")`, 20*time.Second)
		if got := p.Text("[role=alert].alert"); !containsAll(got, "thrown away", "file you saved last") {
			t.Errorf("at %q the app says %q", hash, got)
		}
	}
}
