//go:build !(js && wasm)

package render

import (
	"errors"

	"github.com/vugu/vugu"
)

// New needs a page; outside of a browser it returns an error.
func New(string, vugu.Builder, ...Option) (*Renderer, error) {
	return nil, errors.New("render: there is no page to draw in: build for GOOS=js GOARCH=wasm")
}
