package ui

import (
	"portwright/wasm/app"
	"portwright/wasm/view"
)

// BookPage is station Book.
type BookPage struct {
	View *view.BookView
	Send func(app.Msg)
}
