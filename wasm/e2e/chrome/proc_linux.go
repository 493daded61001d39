package chrome

import (
	"bytes"
	"os"
	"os/exec"
	"strconv"
	"syscall"
	"time"
)

// ownGroup puts the browser into a process group of its own, and lets the
// kernel kill it when the test process dies.
func ownGroup(cmd *exec.Cmd) {
	cmd.SysProcAttr = &syscall.SysProcAttr{Setpgid: true, Pdeathsig: syscall.SIGKILL}
}

// killGroup sends SIGKILL to the whole group, and to helper processes of the
// same profile that made a group of their own, and waits until none is left.
func killGroup(p *os.Process, profile string) {
	_ = syscall.Kill(-p.Pid, syscall.SIGKILL)
	deadline := time.Now().Add(3 * time.Second)
	for time.Now().Before(deadline) {
		alive := syscall.Kill(-p.Pid, 0) == nil
		for _, pid := range usersOf(profile) {
			alive = true
			_ = syscall.Kill(pid, syscall.SIGKILL)
		}
		if !alive {
			return
		}
		time.Sleep(5 * time.Millisecond)
	}
}

// usersOf lists the processes that were started with this profile.
func usersOf(profile string) []int {
	want := []byte("--user-data-dir=" + profile)
	entries, err := os.ReadDir("/proc")
	if err != nil {
		return nil
	}
	var pids []int
	for _, e := range entries {
		pid, err := strconv.Atoi(e.Name())
		if err != nil || pid == os.Getpid() {
			continue
		}
		line, err := os.ReadFile("/proc/" + e.Name() + "/cmdline")
		if err != nil {
			continue
		}
		for arg := range bytes.SplitSeq(line, []byte{0}) {
			if bytes.Equal(arg, want) {
				pids = append(pids, pid)
			}
		}
	}
	return pids
}
