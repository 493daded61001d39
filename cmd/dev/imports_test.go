package main

import (
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"portwright/static/pack"
)

const module = "portwright/"

// mayImport is the table of DEVELOPERS.md: which of the project's own packages
// each package may import, itself and what lies below it always included.
// "engine" stands for the whole engine. The longest matching name counts. A
// package that is not named here is an error: new ones get a line.
var mayImport = map[string][]string{
	"engine":                 {},
	"engine/unit":            {},
	"engine/sum":             {},
	"engine/stat":            {"engine/unit"},
	"engine/crank":           {"engine/unit", "engine/stat"},
	"engine/wheel":           {"engine/unit", "engine/stat", "engine/crank"},
	"engine/port":            {"engine/unit", "engine/stat", "engine/crank"},
	"engine/chamber":         {"engine/unit", "engine/stat", "engine/crank", "engine/port"},
	"engine/build":           {"engine/unit"},
	"engine/book":            {"engine/unit", "engine/build"},
	"engine/findings":        {"engine/unit", "engine/stat", "engine/crank", "engine/wheel", "engine/port", "engine/chamber", "engine/build"},
	"engine/plan":            {"engine/unit", "engine/stat", "engine/crank", "engine/wheel", "engine/port", "engine/chamber", "engine/timearea", "engine/build", "engine/findings"},
	"engine/draw":            {"engine/unit", "engine/build", "engine/findings", "engine/crank", "engine/wheel", "engine/port"},
	"engine/sheet":           {"engine"},
	"wasm":                   {"wasm/app", "wasm/view", "wasm/ui", "wasm/render", "wasm/browser"},
	"wasm/app":               {"engine"},
	"wasm/view":              {"engine", "wasm/app"},
	"wasm/ui":                {"wasm/view", "wasm/app", "engine/unit"},
	"wasm/trace":             {},
	"wasm/sync":              {"engine", "server/wire"},
	"wasm/render":            {"wasm/trace"},
	"wasm/render/rendertest": {"wasm/render", "wasm/e2e/chrome"},
	"wasm/browser":           {"engine", "server/wire", "wasm/app", "wasm/sync", "wasm/trace"},
	"wasm/e2e":               {"engine", "wasm/app", "wasm/browser", "wasm/sync", "static/pack", "static/release", "server/httpapi"},
	"server":                 {"engine", "static/release"},
	"server/wire":            {"engine/sum"},
	"static":                 {"static/pack", "static/release", "static/icon"},
	"cmd/portwright":         {"engine", "server", "static"},
	"cmd/dev":                {"engine", "wasm/e2e", "wasm/sync", "static", "server"},
}

// notInWebAssembly weigh more than all the rest, or are a sign of it.
var notInWebAssembly = []string{"net/http", "regexp", "text/template", "html/template", "crypto/tls", "encoding/csv", "crypto/sha256", "gonum.org/v1/gonum/mat", "gonum.org/v1/gonum/lapack/gonum", "github.com/dgraph-io/badger/v4"}

// strangers each wrap one technology of the server and don't know each other;
// server/store puts them together.
var strangers = []string{"server/httpapi", "server/journal", "server/badgerdb", "server/memory", "server/shelf", "server/access", "server/authority", "server/setup", "server/announce"}

// touchJS may call JavaScript.
var touchJS = []string{"wasm/render", "wasm/browser"}

// notInEngine would make results depend on when and where they are computed.
// Package time is there to read dates; clock finds a use of the clock.
var (
	notInEngine = []string{"os", "net", "math/rand", "math/rand/v2", "crypto/rand", "path/filepath", "io/ioutil", "syscall", "os/exec"}
	clock       = regexp.MustCompile(`\btime\.(Now|Since|Until|After|AfterFunc|Sleep|Tick|NewTimer|NewTicker|Local)\b`)
)

func root(t *testing.T) string {
	t.Helper()
	dir, err := pack.Root()
	if err != nil {
		t.Fatal(err)
	}
	return dir
}

// rowOf returns the longest name of the table that pkg is or lies below.
func rowOf(pkg string) string {
	best := ""
	for name := range mayImport {
		if (pkg == name || strings.HasPrefix(pkg, name+"/")) && len(name) > len(best) {
			best = name
		}
	}
	return best
}

func within(pkg string, names []string) bool {
	return slices.ContainsFunc(names, func(name string) bool { return pkg == name || strings.HasPrefix(pkg, name+"/") })
}

// both lists the packages as they are for this machine and for the browser.
func both(t *testing.T) []listed {
	t.Helper()
	dir := root(t)
	host, err := list(dir, nil, "./...")
	if err != nil {
		t.Fatal(err)
	}
	web, err := list(dir, []string{"GOOS=js", "GOARCH=wasm"}, forBrowser...)
	if err != nil {
		t.Fatal(err)
	}
	return append(host, web...)
}

// breaks returns what of imports a package may not import.
func breaks(pkg string, imports []string) []string {
	row := rowOf(pkg)
	var out []string
	for _, imp := range imports {
		own, ok := strings.CutPrefix(imp, module)
		if !ok && imp != strings.TrimSuffix(module, "/") {
			continue
		}
		if !within(own, append([]string{row}, mayImport[row]...)) {
			out = append(out, own)
		}
	}
	return out
}

func TestImportsPointOneWay(t *testing.T) {
	for _, p := range both(t) {
		pkg := strings.TrimPrefix(p.ImportPath, module)
		if rowOf(pkg) == "" {
			t.Errorf("%s has no line in the table of imports", pkg)
			continue
		}
		for _, bad := range breaks(pkg, p.Imports) {
			t.Errorf("%s imports %s", pkg, bad)
		}
		if slices.Contains(p.Imports, "syscall/js") && !within(pkg, touchJS) {
			t.Errorf("%s imports syscall/js; only %s do", pkg, strings.Join(touchJS, " and "))
		}
		if strings.HasPrefix(pkg, "engine") {
			for _, bad := range notInEngine {
				if slices.Contains(p.Imports, bad) {
					t.Errorf("%s imports %s: the engine has no clock, no randomness, no files and no network", pkg, bad)
				}
			}
		}
	}
}

func TestAdaptersAreStrangers(t *testing.T) {
	found := 0
	for _, p := range both(t) {
		pkg := strings.TrimPrefix(p.ImportPath, module)
		if !slices.Contains(strangers, pkg) {
			continue
		}
		found++
		for _, imp := range p.Imports {
			if own := strings.TrimPrefix(imp, module); own != pkg && slices.Contains(strangers, own) {
				t.Errorf("%s imports %s", pkg, own)
			}
		}
	}
	if found < len(strangers) {
		t.Errorf("%d of %d adapters are listed", found, len(strangers))
	}
}

func TestEngineHasNoClock(t *testing.T) {
	dir := root(t)
	files, err := sources(filepath.Join(dir, "engine"))
	if err != nil {
		t.Fatal(err)
	}
	if len(files) < 20 {
		t.Fatalf("only %d files of the engine were found", len(files))
	}
	for _, f := range files {
		data, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		if use := clock.Find(data); use != nil && !strings.HasSuffix(f, "_test.go") {
			name, _ := filepath.Rel(dir, f)
			t.Errorf("%s uses %s", name, use)
		}
	}
}

// The check itself must see a break.
func TestBreaksAreSeen(t *testing.T) {
	for _, c := range []struct {
		pkg, imports string
		bad          bool
	}{
		{"engine/unit", "engine/stat", true},
		{"engine/stat", "engine/unit", false},
		{"engine/crank", "engine/findings", true},
		{"engine/build/demo", "engine/build", false},
		{"engine/build/demo", "engine/book", true},
		{"wasm/app", "wasm/view", true},
		{"wasm/app", "server", true},
		{"wasm/ui", "engine/findings", true},
		{"wasm/view", "engine/findings", false},
		{"server/httpapi", "wasm/app", true},
		{"server/wire", "server", true},
		{"server/store", "wasm/sync", true},
		{"wasm/sync", "server/wire", false},
		{"wasm/sync", "wasm/app", true},
		{"server/journal", "server", false},
		{"server/shelf", "server/httpapi", false},
		{"engine/unit", "wasm", true},
		{"wasm/browser/testpage", "wasm/browser", false},
	} {
		if got := breaks(c.pkg, []string{module + c.imports}); (len(got) > 0) != c.bad {
			t.Errorf("%s importing %s: found %v, want a break: %v", c.pkg, c.imports, got, c.bad)
		}
	}
}

func TestWebAssemblyStaysSmall(t *testing.T) {
	deps, err := list(root(t), []string{"GOOS=js", "GOARCH=wasm"}, "-deps", "./wasm")
	if err != nil {
		t.Fatal(err)
	}
	if len(deps) < 50 {
		t.Fatalf("only %d packages listed; the list is not the app's", len(deps))
	}
	for _, p := range deps {
		if slices.Contains(notInWebAssembly, p.ImportPath) {
			t.Errorf("the WebAssembly has %s in it, imported by %s", p.ImportPath, strings.Join(importers(deps, p.ImportPath), ", "))
		}
		if strings.HasPrefix(p.ImportPath, module) && slices.Contains(p.Imports, "fmt") {
			t.Errorf("%s imports fmt, which the app does without (static/pack/lean.go): use engine/unit", p.ImportPath)
		}
	}
}

func importers(all []listed, of string) []string {
	var out []string
	for _, p := range all {
		if slices.Contains(p.Imports, of) {
			out = append(out, p.ImportPath)
		}
	}
	return out
}

const maxLines = 500

// tables may be longer than a file that a person reads from top to bottom.
var tables = regexp.MustCompile(`_table(_test)?\.go$|_gen\.go$`)

func TestFilesAreShort(t *testing.T) {
	dir := root(t)
	files, err := sources(dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, pattern := range []string{"static/shell/*", "static/css/*", "wasm/ui/*.vugu"} {
		more, err := filepath.Glob(filepath.Join(dir, filepath.FromSlash(pattern)))
		if err != nil {
			t.Fatal(err)
		}
		files = append(files, more...)
	}
	for _, f := range files {
		data, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		name, _ := filepath.Rel(dir, f)
		if n := strings.Count(string(data), "\n"); n > maxLines && !tables.MatchString(f) {
			t.Errorf("%s has %d lines; past %d a file is two", name, n, maxLines)
		}
	}
}

// A skipped test says nothing, and a mark of unfinished work is work.
func TestNothingIsSkippedOrLeft(t *testing.T) {
	dir := root(t)
	files, err := sources(dir)
	if err != nil {
		t.Fatal(err)
	}
	bad := regexp.MustCompile(`\b[tbf]\.Skip(f|Now)?\(|\bTO` + `DO\b|\bFIX` + `ME\b|\bX` + `XX\b`)
	for _, f := range files {
		if strings.HasSuffix(f, "_gen.go") { // the generator's own words
			continue
		}
		data, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		name, _ := filepath.Rel(dir, f)
		for i, line := range strings.Split(string(data), "\n") {
			if m := bad.FindString(line); m != "" {
				t.Errorf("%s:%d: %s", name, i+1, m)
			}
		}
	}
}
