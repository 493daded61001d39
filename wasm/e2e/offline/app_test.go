package offline

import (
	"bytes"
	"fmt"
	"strings"
	"testing"
	"time"

	"portwright/engine/book"
	"portwright/wasm/e2e/chrome"
)

// realApp is the app itself with a stamp; the other tests use smaller ones.
func realApp(t *testing.T, stamp string) version {
	t.Helper()
	return packedMain(t, "./wasm", stamp)
}

func inBook(p *chrome.Page, v version) {
	p.WaitFor(fmt.Sprintf(`document.documentElement.dataset.build === %q && !!document.querySelector("[data-station=book] #first-look:not(:disabled)")`, v.id), 2*soon)
}

// toQuestion begins a first look and stops at its first question.
func toQuestion(p *chrome.Page) {
	p.Tap("#first-look")
	p.WaitFor(`document.querySelector("[data-station=bench]")`, soon)
	p.WaitFor(`document.querySelector("#question")`, soon)
}

func digits(p *chrome.Page, want string) {
	p.WaitFor(fmt.Sprintf(`document.querySelector("#value .digits")?.textContent.trim() === %q`, want), 2*soon)
}

// A number is half typed when a new version arrives: it stays, the version
// waits, and after the tap the new version asks the same question with the
// same number in the field. All of it without a server.
func TestNewVersionWhileADraftIsOpen(t *testing.T) {
	a, next := realApp(t, "a"), realApp(t, "b")
	s := newSite(t, a)
	b := phone(t)
	b.Goto(s.URL)
	inBook(b.Page, a)
	b.WaitFor(`portwright.offline === "yes" && !!navigator.serviceWorker.controller`, soon)
	toQuestion(b.Page)
	question := b.Text("#question")
	for _, key := range []string{"1", "0", "4"} {
		b.Tap(".pad .k" + key)
	}
	digits(b.Page, "104")

	s.update(next, a)
	if got := checkForUpdate(b.Page); got != "installed" {
		t.Fatalf("the install ended as %q", got)
	}
	s.down()
	b.WaitFor(`document.querySelector(".update-bar button")`, soon)
	time.Sleep(1500 * time.Millisecond) // time enough for a reload that must not come
	if got := chrome.MustEval[string](b, `document.documentElement.dataset.build`); got != a.id {
		t.Fatalf("build %s took over with a draft open", got)
	}
	digits(b.Page, "104")
	b.Tap(".strip .place") // on a small screen the bar stands over the list, not over the keys
	b.Tap(".update-bar button")
	b.WaitFor(fmt.Sprintf(`document.documentElement.dataset.build === %q && !!document.querySelector("#question")`, next.id), 2*soon)
	digits(b.Page, "104")
	if got := b.Text("#question"); got != question {
		t.Errorf("after the update the question is %q, was %q", got, question)
	}
	b.Tap(".pad .keep")
	digits(b.Page, "")
	if errs := b.ConsoleErrors("sw.js", "ERR_CONNECTION_REFUSED", "build.json", "/api/v1/"); len(errs) > 0 {
		t.Errorf("reports: %q", errs)
	}
}

// The book that the app itself wrote comes out of the repair page when the app
// no longer starts.
func TestAppsOwnBookIsSavedWithoutIt(t *testing.T) {
	a := realApp(t, "a")
	s := newSite(t, a)
	b := phone(t)
	b.Goto(s.URL)
	inBook(b.Page, a)
	toQuestion(b.Page)
	for _, key := range []string{"k1", "k0", "k4", "po", "k5", "ke"} {
		b.Tap(".pad ." + key)
	}
	digits(b.Page, "")
	b.Do(`(async () => {
		for (const name of await caches.keys()) await caches.delete(name);
		const reg = await navigator.serviceWorker.getRegistration("/");
		if (reg) await reg.unregister();
	})()`)
	s.update(packed(t, "crash", "z"))
	b.Goto(s.URL + "?") // another address than the bench's: the page is loaded anew
	onRepair(b.Page)
	dir := t.TempDir()
	b.Downloads(dir)
	b.WaitFor(`!document.querySelector("#save").disabled`, soon)
	b.Tap("#save")
	_, data := saved(t, dir)
	entries, warning, err := book.DecodeBook(bytes.NewReader(data))
	if err != nil || warning != "" {
		t.Fatalf("the file reads with %v, warning %q", err, warning)
	}
	found := 0
	for _, e := range entries {
		if e.Kind == book.KindReading && strings.Contains(string(e.Body), "104.5") {
			found++
		}
	}
	if found != 1 {
		t.Errorf("the reading of 104.5 is %d times among the %d entries of the file", found, len(entries))
	}
}
