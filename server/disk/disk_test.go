package disk

import (
	"errors"
	"os"
	"path/filepath"
	"testing"
)

func TestWriteFile(t *testing.T) {
	dir := t.TempDir()
	name := filepath.Join(dir, "a")
	for _, text := range []string{"one", "two"} {
		if err := WriteFile(name, []byte(text)); err != nil {
			t.Fatal(err)
		}
		if got, err := os.ReadFile(name); err != nil || string(got) != text {
			t.Errorf("%q, %v; want %q", got, err, text)
		}
	}
	if err := WriteFile(filepath.Join(dir, "none", "a"), nil); err == nil {
		t.Error("no folder, no error")
	}
	if left, _ := os.ReadDir(dir); len(left) != 1 {
		t.Errorf("%d files are left", len(left))
	}
}

func TestLock(t *testing.T) {
	dir := t.TempDir()
	l, err := TakeLock(dir)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := TakeLock(dir); !errors.Is(err, ErrLocked) {
		t.Errorf("a second lock: %v", err)
	}
	if err := l.Release(); err != nil {
		t.Fatal(err)
	}
	again, err := TakeLock(dir)
	if err != nil {
		t.Fatalf("after it was given back: %v", err)
	}
	again.Release()
	if _, err := TakeLock(filepath.Join(dir, "none")); err == nil || errors.Is(err, ErrLocked) {
		t.Errorf("no folder: %v", err)
	}
}

func TestFree(t *testing.T) {
	if free, err := Free(t.TempDir()); err != nil || free == 0 {
		t.Errorf("%d, %v", free, err)
	}
	if _, err := Free(filepath.Join(t.TempDir(), "none")); err == nil {
		t.Error("no folder, no error")
	}
}
