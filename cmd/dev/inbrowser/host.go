package main

import (
	"crypto/rand"
	_ "embed"
	"encoding/json"
	"errors"
	"io"
	"io/fs"
	"net/http"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
)

//go:embed worker.js
var worker []byte

const page = `<!doctype html><html lang="en"><head><meta charset="utf-8"><title>test</title><link rel="icon" href="data:,"></head>
<body><script src="page.js"></script></body></html>`

const pageScript = `new Worker("worker.js");`

// host answers the page under a secret path: the test, and the repository's
// files to read.
type host struct {
	token      string
	root, dir  string
	args       []string
	test, glue []byte
	exit       chan int

	mu  sync.Mutex
	out io.Writer
}

// token makes the address unguessable for other programs on this machine.
func token() string { return rand.Text() }

func (h *host) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	path, ok := strings.CutPrefix(r.URL.Path, "/"+h.token+"/")
	if !ok {
		http.NotFound(w, r)
		return
	}
	send := func(kind string, data []byte) {
		w.Header().Set("Content-Type", kind)
		_, _ = w.Write(data)
	}
	switch path {
	case "":
		send("text/html", []byte(page))
	case "page.js":
		send("text/javascript", []byte(pageScript))
	case "worker.js":
		send("text/javascript", worker)
	case "wasm_exec.js":
		send("text/javascript", h.glue)
	case "test.wasm":
		send("application/wasm", h.test)
	case "start":
		h.json(w, map[string]any{"args": h.args, "dir": filepath.ToSlash(h.dir)})
	case "print":
		h.mu.Lock()
		_, _ = io.Copy(h.out, r.Body)
		h.mu.Unlock()
	case "exit":
		status, err := strconv.Atoi(r.URL.Query().Get("status"))
		if err != nil {
			status = 1
		}
		select {
		case h.exit <- status:
		default: // the first counts
		}
	case "stat", "read", "list":
		h.file(w, path, r.URL.Query().Get("path"))
	default:
		http.NotFound(w, r)
	}
}

func (h *host) json(w http.ResponseWriter, v any) {
	w.Header().Set("Content-Type", "application/json")
	_ = json.NewEncoder(w).Encode(v)
}

// file answers what a test asks of the file system. Nothing outside the
// repository can be read, and nothing written.
func (h *host) file(w http.ResponseWriter, what, path string) {
	path = filepath.Clean(filepath.FromSlash(path))
	if path != h.root && !strings.HasPrefix(path, h.root+string(filepath.Separator)) {
		http.Error(w, "ENOENT", http.StatusNotFound)
		return
	}
	var err error
	switch what {
	case "stat":
		var info fs.FileInfo
		if info, err = os.Stat(path); err == nil {
			h.json(w, map[string]any{"size": info.Size(), "dir": info.IsDir(), "ms": info.ModTime().UnixMilli()})
		}
	case "list":
		var list []fs.DirEntry
		if list, err = os.ReadDir(path); err == nil {
			names := make([]string, 0, len(list))
			for _, e := range list {
				names = append(names, e.Name())
			}
			h.json(w, names)
		}
	case "read":
		var data []byte
		if data, err = os.ReadFile(path); err == nil {
			_, _ = w.Write(data)
		}
	}
	switch {
	case errors.Is(err, fs.ErrNotExist):
		http.Error(w, "ENOENT", http.StatusNotFound)
	case errors.Is(err, fs.ErrPermission):
		http.Error(w, "EACCES", http.StatusForbidden)
	case err != nil:
		http.Error(w, "EIO", http.StatusInternalServerError)
	}
}
