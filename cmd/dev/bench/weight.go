package main

import (
	"fmt"

	"portwright/cmd/dev/alone"
	"portwright/static/pack"
)

// sizes weighs the app's WebAssembly, compressed, alone and against a bare
// page of vugu with vugu's own renderer that is compiled and slimmed alike.
func sizes(root string, r *alone.Runner) []row {
	app, err := pack.Compile(root, "./wasm")
	r.Must(err)
	weight, err := pack.Weigh(app.Module)
	r.Must(err)

	bare, err := pack.Compile(root, "./cmd/dev/bench/bare")
	r.Must(err)
	bareWeight, err := pack.Weigh(bare.Module)
	r.Must(err)

	ratio := float64(weight) / float64(bareWeight)
	return []row{
		{"WebAssembly after brotli 11", "1,000,000 bytes", fmt.Sprintf("%d bytes (%d before)", weight, len(app.Module)), judge(float64(weight), pack.LimitBrotli)},
		{"the same against a bare page of vugu with its own renderer", "1.3 times", fmt.Sprintf("%.2f times (that one: %d)", ratio, bareWeight), judge(ratio, 1.3)},
	}
}
