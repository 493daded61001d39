package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"io/fs"
	"net"
	"net/http"
	"os"
	"os/signal"
	"path/filepath"
	"strings"
	"syscall"

	"portwright/server/httpapi"
	"portwright/server/shelf"
	"portwright/static"
)

// serveFlags are what `portwright serve` is told.
type serveFlags struct {
	addr, data, dist, hosts string
	withdraw                bool
}

func serveCommand(args []string, _ io.Reader, stdout, stderr io.Writer) int {
	f, status, done := readServeFlags(args, stderr)
	if done {
		return status
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	if err := serve(ctx, f, stdout); err != nil {
		fmt.Fprintf(stderr, "portwright serve: %v\n", err)
		return exitFailed
	}
	return exitOK
}

func readServeFlags(args []string, stderr io.Writer) (f serveFlags, status int, done bool) {
	set := flag.NewFlagSet("portwright serve", flag.ContinueOnError)
	set.SetOutput(stderr)
	set.StringVar(&f.addr, "addr", "localhost:8080", "`address` to listen on")
	set.StringVar(&f.data, "data", "", "`folder` for what the server keeps (default: portwright in the user's settings folder)")
	set.StringVar(&f.hosts, "host", "", "further `names` that this server answers to, separated by commas; a phone then needs HTTPS in front")
	set.StringVar(&f.dist, "dist", "", "serve the build packed in this `folder` in place of the one inside the program")
	set.BoolVar(&f.withdraw, "withdraw", false, "take this version of the app back: browsers drop the files they kept of it, never readings")
	err := set.Parse(args)
	switch {
	case errors.Is(err, flag.ErrHelp):
		return f, exitOK, true
	case err != nil:
		return f, exitInput, true
	case set.NArg() > 0:
		fmt.Fprintf(stderr, "portwright serve: %q is too much: serve takes flags only (portwright serve -h lists them)\n", set.Arg(0))
		return f, exitInput, true
	}
	return f, exitOK, false
}

// serve runs until the context ends.
func serve(ctx context.Context, f serveFlags, stdout io.Writer) error {
	handler, err := f.handler()
	if err != nil {
		return err
	}
	ln, err := net.Listen("tcp", f.addr)
	if err != nil {
		return listenError(f.addr, err)
	}
	where := "http://" + net.JoinHostPort(hostFor(f.addr), fmt.Sprint(ln.Addr().(*net.TCPAddr).Port)) + "/"
	fmt.Fprintf(stdout, "Portwright is at %s\nStop it with Ctrl-C; a browser that has opened it once goes on without it.\n", where)
	if f.withdraw {
		fmt.Fprintln(stdout, "This version is withdrawn: browsers drop what they kept of the app. Readings stay.")
	}
	return httpapi.Run(ctx, ln, handler)
}

// handler puts the site together: the build in use, and the earlier ones from
// the data folder.
func (f serveFlags) handler() (h http.Handler, err error) {
	dist := static.Dist()
	if f.dist != "" {
		dist = os.DirFS(f.dist)
	}
	c := httpapi.Config{Dist: dist, Hosts: strings.Split(f.hosts, ","), Withdraw: f.withdraw}
	if _, err := httpapi.New(c); err != nil { // before anything is written
		return nil, err
	}
	if c.Earlier, err = keepBuild(f.data, dist); err != nil {
		return nil, err
	}
	return httpapi.New(c)
}

// keepBuild puts the build on the shelf of the data folder and returns the
// earlier ones.
func keepBuild(data string, dist fs.FS) ([]fs.FS, error) {
	if data == "" {
		settings, err := os.UserConfigDir()
		if err != nil {
			return nil, fmt.Errorf("no settings folder is known (%w): name one with -data", err)
		}
		data = filepath.Join(settings, "portwright")
	}
	s, err := shelf.Open(data)
	if err != nil {
		return nil, fmt.Errorf("%w (choose another with -data)", err)
	}
	if err := s.Keep(dist); err != nil {
		return nil, fmt.Errorf("%w (choose another folder with -data)", err)
	}
	return s.Earlier(dist)
}

// hostFor is the name to open for an address to listen on.
func hostFor(addr string) string {
	host, _, err := net.SplitHostPort(addr)
	if ip := net.ParseIP(host); err != nil || host == "" || (ip != nil && ip.IsUnspecified()) {
		return "localhost"
	}
	return host
}

func listenError(addr string, err error) error {
	if errors.Is(err, syscall.EADDRINUSE) {
		return fmt.Errorf("%s is in use by another program, perhaps by Portwright itself: stop that one, or choose another port, for example -addr localhost:8081", addr)
	}
	return fmt.Errorf("can't listen on %q: %w (-addr names host and port, for example localhost:8080)", addr, err)
}
