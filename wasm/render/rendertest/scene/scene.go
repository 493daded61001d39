// Package scene holds small components, each of which provokes one kind of
// fault that a renderer can have. Package page shows one of them; the tests of
// package rendertest work it in a real browser.
package scene

//go:generate go tool vugugen -skip-go-mod -skip-main .

import (
	"strings"

	"github.com/vugu/vugu"
)

// Named returns a fresh scene, nil for an unknown name.
func Named(name string) vugu.Builder {
	switch name {
	case "edit":
		return &Edit{Text: "text"}
	case "calls":
		return &Calls{}
	case "swap":
		return &Swap{}
	case "list":
		l := &List{}
		l.fill()
		return l
	case "long":
		l := &Long{}
		l.grow()
		return l
	case "styled":
		return &Styled{Width: 50}
	case "numbers":
		return &Numbers{Stays: "model", Radio: "1", Choice: "b", Choices: []string{"a", "b", "c"}}
	case "drawing":
		return &Drawing{R: 10}
	case "life":
		return &Life{On: true}
	case "moves":
		return &Moves{Keys: []string{"a", "b", "c", "d", "e"}}
	case "churn":
		return &Churn{}
	case "native":
		return &Native{}
	case "foreign":
		return &Foreign{}
	case "fault":
		return &Fault{}
	case "events":
		return &Events{}
	case "rows":
		return NewRows(2000)
	}
	return nil
}

// record is what happened, in order, for the test to read.
type record struct{ entries []string }

func (r *record) add(s string)   { r.entries = append(r.entries, s) }
func (r *record) String() string { return strings.Join(r.entries, ", ") }
