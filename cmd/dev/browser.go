package main

import (
	"fmt"
	"os"
	"os/exec"
	"strings"
)

// findBrowser returns the path of a Chrome or Chromium. Where there is none
// and this is root on a Debian-like machine, Debian's own is installed.
func findBrowser(inbrowser string) (string, error) {
	path, err := askForBrowser(inbrowser)
	if err == nil {
		return path, nil
	}
	apt, missing := exec.LookPath("apt-get")
	if missing != nil || os.Geteuid() != 0 || os.Getenv("PORTWRIGHT_CHROME") != "" {
		return "", err
	}
	fmt.Println("No browser found: installing Debian's chromium with apt-get.")
	for _, args := range [][]string{
		{"update", "-q"},
		{"install", "-y", "-q", "--no-install-recommends", "chromium"},
	} {
		cmd := exec.Command(apt, args...)
		cmd.Env = append(os.Environ(), "DEBIAN_FRONTEND=noninteractive")
		if out, err := cmd.CombinedOutput(); err != nil {
			return "", fmt.Errorf("apt-get %s: %w\n%s", strings.Join(args, " "), err, tail(string(out), 20))
		}
	}
	return askForBrowser(inbrowser)
}

// askForBrowser asks the browser harness, which knows where browsers lie.
func askForBrowser(inbrowser string) (string, error) {
	out, err := exec.Command(inbrowser, "-find").CombinedOutput()
	said := strings.TrimSpace(string(out))
	if err != nil {
		return "", fmt.Errorf("%s", strings.TrimPrefix(said, "inbrowser: "))
	}
	return said, nil
}

// tail returns the last n lines of a text.
func tail(text string, n int) string {
	lines := strings.Split(strings.TrimRight(text, "\n"), "\n")
	if len(lines) > n {
		lines = lines[len(lines)-n:]
	}
	return strings.Join(lines, "\n")
}
