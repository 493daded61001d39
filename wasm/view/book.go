package view

import "portwright/wasm/app"

// BookView is station Book ready to show.
type BookView struct{}

func bookOf(m *app.Model) *BookView { return &BookView{} }
