// Package release describes one build of the app as it is served: its id and
// the files that belong to it, each with its SHA-256 and size. The packer
// writes it as build.json, the server reads it, the service worker carries
// the same list inside itself.
package release

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"path"
	"strings"
)

// Name is the file that holds the release, written last: a folder without it
// is not a whole build.
const Name = "build.json"

// Worker is the service worker's file beside Name; it is not content-addressed
// since a browser asks for it under one address for ever.
const Worker = "sw.js"

// Withdrawn is the service worker that removes itself and the kept files: a
// server that withdraws the app's version serves it in Worker's place.
const Withdrawn = "withdrawn.js"

// IDLen is the length of a build id: hexadecimal digits of a SHA-256.
const IDLen = 16

// Release is one build.
type Release struct {
	Build string `json:"build"`
	Files []File `json:"files"`
}

// File is one file of a build. Path is absolute on the site and starts with
// the build's Base.
type File struct {
	Path   string `json:"path"`
	SHA256 string `json:"sha256"` // hexadecimal
	Size   int    `json:"size"`
}

// ErrNone means that the folder holds no build at all.
var ErrNone = errors.New("no build")

// Base is the folder of a build's content-addressed files on the site.
func Base(build string) string { return "/b/" + build + "/" }

// Inside returns the file's name inside a dist folder.
func (f File) Inside() string { return strings.TrimPrefix(f.Path, "/") }

// ValidID says whether s can be a build id. Anything else must not become part
// of a file name.
func ValidID(s string) bool {
	if len(s) != IDLen {
		return false
	}
	for _, c := range s {
		if (c < '0' || c > '9') && (c < 'a' || c > 'f') {
			return false
		}
	}
	return true
}

// Sum is the SHA-256 of data in hexadecimal.
func Sum(data []byte) string {
	s := sha256.Sum256(data)
	return hex.EncodeToString(s[:])
}

// Read reads and checks the release in dist: every file is there with the size
// and the SHA-256 that are promised, and lies in the build's own folder.
// ErrNone when there is none.
func Read(dist fs.FS) (*Release, error) {
	data, err := fs.ReadFile(dist, Name)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, ErrNone
	}
	if err != nil {
		return nil, fmt.Errorf("%s: %w", Name, err)
	}
	var r Release
	if err := json.Unmarshal(data, &r); err != nil {
		return nil, fmt.Errorf("%s is not a release: %w", Name, err)
	}
	if !ValidID(r.Build) {
		return nil, fmt.Errorf("%s: build %q is not %d hexadecimal digits", Name, r.Build, IDLen)
	}
	for _, f := range r.Files {
		if err := r.check(dist, f); err != nil {
			return nil, err
		}
	}
	return &r, nil
}

func (r *Release) check(dist fs.FS, f File) error {
	if !strings.HasPrefix(f.Path, Base(r.Build)) || path.Clean(f.Path) != f.Path {
		return fmt.Errorf("%s: path %q does not lie in %s", Name, f.Path, Base(r.Build))
	}
	data, err := fs.ReadFile(dist, f.Inside())
	if err != nil {
		return fmt.Errorf("build %s: %w", r.Build, err)
	}
	if len(data) != f.Size {
		return fmt.Errorf("build %s: %s has %d bytes, %d were packed", r.Build, f.Path, len(data), f.Size)
	}
	if got := Sum(data); got != f.SHA256 {
		return fmt.Errorf("build %s: %s has SHA-256 %s, %s was packed", r.Build, f.Path, got, f.SHA256)
	}
	return nil
}

// Policy is the Content-Security-Policy of every page, from the server and
// from the service worker alike. 'wasm-unsafe-eval' lets WebAssembly be
// compiled and nothing else be evaluated.
const Policy = "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; style-src 'self'; img-src 'self' data: blob:; " +
	"font-src 'self'; " + connects + "; worker-src 'self'; manifest-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"

const connects = "connect-src 'self'"

// PolicyWith is the Policy of a page that may also ask the shop PC under its
// other addresses: https://shop-pc.local:8443. Addresses of IPv6 can't be named
// in a policy and are left out.
func PolicyWith(origins []string) string {
	all := connects
	for _, origin := range origins {
		if !strings.Contains(origin, "[") {
			all += " " + origin
		}
	}
	return strings.Replace(Policy, connects, all, 1)
}
