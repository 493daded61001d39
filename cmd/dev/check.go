package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"

	"portwright/static/release"
)

// sources lists the Go files of the repository.
func sources(root string) ([]string, error) {
	var out []string
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() && path != root && (strings.HasPrefix(d.Name(), ".") || d.Name() == "dist" || d.Name() == "shots") {
			return fs.SkipDir
		}
		if !d.IsDir() && strings.HasSuffix(path, ".go") {
			out = append(out, path)
		}
		return nil
	})
	return out, err
}

func (t *tester) gofmt() error {
	files, err := sources(t.root)
	if err != nil {
		return err
	}
	files = slices.DeleteFunc(files, func(f string) bool { return strings.HasSuffix(f, "_gen.go") })
	cmd := exec.Command("gofmt", append([]string{"-l"}, files...)...)
	cmd.Dir = t.root
	out, err := cmd.CombinedOutput()
	if err != nil {
		return fmt.Errorf("gofmt: %w: %s", err, out)
	}
	if len(out) > 0 {
		return fmt.Errorf("not formatted (run gofmt -w on them):\n%s", out)
	}
	return nil
}

// generated makes the generated code anew; committed code that differs was
// made from other templates.
func (t *tester) generated() error {
	before, err := t.generatedSums()
	if err != nil {
		return err
	}
	if err := tool(t.root, "go", "generate", "./...").Run(); err != nil {
		return err
	}
	after, err := t.generatedSums()
	if err != nil {
		return err
	}
	if maps.Equal(before, after) {
		return nil
	}
	var stale []string
	for name := range after {
		if before[name] != after[name] {
			stale = append(stale, name)
		}
	}
	slices.Sort(stale)
	return fmt.Errorf("go generate made these anew, and other than they were; commit them:\n%s", strings.Join(stale, "\n"))
}

func (t *tester) generatedSums() (map[string]string, error) {
	files, err := sources(t.root)
	if err != nil {
		return nil, err
	}
	out := map[string]string{}
	for _, f := range files {
		if !strings.HasSuffix(f, "_gen.go") {
			continue
		}
		data, err := os.ReadFile(f)
		if err != nil {
			return nil, err
		}
		out[f] = release.Sum(data)
	}
	return out, nil
}

// forBrowser lists the packages that are compiled for the browser.
var forBrowser = []string{"./engine/...", "./wasm", "./wasm/app/...", "./wasm/view/...", "./wasm/ui/...", "./wasm/render/...", "./wasm/browser/...", "./wasm/sync/..."}

// likePrintf makes vet hold forms against values in these functions too.
const likePrintf = "-printf.funcs=portwright/engine/unit.Sprintf,portwright/engine/unit.Errorf"

func (t *tester) vet() error {
	host := tool(t.root, "go", "vet", likePrintf, "./...")
	web := tool(t.root, "go", append([]string{"vet", likePrintf}, forBrowser...)...)
	web.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm")
	return errors.Join(host.Run(), web.Run())
}

func (t *tester) staticcheck() error {
	host := tool(t.root, "go", "tool", "staticcheck", "./...")
	path, err := exec.Command("go", "tool", "-n", "staticcheck").Output()
	if err != nil {
		return errors.Join(host.Run(), err)
	}
	// The tool itself runs here; what it looks at is for the browser.
	web := tool(t.root, strings.TrimSpace(string(path)), forBrowser...)
	web.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm")
	return errors.Join(host.Run(), web.Run())
}

// listed is what go list says of a package.
type listed struct {
	ImportPath   string
	Dir          string
	Imports      []string
	TestImports  []string
	XTestImports []string
	Deps         []string
	Standard     bool
	ForTest      string
}

// list runs go list -json with further arguments and environment.
func list(root string, env []string, args ...string) ([]listed, error) {
	cmd := exec.Command("go", append([]string{"list", "-json"}, args...)...)
	cmd.Dir = root
	cmd.Env = append(os.Environ(), env...)
	var said bytes.Buffer
	cmd.Stderr = &said
	out, err := cmd.Output()
	if err != nil {
		return nil, fmt.Errorf("go list %s: %w: %s", strings.Join(args, " "), err, said.String())
	}
	var all []listed
	dec := json.NewDecoder(bytes.NewReader(out))
	for {
		var p listed
		if err := dec.Decode(&p); errors.Is(err, io.EOF) {
			return all, nil
		} else if err != nil {
			return nil, err
		}
		all = append(all, p)
	}
}

const harness = "portwright/wasm/e2e/chrome"

// packages tells the packages whose tests open a browser, which run one after
// the other, from all others.
func (t *tester) packages() (plain, browser []string, err error) {
	all, err := list(t.root, nil, "./...")
	if err != nil {
		return nil, nil, err
	}
	for _, p := range all {
		tests := slices.Concat(p.TestImports, p.XTestImports)
		if p.ImportPath == harness || slices.Contains(tests, harness) || p.ImportPath == "portwright/cmd/dev/inbrowser" {
			browser = append(browser, p.ImportPath)
		} else {
			plain = append(plain, p.ImportPath)
		}
	}
	return plain, browser, nil
}
