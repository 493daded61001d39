package main

import (
	"errors"
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
	if os.Getenv("PORTWRIGHT_CHROME") != "" {
		return "", err
	}
	if failed := install("chromium"); errors.Is(failed, errNotRoot) {
		return "", err
	} else if failed != nil {
		return "", failed
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

// second finds what the tests of certificates need besides the browser: Firefox
// and NSS's certutil. Where they are missing and may not be installed, the tests
// do without, and that is said where it can't be overlooked.
func (t *tester) second() error {
	for _, need := range []struct {
		env, pack string
		names     []string
	}{
		{"PORTWRIGHT_FIREFOX", "firefox-esr", []string{"firefox-esr", "firefox"}},
		{"PORTWRIGHT_CERTUTIL", "libnss3-tools", []string{"certutil"}},
	} {
		path := os.Getenv(need.env)
		if path == "" {
			path = lookAll(need.names)
		}
		if path == "" {
			if err := install(need.pack); err != nil {
				t.warn(fmt.Sprintf("certificates were NOT tried in a browser: %s is missing (%v). Install %s, or name it with %s", need.names[0], err, need.pack, need.env))
				continue
			}
			path = lookAll(need.names)
		}
		fmt.Println(path)
		t.env = append(t.env, need.env+"="+path)
	}
	return nil
}

func lookAll(names []string) string {
	for _, name := range names {
		if path, err := exec.LookPath(name); err == nil {
			return path
		}
	}
	return ""
}

var errNotRoot = errors.New("it can be installed here by root with apt-get alone")

// install installs one of Debian's packages where this is root on a
// Debian-like machine.
func install(pack string) error {
	apt, err := exec.LookPath("apt-get")
	if err != nil || os.Geteuid() != 0 {
		return errNotRoot
	}
	fmt.Printf("Installing Debian's %s with apt-get.\n", pack)
	for _, args := range [][]string{
		{"update", "-q"},
		{"install", "-y", "-q", "--no-install-recommends", pack},
	} {
		cmd := exec.Command(apt, args...)
		cmd.Env = append(os.Environ(), "DEBIAN_FRONTEND=noninteractive")
		if out, err := cmd.CombinedOutput(); err != nil {
			return fmt.Errorf("apt-get %s: %w\n%s", strings.Join(args, " "), err, tail(string(out), 20))
		}
	}
	return nil
}
