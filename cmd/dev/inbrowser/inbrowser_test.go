package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// suite compiles and runs testdata/suite in a browser.
func suite(t *testing.T, runner string, args ...string) (output string, failed bool) {
	t.Helper()
	cmd := exec.Command("go", append([]string{"test", "-v", "-exec", runner, "./testdata/suite", "-args"}, args...)...)
	cmd.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm")
	out, err := cmd.CombinedOutput()
	return string(out), err != nil
}

func TestSuite(t *testing.T) {
	runner := filepath.Join(t.TempDir(), "inbrowser")
	if out, err := exec.Command("go", "build", "-o", runner, ".").CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	out, failed := suite(t, runner)
	for _, want := range []string{"--- PASS: TestPlace", "--- PASS: TestRepositoryIsRead", "--- PASS: TestTempIsWritten", "--- PASS: Example"} {
		if failed || !strings.Contains(out, want) {
			t.Fatalf("want %q in:\n%s", want, out)
		}
	}
	for arg, want := range map[string]string{"fail": "failed as asked", "panic": "panic: as asked"} {
		out, failed := suite(t, runner, arg)
		if !failed || !strings.Contains(out, want) {
			t.Errorf("with %q the run must fail and say %q:\n%s", arg, want, out)
		}
	}
}
