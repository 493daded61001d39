// Package demo holds an invented build for a first look: a small piston-port
// engine, as received, read three times at every event, with one transfer that
// opens later than the other. No such engine exists.
package demo

import _ "embed"

//go:embed demo.json
var file []byte

// Build returns the demo as a build file. The caller owns the bytes.
func Build() []byte { return append([]byte(nil), file...) }
