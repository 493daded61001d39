package offline

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"portwright/server/httpapi"
	"portwright/wasm/e2e/chrome"
)

// waiting brings the page's browser to the point where next waits beside v.
func waiting(s *site, p *chrome.Page, v, next version) {
	s.t.Helper()
	installed(s, p, v)
	s.update(next, v)
	if got := checkForUpdate(p); got != "installed" {
		s.t.Fatalf("the install of the new version ended as %q", got)
	}
	p.WaitFor(waits(next), soon)
}

func TestNewVersionWaitsForATap(t *testing.T) {
	a, next := packed(t, "stub", "a"), packed(t, "stub", "b")
	s := newSite(t, a)
	b := phone(t)
	installed(s, b.Page, a)
	b.Tap("#draft")
	b.TypeKeys("104.5")
	s.update(next, a)
	if got := checkForUpdate(b.Page); got != "installed" {
		t.Fatalf("the install ended as %q", got)
	}
	b.WaitFor(waits(next), soon)
	time.Sleep(1500 * time.Millisecond) // time enough for a reload that must not come
	showsBuild(b.Page, a)
	if got := chrome.MustEval[string](b, `document.querySelector("#draft").value`); got != "104.5" {
		t.Fatalf("the draft is %q after the new version was installed", got)
	}
	if !chrome.MustEval[bool](b, `navigator.serviceWorker.getRegistration().then(r => !!r.waiting && r.active === navigator.serviceWorker.controller)`) {
		t.Error("the new worker did not wait")
	}
	loads := s.requests("/")
	b.Tap("#update")
	showsBuild(b.Page, next)
	time.Sleep(time.Second)
	showsBuild(b.Page, next)
	if n := s.requests("/") - loads; n != 0 {
		t.Errorf("the page was fetched %d times from the server; the worker has it", n)
	}
	if got, want := caches(b.Page), sorted("portwright-"+a.id, "portwright-"+next.id); !slices.Equal(got, want) {
		t.Errorf("kept are %v, want own and previous %v", got, want)
	}
	s.down()
	b.Reload()
	showsBuild(b.Page, next)
}

func sorted(s ...string) []string {
	slices.Sort(s)
	return s
}

func TestColdStartTakesTheNewVersion(t *testing.T) {
	a, next := packed(t, "stub", "a"), packed(t, "stub", "b")
	s := newSite(t, a)
	b := phone(t)
	waiting(s, b.Page, a, next)
	s.down() // it is installed whole: no server is needed
	b.Reload()
	showsBuild(b.Page, next)
	s.up()

	third := packed(t, "stub", "c")
	s.update(third, next)
	b.WaitFor(`document.querySelector("#offline").textContent === "yes"`, soon)
	if got := checkForUpdate(b.Page); got != "installed" {
		t.Fatalf("the install of the third version ended as %q", got)
	}
	b.WaitFor(waits(third), soon)
	b.Kill9() // a flat battery
	s.down()
	b.Restart()
	b.Goto(s.URL)
	showsBuild(b.Page, third)
}

// A second window that has the app open, perhaps with a draft, is not robbed
// of its version by the start of another.
func TestTwoWindowsDuringUpdate(t *testing.T) {
	a, next := packed(t, "stub", "a"), packed(t, "stub", "b")
	s := newSite(t, a)
	b := phone(t)
	waiting(s, b.Page, a, next)
	b.Tap("#draft")
	b.TypeKeys("259.5")

	other := b.NewTab()
	other.Goto(s.URL)
	showsBuild(other, a)
	other.WaitFor(waits(next), soon)
	showsBuild(b.Page, a)

	other.Tap("#update")
	showsBuild(other, next)
	time.Sleep(time.Second)
	showsBuild(b.Page, a)
	if got := chrome.MustEval[string](b, `document.querySelector("#draft").value`); got != "259.5" {
		t.Errorf("the draft of the first window is %q", got)
	}
	b.WaitFor(waits(next), soon)
	// The first window's own files are still to be had, also without the server.
	s.down()
	if got := chrome.MustEval[int](b, fmt.Sprintf(`fetch("%s").then(a => a.status)`, a.path("boot.js"))); got != 200 {
		t.Errorf("a file of the version before answers %d", got)
	}
	b.Tap("#update")
	showsBuild(b.Page, next)
}

func TestThirdVersionDropsTheFirst(t *testing.T) {
	a, next, third := packed(t, "stub", "a"), packed(t, "stub", "b"), packed(t, "stub", "c")
	s := newSite(t, a)
	b := phone(t)
	waiting(s, b.Page, a, next)
	b.Tap("#update")
	showsBuild(b.Page, next)
	b.WaitFor(`document.querySelector("#offline").textContent === "yes"`, soon)
	s.update(third, next)
	if got := checkForUpdate(b.Page); got != "installed" {
		t.Fatalf("the install ended as %q", got)
	}
	b.WaitFor(waits(third), soon)
	b.Tap("#update")
	showsBuild(b.Page, third)
	b.WaitFor(fmt.Sprintf(`caches.keys().then(n => !n.includes("portwright-%s"))`, a.id), soon)
	if got, want := caches(b.Page), sorted("portwright-"+next.id, "portwright-"+third.id); !slices.Equal(got, want) {
		t.Errorf("kept are %v, want own and previous %v", got, want)
	}
}

// The shop PC goes back to an older program. The phone still has that build,
// so the way back needs nothing but the worker's script.
func TestRollback(t *testing.T) {
	a, next := packed(t, "stub", "a"), packed(t, "stub", "b")
	s := newSite(t, a)
	b := phone(t)
	waiting(s, b.Page, a, next)
	b.Tap("#update")
	showsBuild(b.Page, next)
	b.WaitFor(`document.querySelector("#offline").textContent === "yes"`, soon)

	s.update(a, next)
	before := s.requests(a.path("app.code"))
	if got := checkForUpdate(b.Page); got != "installed" {
		t.Fatalf("the install of the older version ended as %q", got)
	}
	b.WaitFor(waits(a), soon)
	b.Tap("#update")
	showsBuild(b.Page, a)
	if n := s.requests(a.path("app.code")) - before; n != 0 {
		t.Errorf("a build that the phone still had was fetched again %d times", n)
	}
	s.down()
	b.Reload()
	showsBuild(b.Page, a)
}

const seed = `new Promise((ok, no) => {
	const open = indexedDB.open("portwright", 1);
	open.onupgradeneeded = () => open.result.createObjectStore("entries");
	open.onerror = () => no(open.error);
	open.onsuccess = () => {
		const tx = open.result.transaction("entries", "readwrite");
		tx.objectStore("entries").put({ entry: "{}", build: "b", id: "i" }, ["d", 1]);
		tx.oncomplete = () => { open.result.close(); ok(true); };
	};
})`

const countEntries = `new Promise((ok, no) => {
	const open = indexedDB.open("portwright", 1);
	open.onerror = () => no(open.error);
	open.onsuccess = () => {
		const count = open.result.transaction("entries").objectStore("entries").count();
		count.onsuccess = () => { open.result.close(); ok(count.result); };
	};
})`

func TestWithdrawnVersion(t *testing.T) {
	a, fixed := packed(t, "stub", "a"), packed(t, "stub", "b")
	s := newSite(t, a)
	b := phone(t)
	installed(s, b.Page, a)
	chrome.MustEval[bool](b, seed)
	b.Tap("#draft")
	b.TypeKeys("73")

	s.serve(httpapi.Config{Dist: a.dist, Withdraw: true})
	chrome.MustEval[bool](b, `navigator.serviceWorker.getRegistration().then(r => r.update()).then(() => true)`)
	b.WaitFor(`document.querySelector("#update").textContent === "waiting: withdrawn"`, soon)
	b.WaitFor(`caches.keys().then(n => n.length === 0)`, soon)
	b.WaitFor(`navigator.serviceWorker.getRegistration().then(r => !r)`, soon)
	if got := chrome.MustEval[string](b, `document.querySelector("#draft").value`); got != "73" {
		t.Errorf("the page was taken away under an open draft: %q", got)
	}
	if n := chrome.MustEval[int](b, countEntries); n != 1 {
		t.Errorf("the database holds %d entries, want 1", n)
	}
	loads := s.requests("/")
	b.Tap("#update")
	b.WaitFor(`!document.querySelector("#draft")?.value`, soon)
	showsBuild(b.Page, a)
	if s.requests("/") == loads {
		t.Error("the page still came from what the browser had kept")
	}
	time.Sleep(time.Second) // a loop of reloads would show
	if n := s.requests("/") - loads; n > 1 {
		t.Errorf("the page was loaded %d times for one tap", n)
	}

	s.update(fixed, a)
	b.Reload()
	showsBuild(b.Page, fixed)
	b.WaitFor(`document.querySelector("#offline").textContent === "yes"`, soon)
	s.down()
	b.Reload()
	showsBuild(b.Page, fixed)
	if n := chrome.MustEval[int](b, countEntries); n != 1 {
		t.Errorf("in the end the database holds %d entries, want 1", n)
	}
}
