//go:build unix

package trust

import (
	"os/exec"
	"syscall"
)

// ownGroup starts a browser in a process group, so that all of it can be ended.
func ownGroup(cmd *exec.Cmd) { cmd.SysProcAttr = &syscall.SysProcAttr{Setpgid: true} }

func endGroup(cmd *exec.Cmd) {
	_ = syscall.Kill(-cmd.Process.Pid, syscall.SIGKILL)
	_ = cmd.Wait()
}
