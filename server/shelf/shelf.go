// Package shelf keeps earlier builds of the app on the shop PC, so that a
// phone that still has one can fetch the files it has lost.
package shelf

import (
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"time"

	"portwright/static/release"
)

// Spare is how many builds stay beside the one in use.
const Spare = 2

// Shelf is a folder of builds, each in a folder named by its id.
type Shelf struct{ dir string }

// Open returns the shelf in dir/builds and makes the folder.
func Open(dir string) (*Shelf, error) {
	s := &Shelf{dir: filepath.Join(dir, "builds")}
	if err := os.MkdirAll(s.dir, 0o755); err != nil {
		return nil, fmt.Errorf("folder for earlier builds: %w", err)
	}
	return s, nil
}

// Keep copies the build in dist onto the shelf and marks it as the last one in
// use. A copy is whole or not there: it is made beside and renamed.
func (s *Shelf) Keep(dist fs.FS) error {
	rel, err := release.Read(dist)
	if err != nil {
		return err
	}
	to := filepath.Join(s.dir, rel.Build)
	if _, err := release.Read(os.DirFS(to)); err != nil {
		if err := s.copy(dist, rel, to); err != nil {
			return fmt.Errorf("keeping build %s: %w", rel.Build, err)
		}
	}
	now := time.Now()
	if err := os.Chtimes(filepath.Join(to, release.Name), now, now); err != nil {
		return err
	}
	return s.clear()
}

func (s *Shelf) copy(dist fs.FS, rel *release.Release, to string) error {
	part, err := os.MkdirTemp(s.dir, "part-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(part)
	names := []string{release.Name}
	for _, f := range rel.Files {
		names = append(names, f.Inside(), f.Inside()+".br")
	}
	for _, name := range names {
		data, err := fs.ReadFile(dist, name)
		if errors.Is(err, fs.ErrNotExist) && filepath.Ext(name) == ".br" {
			continue // not every file has a compressed form
		}
		if err != nil {
			return err
		}
		file := filepath.Join(part, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(file), 0o755); err != nil {
			return err
		}
		if err := os.WriteFile(file, data, 0o644); err != nil {
			return err
		}
	}
	if err := os.Chmod(part, 0o755); err != nil {
		return err
	}
	if err := os.RemoveAll(to); err != nil { // a damaged copy
		return err
	}
	return os.Rename(part, to)
}

type kept struct {
	name string
	at   time.Time
}

// list returns the builds on the shelf, the last used first.
func (s *Shelf) list() ([]kept, error) {
	entries, err := os.ReadDir(s.dir)
	if err != nil {
		return nil, err
	}
	var out []kept
	for _, e := range entries {
		if !e.IsDir() || !release.ValidID(e.Name()) {
			continue
		}
		info, err := os.Stat(filepath.Join(s.dir, e.Name(), release.Name))
		if err != nil {
			continue // no release: not whole
		}
		out = append(out, kept{e.Name(), info.ModTime()})
	}
	slices.SortFunc(out, func(a, b kept) int {
		return cmp.Or(b.at.Compare(a.at), cmp.Compare(a.name, b.name))
	})
	return out, nil
}

// clear removes what is older than the spare builds.
func (s *Shelf) clear() error {
	all, err := s.list()
	if err != nil {
		return err
	}
	for i, k := range all {
		if i > Spare {
			if err := os.RemoveAll(filepath.Join(s.dir, k.name)); err != nil {
				return err
			}
		}
	}
	return nil
}

// Earlier returns the whole builds on the shelf but the one in inUse, the last
// used first. A damaged one is left out.
func (s *Shelf) Earlier(inUse fs.FS) ([]fs.FS, error) {
	now, err := release.Read(inUse)
	if err != nil {
		return nil, err
	}
	all, err := s.list()
	if err != nil {
		return nil, err
	}
	var out []fs.FS
	for _, k := range all {
		dist := os.DirFS(filepath.Join(s.dir, k.name))
		if rel, err := release.Read(dist); k.name == now.Build || err != nil || rel.Build != k.name {
			continue
		}
		out = append(out, dist)
	}
	return out, nil
}
