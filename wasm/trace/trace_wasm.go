//go:build js && wasm

// Package trace says where the running goroutine is, in a form that names can
// be put to later: the app has none of its own functions' names in it.
package trace

import (
	"runtime"
	"strconv"
)

const depth = 64 // frames; a fault deeper than that is one of recursion

// Stack returns the program counters of the functions that have not returned,
// innermost first, a line for each: pc=0x13f20007.
func Stack() string {
	const this = 2 // runtime.Callers and Stack
	var counters [depth]uintptr
	var out []byte
	for _, pc := range counters[:runtime.Callers(this, counters[:])] {
		out = append(out, "pc=0x"...)
		out = strconv.AppendUint(out, uint64(pc), 16)
		out = append(out, '\n')
	}
	return string(out)
}
