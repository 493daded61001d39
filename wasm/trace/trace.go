//go:build !(js && wasm)

// Package trace says where the running goroutine is. Outside of a browser the
// runtime has its names.
package trace

import "runtime/debug"

// Stack returns the runtime's own text.
func Stack() string { return string(debug.Stack()) }
