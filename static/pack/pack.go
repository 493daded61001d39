// Package pack builds everything that is served: it compiles the app to
// WebAssembly, collects the page, styles, fonts, icons and scripts round it,
// puts them under an address made of their own contents, and compresses them.
//
//	dist/build.json                 the release: id and files
//	dist/sw.js, dist/withdrawn.js   the service worker, and the one that removes it
//	dist/b/<id>/...                 every file of the build, and file.br beside it
package pack

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path"
	"path/filepath"
	"runtime"
	"slices"
	"strings"

	"portwright/static/release"
)

// LimitBrotli is the most that the WebAssembly may weigh in bytes, squeezed and
// compressed with brotli 11: what a phone fetches on the workshop's Wi-Fi in a second or
// two.
const LimitBrotli = 1_000_000

// knownGo is the version of Go whose tables slim knows.
const knownGo = "go1.26"

// codeFile is the app's WebAssembly, squeezed.
const codeFile = "app.code"

// Options say what to build. The zero value builds the app of this repository
// into static/dist.
type Options struct {
	Root  string    // top of the repository; "" looks upwards for go.mod
	Out   string    // folder to fill; "" is static/dist
	Main  string    // package of the app; "" is ./wasm
	App   *App      // what Compile returned, to spare compiling again
	Stamp string    // goes into the page as a comment: another stamp is another build
	Fast  bool      // brotli 4 in place of 11 and no limit: for tries, not for use
	Log   io.Writer // nil: quiet
}

// Result says what was built.
type Result struct {
	Build  string
	Dir    string
	Files  int
	Wasm   int // bytes
	Brotli int // bytes of the compressed WebAssembly
}

// Build packs the app.
func Build(o Options) (*Result, error) {
	if err := o.fill(); err != nil {
		return nil, err
	}
	app := o.App
	if app == nil {
		var err error
		if app, err = Compile(o.Root, o.Main); err != nil {
			return nil, err
		}
	}
	site, err := collect(o.Root, o.Stamp)
	if err != nil {
		return nil, err
	}
	site[codeFile], site[namesFile] = app.Module, app.Names
	id := identify(site)
	module, err := stampApp(app.Module, id)
	if err != nil {
		return nil, err
	}
	whole := app.Whole
	if site[codeFile], err = squeeze(module); err != nil { // the page takes it as it is, too
		site[codeFile], whole = module, errors.Join(whole, err)
	}
	if err := fillIn(site, id, module); err != nil {
		return nil, err
	}
	res := &Result{Build: id, Dir: o.Out, Wasm: len(app.Module), Files: len(site)}
	if err := write(o, site, res); err != nil {
		return nil, err
	}
	fmt.Fprintf(o.Log, "build %s: %d files, WebAssembly %.2f MB, %d bytes compressed\n", id, len(site), float64(res.Wasm)/1e6, res.Brotli)
	switch {
	case whole != nil && !o.Fast && strings.HasPrefix(runtime.Version(), knownGo):
		return res, fmt.Errorf("the WebAssembly does not become slim: %w", whole)
	case whole != nil:
		fmt.Fprintf(o.Log, "the WebAssembly is whole, not slim: %v\n", whole)
	case !o.Fast && res.Brotli > LimitBrotli:
		return res, fmt.Errorf("the WebAssembly has %d bytes after brotli 11; the limit is %d", res.Brotli, LimitBrotli)
	}
	return res, nil
}

func (o *Options) fill() error {
	if o.Root == "" {
		root, err := Root()
		if err != nil {
			return err
		}
		o.Root = root
	}
	if o.Out == "" {
		o.Out = filepath.Join(o.Root, "static", "dist")
	}
	if o.Main == "" {
		o.Main = "./wasm"
	}
	if o.Log == nil {
		o.Log = io.Discard
	}
	return nil
}

// Root is the top of the repository that the working directory lies in.
func Root() (string, error) {
	dir, err := os.Getwd()
	if err != nil {
		return "", err
	}
	for {
		mod, err := os.ReadFile(filepath.Join(dir, "go.mod"))
		if err == nil && strings.HasPrefix(string(mod), "module portwright\n") {
			return dir, nil
		}
		up := filepath.Dir(dir)
		if up == dir {
			return "", errors.New("not inside Portwright's repository: no go.mod of it upwards from here")
		}
		dir = up
	}
}

// site is a build's files by their name below its base.
type site map[string][]byte

func (s site) names() []string {
	out := make([]string, 0, len(s))
	for name := range s {
		out = append(out, name)
	}
	slices.Sort(out)
	return out
}

// identify makes the build's id of everything that goes into it, before the id
// itself is filled in.
func identify(s site) string {
	h := sha256.New()
	for _, name := range s.names() {
		fmt.Fprintf(h, "%s %s\n", release.Sum(s[name]), name)
	}
	return hex.EncodeToString(h.Sum(nil))[:release.IDLen]
}

// write fills the folder: old contents go first, the release comes last, so
// that a folder with a release is whole.
func write(o Options, s site, res *Result) error {
	if err := empty(o.Out); err != nil {
		return err
	}
	rel := release.Release{Build: res.Build}
	for _, name := range s.names() {
		data := s[name]
		inside := name
		if !atTop(name) {
			f := release.File{Path: release.Base(res.Build) + name, SHA256: release.Sum(data), Size: len(data)}
			rel.Files = append(rel.Files, f)
			inside = f.Inside()
		}
		to := filepath.Join(o.Out, filepath.FromSlash(inside))
		if err := put(to, data); err != nil {
			return err
		}
		if !compressible(name) {
			continue
		}
		small, err := compress(data, o.Fast)
		if err != nil {
			return fmt.Errorf("compressing %s: %w", name, err)
		}
		if name == codeFile {
			res.Brotli = len(small)
		}
		if err := put(to+".br", small); err != nil {
			return err
		}
	}
	data, err := json.MarshalIndent(rel, "", " ")
	if err != nil {
		return err
	}
	return put(filepath.Join(o.Out, release.Name), append(data, '\n'))
}

// atTop says which files have one address for ever and lie beside the release.
func atTop(name string) bool { return name == release.Worker || name == release.Withdrawn }

func put(name string, data []byte) error {
	if err := os.MkdirAll(filepath.Dir(name), 0o755); err != nil {
		return err
	}
	return os.WriteFile(name, data, 0o644)
}

// empty clears the folder but for the file that keeps it in the repository.
func empty(dir string) error {
	if err := os.Remove(filepath.Join(dir, release.Name)); err != nil && !errors.Is(err, os.ErrNotExist) {
		return err
	}
	old, err := os.ReadDir(dir)
	if err != nil && !errors.Is(err, os.ErrNotExist) {
		return err
	}
	for _, e := range old {
		if e.Name() == ".keep" {
			continue
		}
		if err := os.RemoveAll(filepath.Join(dir, e.Name())); err != nil {
			return err
		}
	}
	return os.MkdirAll(dir, 0o755)
}

func compressible(name string) bool {
	switch path.Ext(name) {
	case ".code", ".js", ".css", ".html", ".svg", ".webmanifest", ".txt":
		return true
	}
	return false
}
