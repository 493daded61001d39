package view

import "portwright/wasm/app"

// BenchView is station Bench ready to show.
type BenchView struct{}

func benchOf(m *app.Model) *BenchView { return &BenchView{} }
