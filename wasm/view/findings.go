package view

import "portwright/wasm/app"

// FindingsView is station Findings ready to show.
type FindingsView struct{}

func findingsOf(m *app.Model) *FindingsView { return &FindingsView{} }
