//go:build !(js && wasm)

package main

import (
	"fmt"
	"os"
)

func main() {
	fmt.Fprintln(os.Stderr, "The app runs in a browser: start it with  go run ./cmd/dev run")
	os.Exit(2)
}
