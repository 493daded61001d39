//go:build !(js && wasm)

package main

import "fmt"

func main() { fmt.Println("page runs in a browser: build it with GOOS=js GOARCH=wasm") }
