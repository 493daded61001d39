// Package ui is the screen as components. Each gets a view and Send, prints
// the one and hands intents to the other; none computes anything.
package ui

//go:generate go tool vugugen -skip-go-mod -skip-main .
//go:generate go run ./compact .

import (
	"portwright/wasm/app"
	"portwright/wasm/view"
)

// Root is the whole screen.
type Root struct {
	Screen view.Screen
	Send   func(app.Msg)
}

// Strip is the line along the top.
type Strip struct {
	View view.Strip
	Send func(app.Msg)
}

// StationNav leads from station to station.
type StationNav struct{ Items []view.NavItem }

// SaveBanner says that something could not be kept.
type SaveBanner struct {
	View view.SaveBanner
	Send func(app.Msg)
}

// UpdateBar offers a new version.
type UpdateBar struct {
	View view.UpdateBar
	Send func(app.Msg)
}
