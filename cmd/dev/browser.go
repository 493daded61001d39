package main

import (
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"

	"portwright/wasm/e2e/access/axe"
	"portwright/wasm/e2e/drive"
)

// A helper is a program that tests need besides Go and the first browser.
type helper struct {
	env   string // names it
	pack  string // Debian's package
	names []string
	loses string // what is not tried without it
}

var helpers = []helper{
	{drive.EnvFirefox, "firefox-esr", []string{"firefox-esr", "firefox"}, "Firefox, and certificates in it,"},
	{"PORTWRIGHT_CERTUTIL", "libnss3-tools", []string{"certutil"}, "certificates in a browser"},
	{drive.EnvWebKit, "webkit2gtk-driver", []string{"WebKitWebDriver"}, "WebKit"},
	{drive.EnvDisplay, "xvfb", []string{"Xvfb"}, "WebKit"},
}

// browsers finds Chrome or Chromium, without which the step fails, and the
// helpers, without which the tests do: that is said where it can't be
// overlooked. Where this is root on a Debian-like machine, what is missing is
// installed first, all at once.
func (t *tester) browsers() error {
	t.inbrowser = filepath.Join(t.dir, program("inbrowser"))
	if err := tool(t.root, "go", "build", "-o", t.inbrowser, "./cmd/dev/inbrowser").Run(); err != nil {
		return err
	}
	first, missed := askForBrowser(t.inbrowser)
	var packs []string
	if missed != nil && os.Getenv("PORTWRIGHT_CHROME") == "" {
		packs = append(packs, "chromium")
	}
	for _, h := range helpers {
		if h.path() == "" {
			packs = append(packs, h.pack)
		}
	}
	var failed error
	if len(packs) > 0 {
		failed = install(packs...)
	}
	if missed != nil && failed == nil {
		first, missed = askForBrowser(t.inbrowser)
	}
	for _, h := range helpers {
		path := h.path()
		if path == "" {
			t.warn(fmt.Sprintf("%s was NOT tried: %s is missing (%v). Install %s, or name it with %s", h.loses, h.names[0], failed, h.pack, h.env))
			continue
		}
		fmt.Println(path)
		t.env = append(t.env, h.env+"="+path)
	}
	if missed != nil {
		if failed != nil && !errors.Is(failed, errNotRoot) {
			return failed
		}
		return missed
	}
	fmt.Println(first)
	t.env = append(t.env, "PORTWRIGHT_CHROME="+first)
	return nil
}

// axe fetches axe-core, once for this user; npm does it, and is installed
// where it may be.
func (t *tester) axe() error {
	_, err := axe.Script()
	if errors.Is(err, axe.ErrNoNPM) && install("npm") == nil {
		_, err = axe.Script()
	}
	if err != nil {
		t.warn(fmt.Sprintf("accessibility was NOT looked at with axe-core, only measured: %v", err))
	}
	return nil
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

// path is where the helper lies, "" where it is not installed.
func (h helper) path() string {
	if path := os.Getenv(h.env); path != "" {
		return path
	}
	for _, name := range h.names {
		if path, err := exec.LookPath(name); err == nil {
			return path
		}
	}
	return ""
}

// tail returns the last n lines of a text.
func tail(text string, n int) string {
	lines := strings.Split(strings.TrimRight(text, "\n"), "\n")
	if len(lines) > n {
		lines = lines[len(lines)-n:]
	}
	return strings.Join(lines, "\n")
}

var errNotRoot = errors.New("it can be installed here by root with apt-get alone")

// install installs Debian's packages where this is root on a Debian-like
// machine.
func install(packs ...string) error {
	apt, err := exec.LookPath("apt-get")
	if err != nil || os.Geteuid() != 0 {
		return errNotRoot
	}
	fmt.Printf("Installing Debian's %s with apt-get.\n", strings.Join(packs, ", "))
	for _, args := range [][]string{
		{"update", "-q"},
		slices.Concat([]string{"install", "-y", "-q", "--no-install-recommends"}, packs),
	} {
		cmd := exec.Command(apt, args...)
		cmd.Env = append(os.Environ(), "DEBIAN_FRONTEND=noninteractive")
		if out, err := cmd.CombinedOutput(); err != nil {
			return fmt.Errorf("apt-get %s: %w\n%s", strings.Join(args, " "), err, tail(string(out), 20))
		}
	}
	return nil
}
