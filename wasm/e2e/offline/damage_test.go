package offline

import (
	"fmt"
	"net/http"
	"strings"
	"testing"

	"portwright/wasm/e2e/chrome"
)

// mixed answers the app of one version at the address of another, as a proxy
// or a damaged store might.
func mixed(page, app version, t *testing.T) fault {
	code := app.file(t, "app.code")
	return func(w http.ResponseWriter, r *http.Request) bool {
		if r.URL.Path != page.path("app.code") {
			return false
		}
		w.Header().Set("Content-Type", "application/octet-stream")
		w.Header().Set("Cache-Control", "no-store")
		_, _ = w.Write(code)
		return true
	}
}

func why(p *chrome.Page) string { return chrome.MustEval[string](p, `location.hash`) }

func TestMixedVersionsAreNotStarted(t *testing.T) {
	old, new_ := packed(t, "stub", "a"), packed(t, "stub", "b")
	for _, c := range []struct {
		name      string
		page, app version
	}{
		{"old page, new app", old, new_},
		{"new page, old app", new_, old},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := newSite(t, c.page)
			s.harm(mixed(c.page, c.app, t))
			b := phone(t)
			b.Goto(s.URL)
			onRepair(b.Page)
			if got := why(b.Page); got != "#mixed" {
				t.Errorf("the repair page was opened for %q", got)
			}
			if n := s.requests("/"); n != 2 {
				t.Errorf("the page was loaded %d times, want twice: one reload, then repair", n)
			}
			s.harm(nil)
			b.Tap("#open")
			showsBuild(b.Page, c.page)
		})
	}
}

// put stores another version's app in this version's cache.
func put(v version, body string) string {
	return fmt.Sprintf(`(async () => {
		const cache = await caches.open("portwright-%s");
		await cache.put("%s", new Response(%s, { headers: { "Content-Type": "application/wasm" } }));
		return true;
	})()`, v.id, v.path("app.code"), body)
}

func TestDamagedKeptAppIsFetchedAgain(t *testing.T) {
	a, next := packed(t, "stub", "a"), packed(t, "stub", "b")
	s := newSite(t, a)
	b := phone(t)
	for _, c := range []struct{ name, body, why string }{
		{"another version", fmt.Sprintf(`portwrightModule(new Uint8Array(await (await fetch("%s")).arrayBuffer()))`, next.path("app.code")), "#mixed"},
		{"cut short", fmt.Sprintf(`(await (await fetch("%s")).arrayBuffer()).slice(0, 100000)`, a.path("app.code")), "#broken"},
		{"not an app at all", `"<html>login</html>"`, "#broken"},
	} {
		s.update(a, next)
		installed(s, b.Page, a)
		chrome.MustEval[bool](b, put(a, c.body))
		b.Reload()
		showsBuild(b.Page, a) // with the server there it heals by itself

		chrome.MustEval[bool](b, put(a, c.body))
		s.down()
		b.Goto(s.URL)
		onRepair(b.Page)
		if got := why(b.Page); got != c.why {
			t.Errorf("%s: the repair page was opened for %q, want %q", c.name, got, c.why)
		}
		b.Tap("#check")
		b.WaitFor(`document.querySelector("#said").textContent.includes("1 of")`, soon)
		s.up()
		b.Tap("#check")
		b.WaitFor(`document.querySelector("#said").textContent.includes("1 fetched again")`, soon)
		s.down()
		b.Tap("#open")
		showsBuild(b.Page, a)
		s.up()
	}
}

func TestLostFilesAreFetchedAgain(t *testing.T) {
	a := packed(t, "stub", "a")
	s := newSite(t, a)
	b := phone(t)
	installed(s, b.Page, a)
	lose := func(name string) {
		t.Helper()
		if !chrome.MustEval[bool](b, fmt.Sprintf(`caches.open("portwright-%s").then(c => c.delete("%s"))`, a.id, a.path(name))) {
			t.Fatalf("%s was not kept", name)
		}
	}
	for _, name := range []string{"index.html", "app.code", "boot.js", "wasm_exec.js", "shell.css", "manifest.webmanifest"} {
		lose(name)
		b.Reload()
		showsBuild(b.Page, a)
		// A running browser may have the file in memory and not ask the worker.
		b.Do(fmt.Sprintf(`fetch("%s", { cache: "no-store" })`, a.path(name)))
		b.WaitFor(fmt.Sprintf(`caches.open("portwright-%s").then(c => c.match("%s")).then(m => !!m)`, a.id, a.path(name)), soon)
	}
	s.down()
	lose("index.html")
	b.Goto(s.URL)
	b.WaitFor(`document.querySelector("h1")?.textContent === "Repair"`, soon)
	s.up()
	b.Goto(s.URL)
	showsBuild(b.Page, a)

	// A browser that is short of room drops all kept files at once.
	s.down()
	chrome.MustEval[bool](b, `caches.keys().then(names => Promise.all(names.map(n => caches.delete(n)))).then(() => true)`)
	b.Goto(s.URL)
	b.WaitFor(`document.querySelector("h1")?.textContent === "Repair" && getComputedStyle(document.querySelector("#open")).minHeight === "56px"`, soon)
	s.up()
	b.Tap("#open")
	showsBuild(b.Page, a)
}

func TestAppThatHangsOrStops(t *testing.T) {
	a, hang, crash := packed(t, "stub", "a"), packed(t, "hang", "a"), packed(t, "crash", "a")
	s := newSite(t, a)
	b := phone(t)
	installed(s, b.Page, a)
	for _, c := range []struct {
		v   version
		why string
	}{{crash, "#stopped"}, {hang, "#slow"}} {
		s.update(c.v, a)
		checkForUpdate(b.Page)
		b.WaitFor(waits(c.v), soon)
		b.Tap("#update")
		b.WaitFor(`location.pathname === "/repair"`, 2*soon)
		onRepair(b.Page)
		if got := why(b.Page); got != c.why {
			t.Errorf("the repair page was opened for %q, want %q", got, c.why)
		}
		// A version that can't start must not stand in the way of the next.
		s.update(a, c.v)
		b.Tap("#anew")
		showsBuild(b.Page, a)
		b.WaitFor(`document.querySelector("#offline").textContent === "yes"`, soon)
	}
	if errs := b.ConsoleErrors("on purpose", "goroutine", "main.main()", "testdata/crash", "exit code"); len(errs) > 0 {
		t.Logf("reports: %s", strings.Join(errs, "\n"))
	}
}

// A version that can't start is replaced by a fixed one without a person's
// help: the repair page looks for it and the next start takes it.
func TestFixedVersionReplacesOneThatStops(t *testing.T) {
	crash, fixed := packed(t, "crash", "a"), packed(t, "stub", "b")
	s := newSite(t, crash)
	b := phone(t)
	b.Goto(s.URL)
	onRepair(b.Page)
	b.WaitFor(`navigator.serviceWorker.getRegistration("/").then(r => !!r && !!r.active)`, soon)
	s.update(fixed, crash)
	b.Reload()
	onRepair(b.Page)
	b.WaitFor(`navigator.serviceWorker.getRegistration("/").then(r => !!r.waiting)`, soon)
	b.Tap("#open")
	showsBuild(b.Page, fixed)
}
