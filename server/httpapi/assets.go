package httpapi

import (
	"errors"
	"fmt"
	"io/fs"
	"path"

	"portwright/static/release"
)

// kinds are the content types by file ending. The machine's own table is never
// asked: on some systems it comes from a registry that other programs change,
// and WebAssembly compiles while it loads only under its exact type.
var kinds = map[string]string{
	".html":        "text/html; charset=utf-8",
	".js":          "text/javascript; charset=utf-8",
	".css":         "text/css; charset=utf-8",
	".wasm":        "application/wasm",
	".code":        "application/octet-stream",
	".webmanifest": "application/manifest+json",
	".json":        "application/json",
	".svg":         "image/svg+xml",
	".png":         "image/png",
	".woff2":       "font/woff2",
	".txt":         "text/plain; charset=utf-8",
}

// asset is one file as it is sent.
type asset struct {
	kind  string
	etag  string // SHA-256 of the bytes before compression, unquoted
	plain []byte
	small []byte // brotli; nil when there is none
}

func load(dist fs.FS, name string) (*asset, error) {
	kind, ok := kinds[path.Ext(name)]
	if !ok {
		return nil, fmt.Errorf("%s: no content type for %q is known", name, path.Ext(name))
	}
	plain, err := fs.ReadFile(dist, name)
	if err != nil {
		return nil, err
	}
	small, err := fs.ReadFile(dist, name+".br")
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, err
	}
	return &asset{kind: kind, etag: release.Sum(plain), plain: plain, small: small}, nil
}

// loadBuild reads every file of one build by its path on the site.
func loadBuild(dist fs.FS) (*release.Release, map[string]*asset, error) {
	rel, err := release.Read(dist)
	if err != nil {
		return nil, nil, err
	}
	files := make(map[string]*asset, len(rel.Files))
	for _, f := range rel.Files {
		if files[f.Path], err = load(dist, f.Inside()); err != nil {
			return nil, nil, err
		}
	}
	return rel, files, nil
}
