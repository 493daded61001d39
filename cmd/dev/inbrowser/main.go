// Command inbrowser runs a Go test compiled for js/wasm in a headless Chrome
// or Chromium, so that the engine is tested where it will run:
//
//	GOOS=js GOARCH=wasm go test -exec /path/to/inbrowser ./engine/...
//
// The test runs in a worker. It reads the repository's files through this
// program; what it prints comes out here; its exit status is this program's.
// With -find it prints the browser that would be used.
package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"os"
	"os/exec"
	"os/signal"
	"strings"
	"syscall"
	"time"

	"portwright/static/pack"
	"portwright/wasm/e2e/chrome"
)

// patience is longer than any go test -timeout in use, which ends a test that
// hangs with its own message.
const patience = 30 * time.Minute

func main() {
	if len(os.Args) < 2 {
		fmt.Fprintln(os.Stderr, "usage: inbrowser TEST.wasm [flags of the test] | inbrowser -find")
		os.Exit(2)
	}
	status, err := run(os.Args[1:], os.Stdout)
	if err != nil {
		fmt.Fprintln(os.Stderr, "inbrowser:", err)
		os.Exit(1)
	}
	os.Exit(status)
}

func run(args []string, out io.Writer) (status int, err error) {
	browser, err := chrome.Find()
	if err != nil {
		return 0, err
	}
	if args[0] == "-find" {
		fmt.Fprintln(out, browser)
		return 0, nil
	}
	h, err := newHost(args, out)
	if err != nil {
		return 0, err
	}
	ln, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		return 0, err
	}
	defer ln.Close()
	srv := &http.Server{Handler: h, ReadHeaderTimeout: 10 * time.Second}
	go func() { _ = srv.Serve(ln) }()
	defer srv.Close()

	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	ctx, end := context.WithTimeout(ctx, patience)
	defer end()
	return browse(ctx, browser, fmt.Sprintf("http://localhost:%d/%s/", ln.Addr().(*net.TCPAddr).Port, h.token), h.exit)
}

// newHost reads the test and makes what the page asks of this program.
func newHost(args []string, out io.Writer) (*host, error) {
	root, err := pack.Root()
	if err != nil {
		return nil, err
	}
	test, err := os.ReadFile(args[0])
	if err != nil {
		return nil, err
	}
	dir, err := os.Getwd()
	if err != nil {
		return nil, err
	}
	goroot, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		return nil, fmt.Errorf("go env GOROOT: %w", err)
	}
	glue, err := os.ReadFile(strings.TrimSpace(string(goroot)) + "/lib/wasm/wasm_exec.js")
	if err != nil {
		return nil, err
	}
	return &host{
		token: token(), root: root, dir: dir, out: out, test: test, glue: glue,
		args: keptFlags(args), exit: make(chan int, 1),
	}, nil
}

// keptFlags leaves out the log of files read: it would have to be written.
func keptFlags(args []string) []string {
	var out []string
	for _, a := range args {
		if !strings.HasPrefix(a, "-test.testlogfile") {
			out = append(out, a)
		}
	}
	return out
}

// browse opens the page in a browser of its own and waits for the test's exit
// status.
func browse(ctx context.Context, browser, url string, exit <-chan int) (int, error) {
	profile, err := os.MkdirTemp("", "portwright-inbrowser-")
	if err != nil {
		return 0, err
	}
	defer remove(profile)
	cmd := exec.Command(browser, "--headless=new", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
		"--disable-background-networking", "--disable-component-update", "--disable-sync", "--disable-dev-shm-usage",
		"--user-data-dir="+profile, url)
	ownGroup(cmd)
	if err := cmd.Start(); err != nil {
		return 0, err
	}
	gone := make(chan error, 1)
	go func() { gone <- cmd.Wait() }()
	defer func() {
		killGroup(cmd.Process)
		<-gone
	}()
	select {
	case status := <-exit:
		return status, nil
	case err := <-gone:
		gone <- err
		return 0, fmt.Errorf("the browser ended before the test did: %v", err)
	case <-ctx.Done():
		if errors.Is(ctx.Err(), context.DeadlineExceeded) {
			return 0, fmt.Errorf("no exit status within %v", patience)
		}
		return 0, errors.New("interrupted")
	}
}

// remove removes a profile; a last process may still be writing in it.
func remove(dir string) {
	for range 20 {
		if os.RemoveAll(dir) == nil {
			return
		}
		time.Sleep(50 * time.Millisecond)
	}
}
