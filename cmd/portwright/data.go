package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"time"

	"portwright/server/store"
)

const dataUsage = "`folder` for what the server keeps (default: portwright in the user's settings folder)"

// dataFolder returns the folder for what the server keeps.
func dataFolder(given string) (string, error) {
	if given != "" {
		return given, nil
	}
	settings, err := os.UserConfigDir()
	if err != nil {
		return "", fmt.Errorf("no settings folder is known (%w): name one with -data", err)
	}
	return filepath.Join(settings, "portwright"), nil
}

// maxCheck is how long going through an index may take.
const maxCheck = 10 * time.Minute

// checkInChild goes through an index in a program of its own, which some
// damage ends.
func checkInChild(dir string) (store.Checked, error) {
	var c store.Checked
	self, err := os.Executable()
	if err != nil {
		return c, err
	}
	ctx, stop := context.WithTimeout(context.Background(), maxCheck)
	defer stop()
	var out, said bytes.Buffer
	child := exec.CommandContext(ctx, self, "verify", "-index", dir)
	child.Stdout, child.Stderr = &out, &said
	if err := child.Run(); err != nil {
		first, _, _ := strings.Cut(strings.TrimSpace(said.String()), "\n")
		return c, fmt.Errorf("%w: %.200s", err, first)
	}
	return c, json.Unmarshal(out.Bytes(), &c)
}
