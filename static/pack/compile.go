package pack

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"

	"portwright/static/release"
)

// unstamped stands in the linked WebAssembly where the build's id will be. It
// has the id's length, so that the id can be put in its place.
const unstamped = "UNSTAMPED-BUILD."

// App is what Compile makes: the WebAssembly, without a build id yet, since the
// id is made of it, and the names of its functions as namesFile holds them.
// Whole says why the WebAssembly is as it was linked; it is nil when it is slim.
type App struct {
	Module, Names []byte
	Whole         error
}

// Compile compiles the app's package for the browser, small before fast: no
// function is copied into its callers (-l) but in the packages of inlined, and
// what a phone has no use for is left out (lean, slim).
func Compile(root, main string) (*App, error) {
	dir, err := os.MkdirTemp("", "portwright-pack-")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	out := filepath.Join(dir, "app.wasm")
	modfile, err := lean(root, dir)
	if err != nil {
		return nil, err
	}
	args := []string{"build", "-trimpath", "-modfile", modfile, "-ldflags", "-s -w -X main.build=" + unstamped, "-o", out, "-gcflags", "all=-l"}
	for _, p := range inlined {
		args = append(args, "-gcflags", p+"=")
	}
	cmd := exec.Command("go", append(args, main)...)
	cmd.Dir = root
	cmd.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm", "GOFLAGS=", "CGO_ENABLED=0", "GOEXPERIMENT="+accepted(root, smallCollector))
	if said, err := cmd.CombinedOutput(); err != nil {
		return nil, fmt.Errorf("the app does not compile for the browser:\n%s%w", said, err)
	}
	module, err := os.ReadFile(out)
	if err != nil {
		return nil, err
	}
	app, err := slim(module)
	if err != nil { // an app that is larger than it need be is better than none
		return &App{Module: module, Whole: err}, nil
	}
	return app, nil
}

// inlined are the packages that run all the time: the runtime, and what
// computes most.
var inlined = []string{"runtime", "internal/runtime/...", "internal/abi", "internal/bytealg", "math", "math/bits", "portwright/engine/crank", "portwright/engine/stat"}

// smallCollector asks for the garbage collector of Go 1.25, which has less
// code; the newer one gains on many cores, and WebAssembly runs on one.
const smallCollector = "nogreenteagc"

// accepted returns the experiment when this Go knows it, and otherwise none.
func accepted(root, experiment string) string {
	cmd := exec.Command("go", "env", "GOEXPERIMENT")
	cmd.Dir, cmd.Env = root, append(os.Environ(), "GOOS=js", "GOARCH=wasm", "GOEXPERIMENT="+experiment)
	if cmd.Run() != nil {
		return ""
	}
	return experiment
}

// stampApp puts the build's id into the WebAssembly.
func stampApp(app []byte, id string) ([]byte, error) {
	if len(id) != len(unstamped) || !release.ValidID(id) {
		return nil, fmt.Errorf("build id %q is not %d hexadecimal digits", id, release.IDLen)
	}
	switch n := bytes.Count(app, []byte(unstamped)); n {
	case 1:
		return bytes.Replace(app, []byte(unstamped), []byte(id), 1), nil
	case 0:
		return nil, errors.New("the app's package main has no string variable build that it uses: page, app and service worker could not tell a mixed version")
	default:
		return nil, fmt.Errorf("the place of the build id occurs %d times in the WebAssembly, want 1", n)
	}
}

// goroot is the folder of the Go that compiles: its wasm_exec.js belongs to
// its WebAssembly and to no other.
func goroot(root string) (string, error) {
	cmd := exec.Command("go", "env", "GOROOT")
	cmd.Dir = root
	out, err := cmd.Output()
	if err != nil {
		return "", fmt.Errorf("go env GOROOT: %w", err)
	}
	return strings.TrimSpace(string(out)), nil
}
