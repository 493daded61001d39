//go:build !(js && wasm)

package main

import (
	"fmt"
	"os"
)

func main() {
	fmt.Fprintln(os.Stderr, "this page is for a browser; go run ./cmd/dev bench weighs it")
	os.Exit(2)
}
