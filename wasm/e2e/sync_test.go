//go:build unix

package e2e

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"os"
	"strings"
	"syscall"
	"testing"
	"time"

	"portwright/server/wire"
	"portwright/wasm/e2e/chrome"
	"portwright/wasm/e2e/served"
)

// phoneAt opens the app of a server that runs already.
func phoneAt(t *testing.T, server *served.Server) *phone {
	t.Helper()
	p := &phone{t: t, server: server}
	p.Browser = chrome.Start(t, chrome.Options{Width: 360, Height: 640, Mobile: true})
	p.Goto(server.URL)
	p.WaitFor(`document.querySelector("[data-station=book]")`, 20*time.Second)
	return p
}

// toBook goes to the book and waits until its line about the shop PC says so.
func (p *phone) toBook(says string) {
	p.t.Helper()
	p.Do(`location.hash = ""`)
	p.WaitFor(fmt.Sprintf(`document.querySelector(".book-sync")?.textContent.includes(%q)`, says), 20*time.Second)
}

// syncs asks for a sync and waits until both hold the same.
func (p *phone) syncs() {
	p.t.Helper()
	before := p.sameMS()
	p.toBook("")
	p.Tap("#sync-now")
	until := time.Now().Add(20 * time.Second)
	for p.sameMS() <= before {
		if time.Now().After(until) {
			p.t.Fatalf("the sync does not end well: %s", p.Text(".book-sync"))
		}
		time.Sleep(50 * time.Millisecond)
	}
	p.toBook("On the shop PC, ")
}

// inDatabase asks the database.
func inDatabase[V any](p *phone, store, ask string) V {
	p.t.Helper()
	return chrome.MustEval[V](p, fmt.Sprintf(`new Promise((ok, no) => {
		const open = indexedDB.open("portwright");
		open.onerror = no;
		open.onsuccess = () => {
			const get = open.result.transaction(%q).objectStore(%q).%s;
			get.onsuccess = () => { open.result.close(); ok(get.result ?? null); };
		};
	})`, store, store, ask))
}

// sameMS is when the phone last held the same as the shop PC.
func (p *phone) sameMS() int64 {
	p.t.Helper()
	var saved struct {
		SameMS int64 `json:"same_ms"`
	}
	if text := inDatabase[string](p, "meta", `get("sync")`); text != "" {
		if err := json.Unmarshal([]byte(text), &saved); err != nil {
			p.t.Fatalf("%s: %v", text, err)
		}
	}
	return saved.SameMS
}

// holds is every entry of the phone, in the order of device and number.
func (p *phone) holds() string {
	p.t.Helper()
	var texts []string
	for _, v := range inDatabase[[]struct{ Entry string }](p, "entries", `getAll()`) {
		texts = append(texts, v.Entry)
	}
	return strings.Join(texts, "\n")
}

// atServer is how many entries the shop PC holds.
func atServer(t *testing.T, s *served.Server) int {
	t.Helper()
	answer, err := http.Get(s.URL + "api/v1/have")
	if err != nil {
		t.Fatal(err)
	}
	defer answer.Body.Close()
	body, err := io.ReadAll(answer.Body)
	if err != nil {
		t.Fatal(err)
	}
	var have struct{ Entries int }
	if err := json.Unmarshal(body, &have); err != nil {
		t.Fatalf("%s: %v", body, err)
	}
	return have.Entries
}

// give gives the shop PC the first entry of a device.
func give(t *testing.T, s *served.Server, device, entry string) {
	t.Helper()
	body := wire.AppendPush(nil, &wire.Push{Device: device, Runs: []wire.Run{{Device: device, From: 1, Before: wire.Chain{}.String(), Entries: []json.RawMessage{[]byte(entry)}}}})
	answer, err := http.Post(s.URL+"api/v1/push", "application/json", bytes.NewReader(body))
	if err != nil {
		t.Fatal(err)
	}
	defer answer.Body.Close()
	said, err := io.ReadAll(answer.Body)
	if err != nil || !strings.Contains(string(said), `"taken":1`) {
		t.Fatalf("%d, %v: %s", answer.StatusCode, err, said)
	}
}

// stroke gives the stroke of the build at the engine.
func (p *phone) stroke(value string) {
	p.t.Helper()
	p.Do(`location.hash = "` + strings.Replace(p.hash[1:], "/bench", "/engine", 1) + `"`)
	p.field("engine.stroke_mm")
	p.TypeKeys(value + "\n")
	p.WaitFor(`document.querySelector("#field-title")?.textContent === "rod length"`, 10*time.Second)
}

// Two phones read one engine without a network; afterwards both have all of it
// and so has the shop PC, also when that is killed with a push in its hands, and
// when its folder is replaced by last week's.
func TestTwoPhonesAndAShopPC(t *testing.T) {
	server := served.App(t)
	a, b := phoneAt(t, server), phoneAt(t, server)
	a.toBench()
	a.syncs()
	b.syncs()
	b.Tap(".build-open:not(#demo)")
	b.WaitFor(`document.querySelector("[data-station]:not([data-station=book])")`, 10*time.Second)
	b.hash = a.hash

	server.Stop()
	for _, p := range []*phone{a, b} {
		p.Do(`location.hash = "` + p.hash[1:] + `"`)
		p.WaitFor(`document.querySelector("#question")`, 10*time.Second)
		p.skipStops()
		p.keep()
		p.keep()
	}
	a.stroke("32")
	b.stroke("32.5")
	a.toBook("4 entries not yet on the shop PC") // the pass, two readings, the stroke
	a.toBook("Shop PC not reached; tries again.")
	shot(a.Page, "sync_waiting")

	server.Start()
	a.syncs()
	b.syncs()
	a.syncs()
	if a.holds() != b.holds() || strings.Count(a.holds(), `"kind":"reading"`) != 4 {
		t.Errorf("one phone holds\n%s\nthe other\n%s", a.holds(), b.holds())
	}
	if got := a.Text(".builds"); !strings.Contains(got, "1 pass") {
		t.Errorf("what both read is not one pass: %s", got)
	}
	shot(a.Page, "sync_done")

	// What both set stands there twice until a person chooses, on one of them.
	engine := strings.Replace(a.hash[1:], "/bench", "/engine", 1)
	for _, p := range []*phone{a, b} {
		p.Do(`location.hash = "` + engine + `"`)
		p.WaitFor(`document.querySelectorAll(".conflict .choices button").length === 2`, 10*time.Second)
		for _, want := range []string{"32 mm", "32.5 mm", "on this device", "on device "} {
			if got := p.Text(".conflict"); !strings.Contains(got, want) {
				t.Errorf("the conflict does not show %q: %s", want, got)
			}
		}
	}
	shot(a.Page, "sync_conflict")
	b.TapText("32 mm")
	b.WaitFor(`!document.querySelector(".conflict")`, 10*time.Second)
	b.syncs()
	a.syncs()
	a.Do(`location.hash = "` + engine + `"`)
	a.WaitFor(`document.querySelector("[data-station=engine]") && !document.querySelector(".conflict")`, 10*time.Second)

	// The shop PC's folder as it is now comes back later.
	server.Stop()
	lastWeek := t.TempDir()
	if err := os.CopyFS(lastWeek, os.DirFS(server.Data())); err != nil {
		t.Fatal(err)
	}
	server.Start()

	// It is killed while it holds a push.
	a.Do(`location.hash = "` + a.hash[1:] + `"`)
	a.WaitFor(`document.querySelector("#question")`, 10*time.Second)
	a.Do(`asked = 0; const plain = fetch; fetch = (...all) => { asked++; return plain(...all); }`)
	if err := syscall.Kill(server.PID(), syscall.SIGSTOP); err != nil {
		t.Fatal(err)
	}
	a.keep()
	a.WaitFor(`asked > 0`, 10*time.Second)
	if err := syscall.Kill(server.PID(), syscall.SIGKILL); err != nil {
		t.Fatal(err)
	}
	server.Stop()
	server.Start()
	a.syncs()
	b.syncs()
	if a.holds() != b.holds() {
		t.Errorf("after the kill one phone holds\n%s\nthe other\n%s", a.holds(), b.holds())
	}
	all := strings.Count(a.holds(), "\n") + 1
	if got := atServer(t, server); got != all {
		t.Errorf("the shop PC holds %d entries, the phones %d", got, all)
	}

	server.Stop()
	if err := os.RemoveAll(server.Data()); err != nil {
		t.Fatal(err)
	}
	if err := os.CopyFS(server.Data(), os.DirFS(lastWeek)); err != nil {
		t.Fatal(err)
	}
	server.Start()
	if got := atServer(t, server); got >= all {
		t.Fatalf("last week's folder holds %d entries", got)
	}
	b.syncs() // what a wrote comes back from b
	if got := atServer(t, server); got != all {
		t.Errorf("after last week's folder came back the shop PC holds %d entries, the phones %d", got, all)
	}
	// What an app of a newer version wrote comes byte for byte and hinders nothing.
	newer := fmt.Sprintf(`{"id":"0190cccc-0000-7000-8000-000000000001","device":"newer","seq":1, "build":%q,"kind":"mark","more":[1.50]}`, strings.Split(a.hash, "/")[1])
	give(t, server, "newer", newer)
	a.syncs()
	if !strings.Contains(a.holds(), newer) {
		t.Errorf("the newer entry is not there as it came: %s", a.holds())
	}
	a.Do(`location.hash = "` + a.hash[1:] + `"`)
	a.WaitFor(`document.querySelector("#question")`, 10*time.Second)
	a.keep()
	a.syncs()

	// While another window of the browser syncs, this one waits.
	a.Do(`letGo = null; navigator.locks.request("portwright-sync", () => new Promise(let => { letGo = let; })); 0`)
	a.WaitFor(`letGo`, 10*time.Second)
	a.Do(`asked = 0`)
	a.toBook("")
	a.Tap("#sync-now")
	time.Sleep(700 * time.Millisecond)
	if asked := chrome.MustEval[int](a, `asked`); asked != 0 {
		t.Errorf("it asked %d times while another window held the sync", asked)
	}
	a.Do(`letGo()`)
	a.WaitFor(`asked > 0`, 10*time.Second)
	for _, p := range []*phone{a, b} {
		if errs := p.ConsoleErrors("/api/v1/"); len(errs) > 0 {
			t.Errorf("console: %q", errs)
		}
	}
}

const copyBook = `new Promise((ok, no) => {
	const open = indexedDB.open("portwright");
	open.onerror = no;
	open.onsuccess = () => {
		const tx = open.result.transaction(["entries", "meta", "cards"]), out = {};
		for (const name of tx.objectStoreNames) out[name] = [tx.objectStore(name).getAllKeys(), tx.objectStore(name).getAll()];
		tx.oncomplete = () => {
			for (const name in out) out[name] = out[name].map(r => r.result);
			open.result.close();
			ok(JSON.stringify(out));
		};
	};
})`

const pasteBook = `new Promise((ok, no) => {
	const all = %s, open = indexedDB.open("portwright");
	open.onerror = no;
	open.onsuccess = () => {
		const tx = open.result.transaction(["entries", "meta", "cards"], "readwrite");
		for (const name in all) all[name][0].forEach((key, i) => tx.objectStore(name).put(all[name][1][i], key));
		tx.oncomplete = () => { open.result.close(); ok(); };
	};
})`

// A phone that was copied to another one writes under the same name as its
// copy. The second that comes to the shop PC gives its branch a new name, and
// both end with every reading.
func TestACopiedPhoneGetsAName(t *testing.T) {
	server := served.App(t)
	a, c := phoneAt(t, server), phoneAt(t, server)
	a.toBench()
	a.keep()
	a.syncs()
	c.syncs() // nothing of it is under way when its book is replaced
	server.Stop()
	c.Do(fmt.Sprintf(pasteBook, chrome.MustEval[string](a, copyBook)))
	c.hash = a.hash
	name := func(p *phone) string {
		return inDatabase[struct{ Device string }](p, "meta", `get("head")`).Device
	}
	if name(a) != name(c) {
		t.Fatalf("the copy writes as %s, the phone as %s", name(c), name(a))
	}
	c.Restart()
	server.Start()
	c.Goto(server.URL + c.hash)
	c.WaitFor(`document.querySelector("#question")`, 20*time.Second)
	a.Do(`location.hash = "` + a.hash[1:] + `"`)
	a.WaitFor(`document.querySelector("#question")`, 10*time.Second)
	server.Stop()
	for _, p := range []*phone{a, c} {
		p.skipStops()
		p.keep()
		p.keep()
	}
	server.Start()
	a.syncs()
	c.syncs()
	a.syncs()
	if a.holds() != c.holds() || strings.Count(a.holds(), `"kind":"reading"`) != 5 {
		t.Errorf("one phone holds\n%s\nthe other\n%s", a.holds(), c.holds())
	}
	if name(a) == name(c) {
		t.Errorf("both still write as %s", name(a))
	}
	c.Do(`location.hash = "` + c.hash[1:] + `"`)
	c.WaitFor(`document.querySelector("#question")`, 10*time.Second)
	c.keep()
	c.syncs()
	if errs := c.ConsoleErrors("/api/v1/"); len(errs) > 0 {
		t.Errorf("console: %q", errs)
	}
	if got, want := atServer(t, server), strings.Count(c.holds(), "\n")+1; got != want {
		t.Errorf("the shop PC holds %d entries, the phone %d", got, want)
	}
}
