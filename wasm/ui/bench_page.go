package ui

import (
	"portwright/wasm/app"
	"portwright/wasm/view"
)

// BenchPage is station Bench.
type BenchPage struct {
	View *view.BenchView
	Send func(app.Msg)
}
