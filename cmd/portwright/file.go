package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
)

// readInput returns the whole of a file, or of stdin when name is "-". It
// stops at limit: a longer input is refused without being read to its end.
func readInput(name string, stdin io.Reader, limit int64) ([]byte, error) {
	in, err := openInput(name, stdin)
	if err != nil {
		return nil, err
	}
	defer in.Close()
	data, err := io.ReadAll(io.LimitReader(in, limit+1))
	if err != nil {
		return nil, fmt.Errorf("%s: %w", shown(name), err)
	}
	if int64(len(data)) > limit {
		return nil, fmt.Errorf("%s: larger than %d MB, which is the most that is read", shown(name), limit>>20)
	}
	return data, nil
}

// openInput opens a file for reading, or stdin when name is "-".
func openInput(name string, stdin io.Reader) (io.ReadCloser, error) {
	if name == "-" {
		return io.NopCloser(stdin), nil
	}
	f, err := os.Open(name)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("%s: there is no such file", name)
	}
	if err != nil {
		return nil, err
	}
	if st, err := f.Stat(); err == nil && st.IsDir() {
		f.Close()
		return nil, fmt.Errorf("%s: is a directory; name a file", name)
	}
	return f, nil
}

func shown(name string) string {
	if name == "-" {
		return "standard input"
	}
	return name
}

// writeOutput calls write with stdout when name is "" or "-", else with a
// temporary file beside name which takes its place once it is whole on disk.
// When anything fails, name keeps what it held before.
func writeOutput(name string, stdout io.Writer, write func(io.Writer) error) error {
	if name == "" || name == "-" {
		return write(stdout)
	}
	mode := fs.FileMode(0o644)
	if st, err := os.Stat(name); err == nil {
		if !st.Mode().IsRegular() { // a device or a pipe can't be replaced
			return writeThrough(name, write)
		}
		mode = st.Mode().Perm()
		if name, err = filepath.EvalSymlinks(name); err != nil {
			return err
		}
	}
	tmp, err := os.CreateTemp(filepath.Dir(name), "."+filepath.Base(name)+".*")
	if err != nil {
		return err
	}
	defer os.Remove(tmp.Name()) // gone already after the rename
	if err := errors.Join(write(tmp), tmp.Chmod(mode), tmp.Sync(), tmp.Close()); err != nil {
		return err
	}
	return os.Rename(tmp.Name(), name)
}

func writeThrough(name string, write func(io.Writer) error) error {
	f, err := os.OpenFile(name, os.O_WRONLY, 0)
	if err != nil {
		return err
	}
	return errors.Join(write(f), f.Close())
}
