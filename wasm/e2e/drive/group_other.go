//go:build !linux

package drive

import "os/exec"

// OwnGroup does nothing: process groups are used on Linux only.
func OwnGroup(*exec.Cmd) {}

// EndGroup kills a program; its helpers end with it.
func EndGroup(cmd *exec.Cmd) {
	_ = cmd.Process.Kill()
	_ = cmd.Wait()
}
