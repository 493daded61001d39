package ui

import (
	"portwright/wasm/app"
	"portwright/wasm/view"
)

// EnginePage is station Engine.
type EnginePage struct {
	View *view.EngineView
	Send func(app.Msg)
}
