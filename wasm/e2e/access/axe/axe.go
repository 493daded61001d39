// Package axe fetches axe-core, which finds faults of accessibility in a page.
// It is MPL-2.0 and no part of Portwright: npm brings it into the user's cache
// folder.
package axe

import (
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
)

// The version is pinned by these, with the SHA-512 of its archive, which npm
// holds it to.
//
//go:embed package.json package-lock.json
var pinned embed.FS

// sum is the SHA-256 of axe.min.js of that version.
const sum = "29348999450cdf2849a8e70b7912fc2da85a849da39c0d0d5394f51d4a9ed95c"

// EnvPath names an axe.min.js that is there already.
const EnvPath = "PORTWRIGHT_AXE"

// ErrNoNPM says what to install.
var ErrNoNPM = errors.New("npm is not installed (Debian, Ubuntu: apt-get install npm)")

// Script returns axe.min.js: the named one, else the cached one, else npm
// fetches it.
func Script() (string, error) {
	if path := os.Getenv(EnvPath); path != "" {
		data, err := os.ReadFile(path)
		return string(data), err
	}
	cache, err := os.UserCacheDir()
	if err != nil {
		return "", err
	}
	dir := filepath.Join(cache, "portwright", "axe-"+sum[:8])
	file := filepath.Join(dir, "node_modules", "axe-core", "axe.min.js")
	if data, err := os.ReadFile(file); err == nil && right(data) {
		return string(data), nil
	}
	if err := fetch(dir); err != nil {
		return "", err
	}
	data, err := os.ReadFile(file)
	if err == nil && !right(data) {
		err = fmt.Errorf("%s is not the file that was asked for: its SHA-256 is not %s", file, sum)
	}
	return string(data), err
}

func right(data []byte) bool {
	got := sha256.Sum256(data)
	return hex.EncodeToString(got[:]) == sum
}

func fetch(dir string) error {
	npm, err := exec.LookPath("npm")
	if err != nil {
		return ErrNoNPM
	}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return err
	}
	for _, name := range []string{"package.json", "package-lock.json"} {
		data, err := pinned.ReadFile(name)
		if err == nil {
			err = os.WriteFile(filepath.Join(dir, name), data, 0o644)
		}
		if err != nil {
			return err
		}
	}
	cmd := exec.Command(npm, "ci", "--ignore-scripts", "--no-audit", "--no-fund", "--silent")
	cmd.Dir = dir
	if said, err := cmd.CombinedOutput(); err != nil {
		return fmt.Errorf("npm ci of axe-core: %w\n%s", err, said)
	}
	return nil
}
