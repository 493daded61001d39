//go:build !js

package rendertest

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"portwright/wasm/e2e/chrome"
)

// site is the served page and the browser, made once for all tests.
type site struct {
	url     string
	browser *chrome.Browser
	t       *relay
}

// relay hands the harness the test in hand.
type relay struct {
	*testing.T
	cleanups []func()
}

func (r *relay) Cleanup(f func()) { r.cleanups = append(r.cleanups, f) }

var shared site

func TestMain(m *testing.M) { os.Exit(run(m)) }

func run(m *testing.M) int {
	dir, err := os.MkdirTemp("", "portwright-render-")
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 1
	}
	defer os.RemoveAll(dir)
	if err := readSources(); err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 1
	}
	wasm, err := Build(dir, "-s -w")
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 1
	}
	srv, err := Serve(wasm)
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 1
	}
	defer srv.Close()
	shared.url = srv.URL
	code := m.Run()
	if shared.t != nil {
		for _, f := range shared.t.cleanups {
			f()
		}
	}
	return code
}

// readSources opens every file of the renderer, so that the go command knows
// what the results depend on and runs the tests again after a change: what a
// started go build reads does not count.
func readSources() error {
	return filepath.WalkDir("..", func(path string, d os.DirEntry, err error) error {
		if err == nil && !d.IsDir() {
			_, err = os.ReadFile(path)
		}
		return err
	})
}

// open shows a scene and checks at the end of the test that nothing was
// reported or refused and that the program still runs. A report that contains
// one of expected is what the test is about.
func open(t *testing.T, scene string, expected ...string) *chrome.Browser {
	t.Helper()
	return openAt(t, "/", scene, expected...)
}

func openAt(t *testing.T, path, scene string, expected ...string) *chrome.Browser {
	t.Helper()
	if shared.browser == nil {
		shared.t = &relay{T: t}
		shared.browser = chrome.Start(shared.t, chrome.Options{Width: 800, Height: 600, Patience: 15 * time.Second})
	}
	shared.t.T = t
	b := shared.browser
	b.ForgetErrors()
	b.Goto("about:blank")
	b.Goto(shared.url + path + "#" + scene)
	b.WaitFor("window.rt", 15*time.Second)
	t.Cleanup(func() {
		if t.Failed() {
			t.Log(b.Shows())
		}
		if chrome.MustEval[bool](b, "!!window.dead") {
			t.Errorf("the program has ended")
		}
		if refused := chrome.MustEval[[]string](b, "refused"); len(refused) > 0 {
			t.Errorf("the policy refused %q", refused)
		}
		if errs := b.ConsoleErrors(expected...); len(errs) > 0 {
			t.Errorf("the console got %q", errs)
		}
	})
	return b
}

// shows waits until the element's text is want.
func shows(t *testing.T, b chrome.Tab, selector, want string) {
	t.Helper()
	var got string
	for range 100 {
		got = text(b, selector)
		if got == want {
			return
		}
		time.Sleep(10 * time.Millisecond)
	}
	t.Errorf("%s shows %q, want %q", selector, got, want)
}

func text(b chrome.Tab, selector string) string {
	return chrome.MustEval[string](b, fmt.Sprintf(`document.querySelector(%q)?.textContent ?? "(absent)"`, selector))
}

func value(b chrome.Tab, selector string) string {
	return chrome.MustEval[string](b, fmt.Sprintf(`document.querySelector(%q).value`, selector))
}

// is fails unless the JavaScript expression is true.
func is(t *testing.T, b chrome.Tab, expr string) {
	t.Helper()
	if !chrome.MustEval[bool](b, "!!("+expr+")") {
		t.Errorf("not true: %s", strings.Join(strings.Fields(expr), " "))
	}
}

// stats reads what the renderer and the page hold.
type stats struct {
	Renders, Nodes, Handlers, Code, Text int
	Heap                                 float64
}

func read(b chrome.Tab) stats { return chrome.MustEval[stats](b, "rt.stats()") }
