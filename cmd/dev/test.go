package main

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"time"
)

// A tester runs the steps of the test command and remembers how each went.
type tester struct {
	root      string
	dir       string // for what is built on the way
	inbrowser string // runs a js/wasm test in the browser
	env       []string
	steps     []outcome
	lines     []string // go test's own line for each package
}

type outcome struct {
	name string
	err  error
	took time.Duration
}

// test runs everything that can fail and goes on after a failure, so that one
// run tells all.
func test(root string, _ []string) error {
	dir, err := os.MkdirTemp("", "portwright-test-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	t := &tester{root: root, dir: dir, env: os.Environ()}
	start := time.Now()
	t.step("browsers, and a store of certificates", t.browsers)
	t.step("axe-core, for accessibility", t.axe)
	t.step("gofmt", t.gofmt)
	t.step("generated code is current", t.generated)
	t.step("vet", t.vet)
	t.step("staticcheck", t.staticcheck)
	t.step("known faults of dependencies", t.vulnerable)
	built := t.step("the app packed, the program built", t.program)
	plain, browser, err := t.packages()
	if err != nil {
		return err
	}
	t.step("tests", func() error { return t.goTest(plain) })
	t.step("tests with the race detector", t.race)
	t.step("the engine's tests as WebAssembly in the browser", t.engine)
	if built {
		t.step("tests in the browser", func() error {
			return t.goTest(append([]string{"-count=1", "-p=1", "-timeout=25m"}, browser...))
		})
	}
	return t.summary(time.Since(start))
}

func (t *tester) step(name string, run func() error) bool {
	fmt.Printf("\n== %s\n", name)
	start := time.Now()
	err := run()
	took := time.Since(start)
	if err != nil {
		fmt.Println(err)
		fmt.Printf("== %s: FAILED\n", name)
	}
	t.steps = append(t.steps, outcome{name, err, took})
	return err == nil
}

// summary prints each step and, last, what go test said of each package.
func (t *tester) summary(took time.Duration) error {
	fmt.Printf("\n%-52s %s\n", "step", "result")
	failed := 0
	for _, s := range t.steps {
		word := "passed"
		if s.err != nil {
			word = "FAILED"
			failed++
		}
		fmt.Printf("%-52s %s %7.1f s\n", s.name, word, s.took.Seconds())
	}
	fmt.Printf("%-52s        %7.1f s\n\n", "", took.Seconds())
	for _, line := range t.lines {
		fmt.Println(line)
	}
	if failed > 0 {
		return fmt.Errorf("%d of %d steps failed", failed, len(t.steps))
	}
	return nil
}

// program builds what is handed to people, and hands it to the browser tests.
func (t *tester) program() error {
	if err := build(t.root, os.Stdout); err != nil {
		return err
	}
	data, err := os.ReadFile(filepath.Join(t.root, program("portwright")))
	if err != nil {
		return err
	}
	to := filepath.Join(t.dir, program("portwright"))
	t.env = append(t.env, "PORTWRIGHT_BIN="+to)
	return os.WriteFile(to, data, 0o755)
}

// goTest runs go test and keeps its lines on packages.
func (t *tester) goTest(args []string) error {
	cmd := exec.Command("go", append([]string{"test"}, args...)...)
	return t.listen(cmd)
}

// listen runs a go test command, passes on what it prints, and keeps the lines
// that begin with ok or FAIL.
func (t *tester) listen(cmd *exec.Cmd) error {
	cmd.Dir = t.root
	cmd.Env = slices.Concat(t.env, cmd.Env)
	out := &lineWriter{each: func(line string) {
		if strings.Contains(line, "[no test files]") {
			return
		}
		fmt.Println(line)
		if strings.HasPrefix(line, "ok  \t") || strings.HasPrefix(line, "FAIL\t") || strings.HasPrefix(line, "--- FAIL") {
			t.lines = append(t.lines, line)
		}
	}}
	cmd.Stdout, cmd.Stderr = out, out
	err := cmd.Run()
	out.end()
	return err
}

// race runs the packages in which several goroutines meet, with fewer random
// histories and kills; it needs a C compiler, which a machine with only Go has
// not.
func (t *tester) race() error {
	if _, err := exec.LookPath("gcc"); err != nil {
		fmt.Println("not run: no C compiler (gcc) on this machine")
		return nil
	}
	cmd := exec.Command("go", "test", "-race", "-short", "./server/...", "./cmd/portwright", "./wasm/app/...")
	cmd.Env = []string{"CGO_ENABLED=1"}
	return t.listen(cmd)
}

// engine runs the engine's tests where the engine runs. Properties are tried
// on fewer values (-short) than natively.
func (t *tester) engine() error {
	cmd := exec.Command("go", "test", "-short", "-count=1", "-p=2", "-timeout=20m", "-exec", t.inbrowser, "./engine/...")
	cmd.Env = []string{"GOOS=js", "GOARCH=wasm"}
	return t.listen(cmd)
}

// lineWriter hands on whole lines.
type lineWriter struct {
	each func(line string)
	rest strings.Builder
}

func (w *lineWriter) Write(p []byte) (int, error) {
	text := w.rest.String() + string(p)
	w.rest.Reset()
	for {
		line, after, ok := strings.Cut(text, "\n")
		if !ok {
			break
		}
		w.each(line)
		text = after
	}
	w.rest.WriteString(text)
	return len(p), nil
}

func (w *lineWriter) end() {
	if w.rest.Len() > 0 {
		w.each(w.rest.String())
	}
	w.rest.Reset()
}
