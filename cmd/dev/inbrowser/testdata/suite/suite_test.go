// Package suite is run inside the browser by the tests of inbrowser.
package suite

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"testing"
)

func TestPlace(t *testing.T) {
	if runtime.GOOS != "js" || runtime.GOARCH != "wasm" {
		t.Errorf("runs on %s/%s", runtime.GOOS, runtime.GOARCH)
	}
}

func TestRepositoryIsRead(t *testing.T) {
	data, err := os.ReadFile("suite_test.go")
	if err != nil || len(data) < 500 {
		t.Errorf("own source: %d bytes, %v", len(data), err)
	}
	list, err := os.ReadDir("../..")
	if err != nil || len(list) < 3 {
		t.Errorf("folder: %v, %v", list, err)
	}
	if _, err := os.ReadFile("absent"); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("absent file: %v", err)
	}
	if _, err := os.ReadFile("/etc/hostname"); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("a file outside the repository: %v", err)
	}
	if err := os.WriteFile("new", nil, 0o600); err == nil {
		t.Error("the repository was written to")
	}
}

func TestTempIsWritten(t *testing.T) {
	dir := t.TempDir()
	name := filepath.Join(dir, "a", "b")
	if err := os.MkdirAll(filepath.Dir(name), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(name, []byte("first"), 0o600); err != nil {
		t.Fatal(err)
	}
	f, err := os.OpenFile(name, os.O_APPEND|os.O_WRONLY, 0)
	if err != nil {
		t.Fatal(err)
	}
	fmt.Fprint(f, " second")
	f.Close()
	if err := os.Rename(name, name+"2"); err != nil {
		t.Fatal(err)
	}
	if got, err := os.ReadFile(name + "2"); string(got) != "first second" {
		t.Errorf("read back %q, %v", got, err)
	}
	if err := os.Remove(filepath.Dir(name)); err == nil {
		t.Error("a folder that is not empty was removed")
	}
}

func TestFailsWhenAsked(t *testing.T) {
	for _, a := range os.Args {
		if a == "fail" {
			t.Error("failed as asked")
		}
		if a == "panic" {
			panic("as asked")
		}
	}
}

func Example() {
	fmt.Println("printed in a browser")
	// Output: printed in a browser
}
