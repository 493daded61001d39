//go:build !linux

package chrome

import (
	"os"
	"os/exec"
)

// ownGroup does nothing: process groups are used on Linux only.
func ownGroup(*exec.Cmd) {}

// killGroup kills the browser's main process; its helpers end when the pipe to
// it breaks.
func killGroup(p *os.Process, _ string) { _ = p.Kill() }

// usersOf is known on Linux only.
func usersOf(string) []int { return nil }
