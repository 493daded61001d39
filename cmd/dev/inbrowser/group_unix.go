//go:build unix

package main

import (
	"os"
	"os/exec"
	"syscall"
)

// ownGroup lets the browser's many processes be ended together.
func ownGroup(cmd *exec.Cmd) { cmd.SysProcAttr = &syscall.SysProcAttr{Setpgid: true} }

func killGroup(p *os.Process) { _ = syscall.Kill(-p.Pid, syscall.SIGKILL) }
