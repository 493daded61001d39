// Command dev is all that working on Portwright needs besides Go:
//
//	go run ./cmd/dev run        build the app and serve it
//	go run ./cmd/dev build      one self-contained program: ./portwright
//	go run ./cmd/dev test       every test, also those in a real browser
//	go run ./cmd/dev bench      sizes and times against their budgets
//	go run ./cmd/dev shots DIR  pictures of every station
//	go run ./cmd/dev readme     the pictures that the README shows
//	go run ./cmd/dev names FILE a stack trace of the app with the functions' names
package main

import (
	"fmt"
	"io"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"runtime"
	"syscall"

	"portwright/static/pack"
)

type command struct {
	name, args, purpose string
	run                 func(root string, args []string) error
}

func commands() []command {
	return []command{
		{"run", "[flags of portwright serve]", "build the app and serve it on this machine", runApp},
		{"build", "", "build one self-contained program: ./portwright", func(root string, _ []string) error { return build(root, os.Stdout) }},
		{"test", "", "run every test, also those in a real browser", test},
		{"bench", "", "measure sizes and times against their budgets", bench},
		{"shots", "DIR", "take pictures of every station into a folder", shots},
		{"readme", "", "take the pictures that the README shows, into testdata/readme", readme},
		{"names", "TRACE [NAMES]", "put functions' names into a stack trace of the app", names},
	}
}

func main() {
	root, err := pack.Root()
	if err != nil {
		fail(err)
	}
	if len(os.Args) > 1 {
		for _, c := range commands() {
			if c.name == os.Args[1] {
				if err := c.run(root, os.Args[2:]); err != nil {
					fail(err)
				}
				return
			}
		}
		fmt.Fprintf(os.Stderr, "%q is not a command\n", os.Args[1])
	}
	for _, c := range commands() {
		fmt.Fprintf(os.Stderr, "  go run ./cmd/dev %s %s\n        %s\n", c.name, c.args, c.purpose)
	}
	os.Exit(2)
}

func fail(err error) {
	if ended, ok := err.(*exec.ExitError); ok { // it has said itself what was wrong
		os.Exit(max(ended.ExitCode(), 1))
	}
	fmt.Fprintln(os.Stderr, "dev:", err)
	os.Exit(1)
}

// tool is a command that runs at the top of the repository and speaks for
// itself.
func tool(root string, name string, args ...string) *exec.Cmd {
	cmd := exec.Command(name, args...)
	cmd.Dir = root
	cmd.Stdout, cmd.Stderr = os.Stdout, os.Stderr
	return cmd
}

// program is the name of a program's file on this system.
func program(name string) string {
	if runtime.GOOS == "windows" {
		return name + ".exe"
	}
	return name
}

// build packs the app and compiles the program round it.
func build(root string, out io.Writer) error {
	if _, err := pack.Build(pack.Options{Root: root, Log: out}); err != nil {
		return err
	}
	to := filepath.Join(root, program("portwright"))
	if err := compile(root, to, "-trimpath", "-ldflags", "-s -w"); err != nil {
		return err
	}
	info, err := os.Stat(to)
	if err != nil {
		return err
	}
	fmt.Fprintf(out, "%s: %.1f MB, the app inside\n", to, float64(info.Size())/1e6)
	return nil
}

// compile compiles the program with what is packed at this moment.
func compile(root, to string, flags ...string) error {
	cmd := tool(root, "go", append(append([]string{"build"}, flags...), "-o", to, "./cmd/portwright")...)
	cmd.Env = append(os.Environ(), "CGO_ENABLED=0")
	return cmd.Run()
}

// runApp packs with quick compression, since the app only travels inside this
// machine, and serves until it is stopped. Phones come in with -alone=false.
func runApp(root string, args []string) error {
	fmt.Println("Building the app for the browser ...")
	if _, err := pack.Build(pack.Options{Root: root, Fast: true, Log: os.Stdout}); err != nil {
		return err
	}
	dir, err := os.MkdirTemp("", "portwright-run-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	to := filepath.Join(dir, program("portwright"))
	if err := compile(root, to); err != nil {
		return err
	}
	// Ctrl-C reaches the server too; this program waits for its end.
	stop := make(chan os.Signal, 1)
	signal.Notify(stop, os.Interrupt, syscall.SIGTERM)
	server := tool(root, to, append([]string{"serve", "-alone"}, args...)...)
	if err := server.Start(); err != nil {
		return err
	}
	go func() {
		for s := range stop {
			if s == syscall.SIGTERM { // was sent to this program alone
				_ = server.Process.Signal(s)
			}
		}
	}()
	return server.Wait()
}
