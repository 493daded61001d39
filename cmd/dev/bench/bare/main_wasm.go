//go:build js && wasm

package main

import (
	"github.com/vugu/vugu"
	"github.com/vugu/vugu/domrender"
)

func main() {
	renderer, err := domrender.New("#app")
	if err != nil {
		panic(err)
	}
	env, err := vugu.NewBuildEnv(renderer.EventEnv())
	if err != nil {
		panic(err)
	}
	root := &Root{Lines: []string{"one", "two"}}
	for ok := true; ok; ok = renderer.EventWait() {
		if err := renderer.Render(env.RunBuild(root)); err != nil {
			panic(err)
		}
	}
}
