package view

import "portwright/wasm/app"

// EngineView is station Engine ready to show.
type EngineView struct{}

func engineOf(m *app.Model) *EngineView { return &EngineView{} }
