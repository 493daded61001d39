package chrome

import (
	"bytes"
	"fmt"
	"image/png"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"
	"time"
)

const testPage = `<!doctype html><html lang="en"><head><meta name="viewport" content="width=device-width"><title>Harness</title><link rel="icon" href="data:,"></head><body>
<p id="said">nothing</p>
<button id="keep">Keep</button><button id="later" hidden>Later</button><button id="off" disabled>Off</button>
<button aria-label="Take back">x</button>
<div class="under"><button id="covered">Covered</button><div id="lid"></div></div>
<input id="in" value="">
<div id="tall"></div><button id="far">Far away</button>
<script src="page.js"></script></body></html>`

const testScript = `
const style = new CSSStyleSheet();
style.replaceSync("#tall{height:3000px} .under{position:relative} #lid{position:absolute;inset:0}");
document.adoptedStyleSheets = [style];
const said = document.querySelector("#said");
document.addEventListener("click", e => { if (e.target.closest("button")) said.textContent = (e.target.getAttribute("aria-label") ?? e.target.textContent) + " " + e.pointerType + " " + e.isTrusted; });
window.keys = [];
document.addEventListener("keydown", e => keys.push((e.ctrlKey ? "C+" : "") + (e.shiftKey ? "S+" : "") + e.key + "/" + e.code));
`

func pageServer(t *testing.T) *httptest.Server {
	srv := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		switch r.URL.Path {
		case "/":
			w.Header().Set("Content-Type", "text/html; charset=utf-8")
			fmt.Fprint(w, testPage)
		case "/page.js":
			w.Header().Set("Content-Type", "text/javascript")
			fmt.Fprint(w, testScript)
		default:
			http.NotFound(w, r)
		}
	}))
	t.Cleanup(srv.Close)
	return srv
}

// failing stands in for a test, so that the harness's own failures can be
// tested.
type failing struct {
	T
	said string
}

type stopped struct{}

func (f *failing) Fatalf(format string, args ...any) {
	f.said = fmt.Sprintf(format, args...)
	panic(stopped{})
}

// mustFail runs f, which has to end the stand-in test, and returns what it said.
func mustFail(t *testing.T, p *Page, f func()) (said string) {
	t.Helper()
	stand := &failing{T: t}
	p.t = stand
	defer func() {
		p.t = t
		if r := recover(); r != nil {
			if _, ok := r.(stopped); !ok {
				panic(r)
			}
			said = stand.said
			return
		}
		t.Errorf("the step went through; it had to fail")
	}()
	f()
	return ""
}

func TestTapsAreRealInput(t *testing.T) {
	srv := pageServer(t)
	b := Start(t, Options{Width: 360, Height: 640, Mobile: true, Patience: 5 * time.Second})
	b.Goto(srv.URL)
	for _, c := range []struct {
		do   func()
		said string
	}{
		{func() { b.Tap("#keep") }, "Keep touch true"},
		{func() { b.TapText("Take back") }, "Take back touch true"},
		{func() { b.Tap("#far") }, "Far away touch true"},
		{func() { b.TapText("Keep") }, "Keep touch true"},
	} {
		c.do()
		b.WaitFor(`document.querySelector("#said").textContent === `+quote(c.said), 2*time.Second)
	}
	if w := MustEval[int](b, "innerWidth"); w != 360 {
		t.Errorf("innerWidth = %d, want 360", w)
	}

	b.b.opt.Patience = 300 * time.Millisecond
	for _, c := range []struct {
		do   func()
		want string
	}{
		{func() { b.Tap("#covered") }, `covered by <div id=lid>`},
		{func() { b.Tap("#off") }, "disabled"},
		{func() { b.Tap("#later") }, "not visible"},
		{func() { b.Tap("#none") }, "no element matches"},
		{func() { b.TapText("Nowhere") }, "there are: Keep | Off | Take back"},
		{func() { b.WaitFor("false", 50*time.Millisecond) }, "not true within 50ms: false"},
		{func() { MustEval[int](b, "absent.thing") }, "absent is not defined"},
	} {
		said := mustFail(t, b.Page, c.do)
		if !strings.Contains(said, c.want) || !strings.Contains(said, "the page shows: "+srv.URL) {
			t.Errorf("the failure says %q, want %q and what the page shows", said, c.want)
		}
	}
	if errs := b.ConsoleErrors(); len(errs) > 0 {
		t.Errorf("console: %v", errs)
	}
}

func TestKeysAndPointer(t *testing.T) {
	srv := pageServer(t)
	b := Start(t, Options{Dark: true, ReducedMotion: true})
	b.Goto(srv.URL)
	b.Tap("#keep")
	b.WaitFor(`document.querySelector("#said").textContent === "Keep mouse true"`, 2*time.Second)
	b.Tap("#in")
	b.TypeKeys("1.5é")
	b.Press("Backspace")
	b.Press("Numpad7")
	b.Press("ArrowLeft")
	b.Press("-")
	if got, want := MustEval[string](b, `document.querySelector("#in").value`), "1.5-7"; got != want {
		t.Errorf("the field holds %q, want %q", got, want)
	}
	b.Press("Control+a")
	b.Press("Delete")
	b.Press("Shift+Tab")
	if got := MustEval[string](b, `document.querySelector("#in").value`); got != "" {
		t.Errorf("after select all and delete the field holds %q", got)
	}
	want := []string{"1/Digit1", "./Period", "5/Digit5", "é/", "Backspace/Backspace", "7/Numpad7", "ArrowLeft/ArrowLeft", "-/Minus", "C+a/KeyA", "Delete/Delete", "S+Tab/Tab"}
	if got := MustEval[[]string](b, "keys"); !slices.Equal(got, want) {
		t.Errorf("keys:\n got %q\nwant %q", got, want)
	}
	for _, q := range []string{"(prefers-color-scheme: dark)", "(prefers-reduced-motion: reduce)"} {
		if !MustEval[bool](b, "matchMedia("+quote(q)+").matches") {
			t.Errorf("%s does not hold", q)
		}
	}

	shot := filepath.Join(t.TempDir(), "shots", "page.png")
	b.Screenshot(shot)
	raw, err := os.ReadFile(shot)
	if err != nil {
		t.Fatal(err)
	}
	img, err := png.Decode(bytes.NewReader(raw))
	if err != nil || img.Bounds().Dx() != 1280 || img.Bounds().Dy() != 800 {
		t.Errorf("screenshot: %v, err %v; want 1280 x 800", img.Bounds(), err)
	}
}

func TestReportsAreCollected(t *testing.T) {
	srv := pageServer(t)
	b := Start(t, Options{})
	b.Goto(srv.URL)
	if errs := b.ConsoleErrors(); len(errs) > 0 {
		t.Fatalf("a quiet page reports %q", errs)
	}
	b.Do(`console.error("told", 7); setTimeout(() => { throw new Error("thrown") }, 0); Promise.reject(new Error("rejected")); fetch("/absent"); setTimeout(() => alert("shown"), 0)`)
	for _, want := range []string{"console.error: told 7", "Error: thrown", "Error: rejected", "404", "dialog alert: shown"} {
		deadline := time.Now().Add(3 * time.Second)
		for !strings.Contains(strings.Join(b.ConsoleErrors(), "\n"), want) {
			if time.Now().After(deadline) {
				t.Fatalf("%q is not among the reports %q", want, b.ConsoleErrors())
			}
			time.Sleep(10 * time.Millisecond)
		}
	}
	if left := b.ConsoleErrors("told", "thrown", "rejected", "404", "shown"); len(left) > 0 {
		t.Errorf("left after the exceptions: %q", left)
	}
	b.ForgetErrors()

	b.SetOffline(true)
	if MustEval[bool](b, "navigator.onLine") || MustEval[string](b, `fetch("/page.js").then(() => "reached", () => "cut off")`) != "cut off" {
		t.Errorf("offline: the page still reaches the server")
	}
	b.SetOffline(false)
	if !MustEval[bool](b, "navigator.onLine") || MustEval[string](b, `fetch("/page.js").then(() => "reached", () => "cut off")`) != "reached" {
		t.Errorf("online again: the page does not reach the server")
	}
}

func TestHungPageIsBounded(t *testing.T) {
	srv := pageServer(t)
	b := Start(t, Options{Patience: time.Second})
	b.Goto(srv.URL)
	start := time.Now()
	said := mustFail(t, b.Page, func() { b.Do("for (;;) {}") })
	if !strings.Contains(said, "the page does not answer") {
		t.Errorf("the failure says %q", said)
	}
	if d := time.Since(start); d > 8*time.Second {
		t.Errorf("a hung page took %v to be reported", d)
	}
}

func TestKillAndRestartKeepTheProfile(t *testing.T) {
	srv := pageServer(t)
	b := Start(t, Options{ProfileDir: t.TempDir()})
	b.Goto(srv.URL)
	const put = `new Promise((ok, no) => {
		const open = indexedDB.open("kept", 1);
		open.onupgradeneeded = () => open.result.createObjectStore("s");
		open.onerror = no;
		open.onsuccess = () => {
			const tx = open.result.transaction("s", "readwrite", { durability: "strict" });
			tx.objectStore("s").put("value", "key");
			tx.oncomplete = () => ok("done");
		};
	})`
	const get = `new Promise((ok, no) => {
		const open = indexedDB.open("kept", 1);
		open.onerror = no;
		open.onsuccess = () => { const r = open.result.transaction("s").objectStore("s").get("key"); r.onsuccess = () => ok(r.result ?? ""); };
	})`
	if got := MustEval[string](b, put); got != "done" {
		t.Fatalf("put: %q", got)
	}
	pid := b.PID()
	if pid == 0 {
		t.Fatal("no process id")
	}
	b.Kill9()
	if runtime.GOOS == "linux" {
		if left := usersOf(b.Profile()); len(left) > 0 {
			t.Errorf("processes %v of the profile live on after Kill9", left)
		}
	}
	b.Restart()
	if b.PID() == pid {
		t.Errorf("the same process id %d after the restart", pid)
	}
	b.Goto(srv.URL)
	if got := MustEval[string](b, get); got != "value" {
		t.Errorf("after the kill the database holds %q, want %q", got, "value")
	}
	second := b.NewTab()
	second.Goto(srv.URL)
	second.Tap("#keep")
	second.WaitFor(`document.querySelector("#said").textContent.startsWith("Keep")`, 2*time.Second)
	if got := b.Text("#said"); got != "nothing" {
		t.Errorf("a tap in the second tab changed the first: %q", got)
	}
	second.Close()
	if m := b.Metrics(); m["JSHeapUsedSize"] <= 0 || m["Nodes"] <= 0 {
		t.Errorf("metrics: %v", m)
	}
}

func TestFind(t *testing.T) {
	t.Setenv(EnvPath, filepath.Join(t.TempDir(), "absent"))
	if _, err := Find(); err == nil || !strings.Contains(err.Error(), EnvPath) || strings.Contains(err.Error(), "\n") {
		t.Errorf("a wrong %s gives %v", EnvPath, err)
	}
	t.Setenv(EnvPath, "")
	t.Setenv("PATH", t.TempDir())
	if runtime.GOOS == "linux" {
		if _, err := Find(); err != ErrNotFound {
			t.Errorf("with nothing on the path: %v", err)
		}
	}
}
