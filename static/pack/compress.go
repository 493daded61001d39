package pack

import (
	"bytes"
	"errors"
	"io"
	"os"
	"path/filepath"
	"strconv"
	"time"

	"github.com/andybalholm/brotli"

	"portwright/static/release"
)

// compress returns data in brotli. Quality 11 takes seconds for the
// WebAssembly, so results are kept in the user's cache folder under the
// SHA-256 of what was compressed.
func compress(data []byte, fast bool) ([]byte, error) {
	quality := brotli.BestCompression
	if fast {
		quality = 4
	}
	kept := keptAs(data, quality)
	if small, err := os.ReadFile(kept); err == nil && expandsTo(small, data) {
		return small, nil
	}
	var b bytes.Buffer
	w := brotli.NewWriterLevel(&b, quality)
	if _, err := w.Write(data); err != nil {
		return nil, err
	}
	if err := w.Close(); err != nil {
		return nil, err
	}
	if !expandsTo(b.Bytes(), data) {
		return nil, errors.New("brotli does not give back what went in")
	}
	keep(kept, b.Bytes())
	return b.Bytes(), nil
}

// Weight returns how many bytes a phone fetches of the app's WebAssembly.
func (a *App) Weight() (int, error) {
	small, err := squeeze(a.Module)
	if err != nil {
		return 0, err
	}
	return Weigh(small)
}

// Weigh returns how many bytes data has after brotli 11.
func Weigh(data []byte) (int, error) {
	small, err := compress(data, false)
	return len(small), err
}

func keptAs(data []byte, quality int) string {
	dir, err := os.UserCacheDir()
	if err != nil { // no home: a machine that builds once
		dir = os.TempDir()
	}
	return filepath.Join(dir, "portwright", "brotli", release.Sum(data)+"-"+strconv.Itoa(quality))
}

// keep writes a cache file whole or not at all. A cache that can't be written
// costs time and nothing else.
func keep(name string, data []byte) {
	dir := filepath.Dir(name)
	if os.MkdirAll(dir, 0o755) != nil {
		return
	}
	prune(dir)
	f, err := os.CreateTemp(dir, "new-")
	if err != nil {
		return
	}
	_, err = f.Write(data)
	if errors.Join(err, f.Close()) != nil || os.Rename(f.Name(), name) != nil {
		os.Remove(f.Name())
	}
}

// prune removes what has not been made for two weeks.
func prune(dir string) {
	list, err := os.ReadDir(dir)
	if err != nil {
		return
	}
	for _, e := range list {
		if info, err := e.Info(); err == nil && time.Since(info.ModTime()) > 14*24*time.Hour {
			os.Remove(filepath.Join(dir, e.Name()))
		}
	}
}

func expandsTo(small, data []byte) bool {
	r := brotli.NewReader(bytes.NewReader(small))
	got, err := io.ReadAll(io.LimitReader(r, int64(len(data))+1))
	return err == nil && bytes.Equal(got, data)
}
