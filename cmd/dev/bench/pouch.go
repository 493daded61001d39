package main

import (
	"bufio"
	"embed"
	"encoding/json"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strings"

	"portwright/cmd/dev/alone"
)

//go:embed testdata/pouch
var pouchFiles embed.FS

// pouch is what PouchDB's server and phone took, in seconds, and its server's
// memory in MB.
type pouch struct {
	Push, Pull, Idle float64
	memory           float64
}

// pouchTimes lets PouchDB 9 sync the same entries with express-pouchdb 4, in
// processes of their own. The packages come from the npm registry.
func pouchTimes(_ string, r *alone.Runner, entries []map[string]json.RawMessage) (p pouch, err error) {
	if _, err := exec.LookPath("npm"); err != nil {
		return p, errNoNode
	}
	dir, err := pouchDir()
	if err != nil {
		return p, err
	}
	data, err := os.MkdirTemp("", "portwright-pouch-")
	if err != nil {
		return p, err
	}
	defer os.RemoveAll(data)
	var lines strings.Builder
	for i, e := range entries {
		doc := map[string]any{"device": "giver", "seq": i + 1}
		for k, v := range e {
			doc[k] = v
		}
		text, err := json.Marshal(doc)
		if err != nil {
			return p, err
		}
		lines.Write(append(text, '\n'))
	}
	file := filepath.Join(data, "entries")
	if err := os.WriteFile(file, []byte(lines.String()), 0o600); err != nil {
		return p, err
	}
	server := exec.Command("node", "server.js", data)
	server.Dir, server.Stderr = dir, os.Stderr
	out, err := server.StdoutPipe()
	if err != nil {
		return p, err
	}
	if err := server.Start(); err != nil {
		return p, err
	}
	defer func() { _ = server.Process.Kill(); _ = server.Wait() }()
	port, err := bufio.NewReader(out).ReadString('\n')
	if err != nil {
		return p, fmt.Errorf("its server does not start: %w", err)
	}
	client := exec.Command("node", "client.js", "http://127.0.0.1:"+strings.TrimSpace(port), file)
	client.Dir, client.Stderr = dir, os.Stderr
	said, err := client.Output()
	if err != nil {
		return p, err
	}
	p.memory = peakMB(server.Process.Pid)
	return p, json.Unmarshal(said, &p)
}

// pouchDir is a folder with PouchDB in it, in the person's cache.
func pouchDir() (string, error) {
	cache, err := os.UserCacheDir()
	if err != nil {
		return "", err
	}
	dir := filepath.Join(cache, "portwright", "pouch")
	from, err := fs.Sub(pouchFiles, "testdata/pouch")
	if err != nil {
		return "", err
	}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return "", err
	}
	for _, name := range [...]string{"package.json", "server.js", "client.js"} {
		text, err := fs.ReadFile(from, name)
		if err != nil {
			return "", err
		}
		if err := os.WriteFile(filepath.Join(dir, name), text, 0o644); err != nil {
			return "", err
		}
	}
	install := exec.Command("npm", "install", "--no-audit", "--no-fund", "--no-package-lock", "--silent")
	install.Dir = dir
	if said, err := install.CombinedOutput(); err != nil {
		return "", fmt.Errorf("npm install: %w\n%s", err, said)
	}
	return dir, nil
}
