package drive

import (
	"fmt"
	"os"
	"os/exec"
)

// Environment that names the programs; what is not named is looked for.
const (
	EnvFirefox = "PORTWRIGHT_FIREFOX"
	EnvWebKit  = "PORTWRIGHT_WEBKIT"  // WebKitWebDriver
	EnvDisplay = "PORTWRIGHT_DISPLAY" // Xvfb
)

// Found returns a program's path, or says that what needs it did not run. The
// test command installs programs where it may, and says so in its summary.
func Found(env string, names ...string) (string, bool) {
	if path := os.Getenv(env); path != "" {
		return path, true
	}
	for _, name := range names {
		if path, err := exec.LookPath(name); err == nil {
			return path, true
		}
	}
	fmt.Fprintf(os.Stderr, "!! NOT RUN: %s is not installed (%s names one)\n", names[0], env)
	return "", false
}
