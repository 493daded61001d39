package drive

import (
	"os/exec"
	"syscall"
)

// OwnGroup starts a program in a process group of its own, which the kernel
// ends when this process dies.
func OwnGroup(cmd *exec.Cmd) {
	cmd.SysProcAttr = &syscall.SysProcAttr{Setpgid: true, Pdeathsig: syscall.SIGKILL}
}

// EndGroup kills a program with all that it started.
func EndGroup(cmd *exec.Cmd) {
	_ = syscall.Kill(-cmd.Process.Pid, syscall.SIGKILL)
	_ = cmd.Wait()
}
