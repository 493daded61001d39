package main

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"

	"portwright/cmd/dev/alone"
	"portwright/static/pack"
)

// sizes weighs the app's WebAssembly, compressed, alone and against a bare
// page of vugu with vugu's own renderer that is compiled without further ado.
func sizes(root string, r *alone.Runner) []row {
	app, err := pack.Compile(root, "./wasm")
	r.Must(err)
	weight, err := app.Weight()
	r.Must(err)

	dir, err := os.MkdirTemp("", "portwright-bare-")
	r.Must(err)
	defer os.RemoveAll(dir)
	file := filepath.Join(dir, "bare.wasm")
	build := exec.Command("go", "build", "-trimpath", "-ldflags", "-s -w", "-o", file, "./cmd/dev/bench/bare")
	build.Dir, build.Env = root, append(os.Environ(), "GOOS=js", "GOARCH=wasm")
	said, err := build.CombinedOutput()
	if err != nil {
		r.Must(fmt.Errorf("%w\n%s", err, said))
	}
	bare, err := os.ReadFile(file)
	r.Must(err)
	bareWeight, err := pack.Weigh(bare)
	r.Must(err)

	ratio := float64(weight) / float64(bareWeight)
	return []row{
		{"WebAssembly after brotli 11", "1,000,000 bytes", fmt.Sprintf("%d bytes (%d before)", weight, len(app.Module)), judge(float64(weight), pack.LimitBrotli)},
		{"the same against a bare page of vugu with its own renderer", "1.3 times", fmt.Sprintf("%.2f times (that one: %d)", ratio, bareWeight), judge(ratio, 1.3)},
	}
}
