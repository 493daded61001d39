package pack

import (
	"bytes"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"portwright/static/release"
)

const quiet = "./static/pack/testdata/quiet"

func TestBuildTwice(t *testing.T) {
	root, err := Root()
	if err != nil {
		t.Fatal(err)
	}
	t.Setenv("XDG_CACHE_HOME", t.TempDir())
	app, err := Compile(root, quiet)
	if err != nil {
		t.Fatal(err)
	}
	build := func(stamp string) (*Result, string) {
		t.Helper()
		dir := t.TempDir()
		res, err := Build(Options{Root: root, Out: dir, App: app, Stamp: stamp, Fast: true})
		if err != nil {
			t.Fatal(err)
		}
		return res, dir
	}
	first, dir := build("")
	again, _ := build("")
	other, otherDir := build("another")
	if first.Build != again.Build {
		t.Errorf("the same sources made %s and %s", first.Build, again.Build)
	}
	if first.Build == other.Build {
		t.Errorf("another page made the same build %s", first.Build)
	}
	if first.Brotli == 0 || first.Brotli >= first.Wasm {
		t.Errorf("%d bytes became %d", first.Wasm, first.Brotli)
	}

	for _, c := range []struct {
		dir, own, foreign string
	}{{dir, first.Build, other.Build}, {otherDir, other.Build, first.Build}} {
		rel, err := release.Read(os.DirFS(c.dir))
		if err != nil {
			t.Fatal(err)
		}
		have := map[string]bool{}
		for _, f := range rel.Files {
			have[strings.TrimPrefix(f.Path, release.Base(c.own))] = true
		}
		for _, want := range []string{"index.html", "repair.html", "repair.js", "repair.css", "boot.js", "shell.css", "wasm_exec.js", "module.js", "app.code", namesFile, "manifest.webmanifest", "icon/wheel-192.png", "icon/wheel-512.png", "icon/wheel-maskable-512.png", "icon/wheel.svg"} {
			if !have[want] {
				t.Errorf("build %s has no %s", c.own, want)
			}
		}
		whole := readAll(t, c.dir)
		if bytes.Contains(whole, []byte(c.foreign)) || bytes.Contains(whole, []byte(unstamped)) {
			t.Errorf("build %s holds the id of another or none", c.own)
		}
		if mark := regexp.MustCompile(`__[A-Z]{4,}__`).Find(whole); mark != nil {
			t.Errorf("build %s holds the mark %s that was not filled in", c.own, mark)
		}
		worker, err := os.ReadFile(filepath.Join(c.dir, release.Worker))
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range rel.Files { // the names of functions are for whoever reads a trace, not for a phone
			if named := f.Path == release.Base(c.own)+namesFile; bytes.Contains(worker, []byte(`["`+f.Path+`"`)) == named {
				t.Errorf("the service worker keeps %s: %t", f.Path, !named)
			}
		}
		if names, err := NamesOf(os.DirFS(c.dir), []byte("build "+c.own)); err != nil || !bytes.Equal(names, app.Names) {
			t.Errorf("the names of build %s are %d bytes, %v", c.own, len(names), err)
		}
		if _, err := NamesOf(os.DirFS(c.dir), []byte("x\nbuild "+c.foreign+"\n")); err == nil || !strings.Contains(err.Error(), release.Base(c.foreign)+namesFile) {
			t.Errorf("a trace of another build: %v", err)
		}
	}
}

// What can't be squeezed is served as it is, and that is said.
func TestBuildServesWhatItCantSqueeze(t *testing.T) {
	root, err := Root()
	if err != nil {
		t.Fatal(err)
	}
	t.Setenv("XDG_CACHE_HOME", t.TempDir())
	var said bytes.Buffer
	dir := t.TempDir()
	odd := append(append(moduleOf([]byte{0, 0xd0, opEnd}), sectionCustom, byte(len(unstamped))), unstamped...)
	res, err := Build(Options{Root: root, Out: dir, App: &App{Module: odd}, Fast: true, Log: &said})
	if err != nil {
		t.Fatal(err)
	}
	sent, err := os.ReadFile(filepath.Join(dir, "b", res.Build, codeFile))
	if err != nil || !bytes.Equal(sent, bytes.Replace(odd, []byte(unstamped), []byte(res.Build), 1)) {
		t.Errorf("%q is served, %v", sent, err)
	}
	if !strings.Contains(said.String(), "instruction 0xd0") {
		t.Errorf("said is %q", said.String())
	}
	if _, err := Build(Options{Root: root, Out: dir, App: &App{Module: odd}}); err == nil || !strings.Contains(err.Error(), "instruction 0xd0") {
		t.Errorf("a build for use: %v", err)
	}
}

// readAll joins every file that is not compressed.
func readAll(t *testing.T, dir string) []byte {
	t.Helper()
	var all []byte
	err := filepath.WalkDir(dir, func(path string, d os.DirEntry, err error) error {
		if err != nil || d.IsDir() || strings.HasSuffix(path, ".br") {
			return err
		}
		data, err := os.ReadFile(path)
		all = append(all, data...)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// The policy forbids inline scripts and styles; a page that has one would
// look or work otherwise than in the sources.
func TestPagesHaveNothingInline(t *testing.T) {
	root, err := Root()
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"index.html", "repair.html"} {
		page, err := os.ReadFile(filepath.Join(root, "static", "shell", name))
		if err != nil {
			t.Fatal(err)
		}
		for _, bad := range []string{`(?i)<style`, `(?i)\sstyle\s*=`, `(?i)\son[a-z]+\s*=`, `(?i)<script(?:\s[^>]*)?>[^<]`, `(?i)javascript:`, `https?://`} {
			if got := regexp.MustCompile(bad).Find(page); got != nil {
				t.Errorf("%s has %q", name, got)
			}
		}
	}
}

func TestStampApp(t *testing.T) {
	id := strings.Repeat("0a", release.IDLen/2)
	for _, c := range []struct{ app, id, want string }{
		{"x" + unstamped + "y", id, ""},
		{"xy", id, "no string variable build"},
		{unstamped + unstamped, id, "2 times"},
		{unstamped, "short", "hexadecimal"},
		{unstamped, strings.Repeat("/", release.IDLen), "hexadecimal"},
	} {
		got, err := stampApp([]byte(c.app), c.id)
		if c.want == "" {
			if err != nil || string(got) != "x"+id+"y" {
				t.Errorf("%q: %q, %v", c.app, got, err)
			}
			continue
		}
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%q, %q: error %v, want %q in it", c.app, c.id, err, c.want)
		}
	}
}

func TestCompileSaysWhatIsWrong(t *testing.T) {
	root, err := Root()
	if err != nil {
		t.Fatal(err)
	}
	if _, err := Compile(root, "./static/pack/testdata/absent"); err == nil || !strings.Contains(err.Error(), "absent") {
		t.Errorf("a missing package: %v", err)
	}
}

// A Go that has dropped the switch refuses it; the app is built all the same.
func TestOnlyKnownExperimentsAreAsked(t *testing.T) {
	root, err := Root()
	if err != nil {
		t.Fatal(err)
	}
	if got := accepted(root, "nosuchexperiment"); got != "" {
		t.Errorf("asked for %q, which Go does not know", got)
	}
	if got := accepted(root, "nofieldtrack"); got != "nofieldtrack" {
		t.Errorf("asked for %q, want nofieldtrack, which Go knows", got)
	}
}

func TestCompressKeepsAndChecks(t *testing.T) {
	t.Setenv("XDG_CACHE_HOME", t.TempDir())
	data := bytes.Repeat([]byte("opens at 104.5, closes at 259.5; "), 400)
	small, err := compress(data, true)
	if err != nil || len(small) >= len(data)/10 {
		t.Fatalf("%d bytes became %d, %v", len(data), len(small), err)
	}
	kept := keptAs(data, 4)
	if got, err := os.ReadFile(kept); err != nil || !bytes.Equal(got, small) {
		t.Fatalf("the cache holds %d bytes, %v", len(got), err)
	}
	if err := os.WriteFile(kept, []byte("damaged"), 0o644); err != nil {
		t.Fatal(err)
	}
	if again, err := compress(data, true); err != nil || !bytes.Equal(again, small) {
		t.Errorf("a damaged cache gave %d bytes, %v", len(again), err)
	}
}
