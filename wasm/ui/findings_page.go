package ui

import (
	"portwright/wasm/app"
	"portwright/wasm/view"
)

// FindingsPage is station Findings.
type FindingsPage struct {
	View *view.FindingsView
	Send func(app.Msg)
}
