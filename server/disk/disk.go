// Package disk is what the shop PC's disk is asked for beside files: room, a
// lock, and that a name is on it.
package disk

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
)

// ErrLocked says that another program holds the lock.
var ErrLocked = errors.New("held by another program")

// WriteFile writes a file so that after a power cut either the old one is there
// or the new one, whole: beside it, synced, renamed.
func WriteFile(name string, data []byte) error {
	part, err := os.CreateTemp(filepath.Dir(name), ".part-*")
	if err != nil {
		return err
	}
	defer os.Remove(part.Name())
	_, err = part.Write(data)
	return errors.Join(err, Commit(part, name))
}

// Commit syncs and closes a file that was written beside, and gives it its
// name. The file is closed in any case.
func Commit(part *os.File, name string) error {
	if err := errors.Join(part.Sync(), part.Close()); err != nil {
		return err
	}
	return Rename(part.Name(), name)
}

// Rename renames and makes the new name durable.
func Rename(from, to string) error {
	if err := os.Rename(from, to); err != nil {
		return err
	}
	if a, b := filepath.Dir(from), filepath.Dir(to); a != b {
		if err := SyncDir(a); err != nil {
			return err
		}
	}
	return SyncDir(filepath.Dir(to))
}

// Lock is a lock on a folder that ends with the program, however that ends.
type Lock struct{ f *os.File }

// LockName is the file in the folder that carries the lock.
const LockName = "in-use"

// TakeLock locks a folder. It wraps ErrLocked when another program has it.
func TakeLock(dir string) (*Lock, error) {
	name := filepath.Join(dir, LockName)
	f, err := openLock(name)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	return &Lock{f}, nil
}

// Release gives the lock back.
func (l *Lock) Release() error { return l.f.Close() }
