//go:build !(js && wasm)

package main

import "fmt"

func main() { fmt.Println("This program runs in a browser only: GOOS=js GOARCH=wasm go build.") }
