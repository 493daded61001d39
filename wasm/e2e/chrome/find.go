package chrome

import (
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
)

// EnvPath names the environment variable that points at a browser, for a
// machine where none of the usual names is on the path.
const EnvPath = "PORTWRIGHT_CHROME"

// ErrNotFound says what to install when no browser is there.
var ErrNotFound = errors.New("no Chrome or Chromium found: install one (Debian, Ubuntu: apt-get install chromium) or set " + EnvPath + " to its path")

// Find returns the path of a Chrome or Chromium. PORTWRIGHT_CHROME goes first;
// when it is set and is not a program, that is an error and nothing else is
// tried.
func Find() (string, error) {
	if given := os.Getenv(EnvPath); given != "" {
		path, err := exec.LookPath(given)
		if err != nil {
			return "", fmt.Errorf("%s is %q, which is not a program: set it to the path of a Chrome or Chromium, or unset it", EnvPath, given)
		}
		return path, nil
	}
	for _, name := range candidates() {
		if path, err := exec.LookPath(name); err == nil {
			return path, nil
		}
	}
	return "", ErrNotFound
}

// candidates lists names on the path first, then the places where installers
// put a browser on a Mac and on Windows.
func candidates() []string {
	names := []string{"chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "chrome"}
	switch runtime.GOOS {
	case "darwin":
		for _, app := range []string{"Chromium", "Google Chrome"} {
			names = append(names, "/Applications/"+app+".app/Contents/MacOS/"+app)
		}
	case "windows":
		for _, root := range []string{"ProgramFiles", "ProgramFiles(x86)", "LocalAppData"} {
			if dir := os.Getenv(root); dir != "" {
				names = append(names,
					filepath.Join(dir, "Chromium", "Application", "chrome.exe"),
					filepath.Join(dir, "Google", "Chrome", "Application", "chrome.exe"))
			}
		}
	}
	return names
}
