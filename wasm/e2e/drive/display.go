package drive

import (
	"bufio"
	"fmt"
	"os"
	"os/exec"
	"strings"
	"time"
)

// startDisplay starts an X server that draws into memory, on a free number
// that it chooses itself, and returns ":number".
func startDisplay(xvfb string, width, height int) (name string, end func(), err error) {
	in, out, err := os.Pipe()
	if err != nil {
		return "", nil, err
	}
	defer in.Close()
	cmd := exec.Command(xvfb, "-displayfd", "3", "-screen", "0", fmt.Sprintf("%dx%dx24", max(width, 800), max(height, 900)), "-nolisten", "tcp", "-ac")
	cmd.ExtraFiles = []*os.File{out}
	OwnGroup(cmd)
	err = cmd.Start()
	out.Close()
	if err != nil {
		return "", nil, err
	}
	end = func() { EndGroup(cmd) }
	if err := in.SetReadDeadline(time.Now().Add(20 * time.Second)); err != nil {
		end()
		return "", nil, err
	}
	number, err := bufio.NewReader(in).ReadString('\n')
	if err != nil {
		end()
		return "", nil, fmt.Errorf("%s does not tell its display: %w", xvfb, err)
	}
	return ":" + strings.TrimSpace(number), end, nil
}
