package main

import (
	"errors"
	"os"
	"path/filepath"
)

// withProgram builds the program and a measuring command and runs that with
// the program's path in PORTWRIGHT_BIN.
func withProgram(root, command string, args ...string) error {
	if err := build(root, os.Stdout); err != nil {
		return err
	}
	cmd := tool(root, "go", append([]string{"run", command}, args...)...)
	cmd.Env = append(os.Environ(), "PORTWRIGHT_BIN="+filepath.Join(root, program("portwright")))
	return cmd.Run()
}

func bench(root string, args []string) error {
	return withProgram(root, "./cmd/dev/bench", args...)
}

func shots(root string, args []string) error {
	if len(args) != 1 {
		return errors.New("shots needs one folder to write into: go run ./cmd/dev shots DIR")
	}
	dir, err := filepath.Abs(args[0])
	if err != nil {
		return err
	}
	return withProgram(root, "./cmd/dev/shots", dir)
}

func readme(root string, _ []string) error {
	return withProgram(root, "./cmd/dev/shots", "-readme", filepath.Join(root, "testdata", "readme"))
}
