// Package static holds what the server sends to a browser: the packed build
// that `go run ./cmd/dev build` made before this package was compiled.
package static

import (
	"embed"
	"io/fs"
)

//go:embed all:dist
var dist embed.FS

// Dist is the packed build. It holds no release when nothing was packed before
// compiling.
func Dist() fs.FS {
	sub, err := fs.Sub(dist, "dist")
	if err != nil { // the folder's name is a constant that embed has checked
		panic(err)
	}
	return sub
}
