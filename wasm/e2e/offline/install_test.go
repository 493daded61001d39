package offline

import (
	"fmt"
	"net/http"
	"slices"
	"strconv"
	"testing"

	"portwright/wasm/e2e/chrome"
)

func TestStartsWithoutServer(t *testing.T) {
	a := packed(t, "stub", "a")
	s := newSite(t, a)
	b := phone(t)
	installed(s, b.Page, a)
	if errs := b.ConsoleErrors(); len(errs) > 0 {
		t.Errorf("the first load reports %q", errs)
	}
	if n := s.requests("/b/" + a.id + "/app.code"); n != 2 {
		t.Errorf("app.code was asked for %d times, want 2: by the page and by the worker", n)
	}
	s.down()
	for _, path := range []string{"", "#bench", "index.html", "?from=home"} {
		b.Goto(s.URL + path)
		showsBuild(b.Page, a)
	}
	b.Close()
	b.Restart() // a cold browser
	b.Goto(s.URL)
	showsBuild(b.Page, a)
	b.Kill9()
	b.Restart() // a flat battery
	b.Goto(s.URL)
	showsBuild(b.Page, a)
	b.Goto(s.URL + "repair")
	onRepair(b.Page)
	if errs := b.ConsoleErrors("build.json", "sw.js", "ERR_CONNECTION_REFUSED"); len(errs) > 0 {
		t.Errorf("without the server the page reports %q", errs)
	}
}

// faults are the ways in which one file of a new version does not arrive.
func faults(path string, good []byte, s *site) map[string]fault {
	on := func(do func(w http.ResponseWriter)) fault {
		return func(w http.ResponseWriter, r *http.Request) bool {
			if r.URL.Path != path {
				return false
			}
			do(w)
			return true
		}
	}
	send := func(w http.ResponseWriter, kind string, length int, body []byte) {
		w.Header().Set("Content-Type", kind)
		w.Header().Set("Content-Length", strconv.Itoa(length))
		_, _ = w.Write(body)
	}
	wrong := slices.Clone(good)
	wrong[len(wrong)/2] ^= 1
	return map[string]fault{
		"answered 500": on(func(w http.ResponseWriter) { http.Error(w, "no", http.StatusInternalServerError) }),
		"answered 404": on(func(w http.ResponseWriter) { http.Error(w, "no", http.StatusNotFound) }),
		"cut short": on(func(w http.ResponseWriter) {
			send(w, "application/octet-stream", len(good), good[:len(good)/2])
			panic(http.ErrAbortHandler)
		}),
		"short but ended well": on(func(w http.ResponseWriter) { send(w, "application/octet-stream", len(good)/2, good[:len(good)/2]) }),
		"one bit wrong":        on(func(w http.ResponseWriter) { send(w, "application/octet-stream", len(wrong), wrong) }),
		"server gone half-way": on(func(w http.ResponseWriter) {
			go s.down()
			send(w, "application/octet-stream", len(good), good[:len(good)/2])
			panic(http.ErrAbortHandler)
		}),
	}
}

func TestFailedInstallLeavesTheOldApp(t *testing.T) {
	a, next := packed(t, "stub", "a"), packed(t, "stub", "b")
	s := newSite(t, a)
	b := phone(t)
	installed(s, b.Page, a)
	s.update(next, a)
	for _, file := range []string{"app.code", "shell.css"} {
		for name, fault := range faults(next.path(file), next.file(t, file), s) {
			if file == "shell.css" && name != "answered 500" && name != "one bit wrong" {
				continue // the kind of file makes no difference to how it breaks
			}
			s.harm(fault)
			if got := checkForUpdate(b.Page); got != "redundant" {
				t.Fatalf("%s %s: the install ended as %q, want redundant", file, name, got)
			}
			b.WaitFor(fmt.Sprintf(`caches.keys().then(n => !n.includes("portwright-%s"))`, next.id), soon)
			if got, want := caches(b.Page), []string{"portwright-" + a.id}; !slices.Equal(got, want) {
				t.Errorf("%s %s: kept are %v, want %v", file, name, got, want)
			}
			if chrome.MustEval[bool](b, `navigator.serviceWorker.getRegistration().then(r => !!r.waiting)`) {
				t.Errorf("%s %s: a version waits that did not install", file, name)
			}
			s.down()
			b.Goto(s.URL)
			showsBuild(b.Page, a)
			s.up()
		}
	}
	s.harm(nil)
	if got := checkForUpdate(b.Page); got != "installed" {
		t.Fatalf("with all well the install ended as %q", got)
	}
	b.WaitFor(waits(next), soon)
}

// waits says that the app was told of a version that waits.
func waits(v version) string {
	return fmt.Sprintf(`document.querySelector("#update").textContent === "waiting: %s"`, v.id)
}
