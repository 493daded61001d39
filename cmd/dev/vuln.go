package main

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"strings"
)

// vulnerable looks the program's dependencies up among the known faults. The
// list comes from the network; without it nothing is known, which is said where
// it can't be overlooked.
func (t *tester) vulnerable() error {
	cmd := exec.Command("go", "tool", "govulncheck", "./cmd/portwright")
	cmd.Dir, cmd.Env = t.root, t.env
	var said bytes.Buffer
	cmd.Stdout, cmd.Stderr = &said, &said
	err := cmd.Run()
	if err != nil && unreachable(said.String()) {
		t.warn("dependencies were NOT checked for known faults: the list (vuln.go.dev, or GOVULNDB) can't be reached. Run where it can: go tool govulncheck ./cmd/portwright")
		return nil
	}
	os.Stdout.Write(said.Bytes())
	var ended *exec.ExitError
	if errors.As(err, &ended) {
		return fmt.Errorf("govulncheck: exit status %d", ended.ExitCode())
	}
	return err
}

// unreachable says whether govulncheck could not get its list, rather than
// having found something.
func unreachable(said string) bool {
	return strings.Contains(said, "fetching vulnerabilities") && !strings.Contains(said, "Vulnerability #")
}

// warn prints what a person must not overlook, now and in the summary.
func (t *tester) warn(text string) {
	line := "!! " + text
	fmt.Println(line)
	t.lines = append(t.lines, line)
}
