package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"io/fs"
	"log"
	"net"
	"net/http"
	"os"
	"os/signal"
	"path/filepath"
	"runtime/debug"
	"strings"
	"syscall"

	"portwright/server/access"
	"portwright/server/backup"
	"portwright/server/httpapi"
	"portwright/server/shelf"
	"portwright/server/store"
	"portwright/static"
	"portwright/static/release"
)

// serveFlags are what `portwright serve` is told.
type serveFlags struct {
	addr, data, dist, hosts, origins, backups string
	phones, setup, cert, key                  string
	withdraw                                  bool
}

func serveCommand(args []string, _ io.Reader, stdout, stderr io.Writer) int {
	f, status, done := readServeFlags(args, stderr)
	if done {
		return status
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	debug.SetMemoryLimit(memoryLimit)
	if err := serve(ctx, f, stdout); err != nil {
		fmt.Fprintf(stderr, "portwright serve: %v\n", err)
		return exitFailed
	}
	return exitOK
}

func readServeFlags(args []string, stderr io.Writer) (f serveFlags, status int, done bool) {
	set := flag.NewFlagSet("portwright serve", flag.ContinueOnError)
	set.SetOutput(stderr)
	set.StringVar(&f.addr, "addr", "localhost:8080", "`address` for this computer's own browser, without encryption")
	set.StringVar(&f.phones, "phones", ":8443", "`address` for phones, over HTTPS")
	set.StringVar(&f.setup, "setup", ":8081", "`address` of the page over which phones come to trust this computer")
	alone := set.Bool("alone", false, "listen to this computer alone: no phones, no certificates")
	set.StringVar(&f.cert, "cert", "", "`file` with your own certificate for -phones, in place of one of Portwright's own authority; read again when it changes")
	set.StringVar(&f.key, "key", "", "`file` with the key of -cert")
	set.StringVar(&f.data, "data", "", dataUsage)
	set.StringVar(&f.backups, "backups", "", "`folder` for the nightly backups (default: backups in the data folder); another disk is better")
	set.StringVar(&f.origins, "origin", "", "further `addresses` at which phones may have opened the app, separated by commas, for example https://192.168.1.7:8443")
	set.StringVar(&f.hosts, "host", "", "further `names` that this server answers to, separated by commas")
	set.StringVar(&f.dist, "dist", "", "serve the build packed in this `folder` in place of the one inside the program")
	set.BoolVar(&f.withdraw, "withdraw", false, "take this version of the app back: browsers drop the files they kept of it, never readings")
	err := set.Parse(args)
	if *alone {
		f.phones, f.setup = "", ""
	}
	switch {
	case errors.Is(err, flag.ErrHelp):
		return f, exitOK, true
	case err != nil:
		return f, exitInput, true
	case set.NArg() > 0:
		fmt.Fprintf(stderr, "portwright serve: %q is too much: serve takes flags only (portwright serve -h lists them)\n", set.Arg(0))
		return f, exitInput, true
	case (f.cert == "") != (f.key == ""):
		fmt.Fprintln(stderr, "portwright serve: -cert and -key go together: name both files, or neither")
		return f, exitInput, true
	}
	return f, exitOK, false
}

// memoryLimit keeps the server small beside what else the PC runs.
const memoryLimit = 96 << 20

// serve runs until the context ends, then closes what it keeps.
func serve(ctx context.Context, f serveFlags, stdout io.Writer) (err error) {
	c, err := f.config()
	if err != nil {
		return err
	}
	d, err := f.listen()
	if err != nil {
		return err
	}
	defer d.close()
	if c.Earlier, err = keepBuild(f.data, c.Dist); err != nil {
		return err
	}
	kept, err := f.open(c)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, kept.Close()) }()
	c.Keeper = kept.Keeper
	list, err := f.paired(stdout)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, list.Close()) }()
	c.Access, c.Here = list, d.phones == nil
	p, err := f.certify(d)
	if err != nil {
		return err
	}
	c.Names = p.names(c.Names())
	s := &shop{Register: list, kept: kept, phones: p, where: d.where(f.addr), file: filepath.Join(f.data, linkFile), backups: f.backupsDir()}
	c.Shop = s
	if err := s.writeLink(); err != nil {
		return err
	}
	defer os.Remove(s.file)
	handler, err := httpapi.New(c)
	if err != nil {
		return err
	}
	fmt.Fprintf(stdout, "Portwright is at %s\nStop it with Ctrl-C; a browser that has opened it once goes on without it.\n", s.where)
	fmt.Fprintf(stdout, "Shop, for this computer's own browser (the link works once): %s\n", s.link())
	p.tell(stdout)
	if f.withdraw {
		fmt.Fprintln(stdout, "This version is withdrawn: browsers drop what they kept of the app. Readings stay.")
	}
	fmt.Fprintf(stdout, "%d entries are kept in %s\n", kept.Report.Entries, f.data)
	for _, n := range kept.Notices {
		fmt.Fprintln(stdout, n)
	}
	nightly := f.nightly(ctx, kept)
	defer nightly() // before the store is closed
	return d.run(ctx, handler, p)
}

// nightly makes backups until the context ends; the function it returns waits
// for that.
func (f serveFlags) nightly(ctx context.Context, kept *store.Store) (wait func()) {
	n := kept.Nightly(f.backups, func(s backup.Seal, name string, err error) {
		if err != nil {
			log.Printf("No backup was made (%s): %v", name, err)
			return
		}
		log.Printf("Backup %s: %s", name, sealed(s))
	})
	ctx, stop := context.WithCancel(ctx)
	done := make(chan struct{})
	go func() {
		defer close(done)
		n.Run(ctx)
	}()
	return func() { stop(); <-done }
}

// config says what is served, and fails before anything is written.
func (f *serveFlags) config() (c httpapi.Config, err error) {
	names := httpapi.Names{Hosts: listed(f.hosts), Origins: listed(f.origins)}
	for _, origin := range names.Origins {
		if err := http.NewCrossOriginProtection().AddTrustedOrigin(origin); err != nil {
			return c, fmt.Errorf("-origin %q: %w (want scheme, host and port, for example https://192.168.1.7:8443)", origin, err)
		}
	}
	c = httpapi.Config{Dist: static.Dist(), Names: func() httpapi.Names { return names }, Withdraw: f.withdraw}
	if f.dist != "" {
		c.Dist = os.DirFS(f.dist)
	}
	if _, err := httpapi.New(c); err != nil {
		return c, err
	}
	f.data, err = dataFolder(f.data)
	return c, err
}

// paired opens the list of devices that may ask.
func (f serveFlags) paired(stdout io.Writer) (*access.Register, error) {
	list, notice, err := access.Open(filepath.Join(f.data, "access.json"), nil)
	if notice != "" {
		fmt.Fprintln(stdout, notice)
	}
	return list, err
}

// listed splits a list at its commas.
func listed(text string) (out []string) {
	for one := range strings.SplitSeq(text, ",") {
		if one = strings.TrimSpace(one); one != "" {
			out = append(out, one)
		}
	}
	return out
}

// open opens what the server keeps.
func (f serveFlags) open(c httpapi.Config) (*store.Store, error) {
	rel, err := release.Read(c.Dist)
	if err != nil {
		return nil, err
	}
	kept, err := store.Open(store.Options{Dir: f.data, App: rel.Build, Check: checkInChild})
	if err != nil {
		return nil, fmt.Errorf("%w (the folder is %s; -data names another)", err, f.data)
	}
	return kept, nil
}

// keepBuild puts the build on the shelf of the data folder and returns the
// earlier ones.
func keepBuild(data string, dist fs.FS) ([]fs.FS, error) {
	s, err := shelf.Open(data)
	if err != nil {
		return nil, fmt.Errorf("%w (choose another with -data)", err)
	}
	if err := s.Keep(dist); err != nil {
		return nil, fmt.Errorf("%w (choose another folder with -data)", err)
	}
	return s.Earlier(dist)
}

// backupsDir is where the nightly backups lie.
func (f serveFlags) backupsDir() string {
	if f.backups != "" {
		return f.backups
	}
	return filepath.Join(f.data, "backups")
}

// hostFor is the name to open for an address to listen on.
func hostFor(addr string) string {
	host, _, err := net.SplitHostPort(addr)
	if ip := net.ParseIP(host); err != nil || host == "" || (ip != nil && ip.IsUnspecified()) {
		return "localhost"
	}
	return host
}

func listenError(name, addr, other string, err error) error {
	if errors.Is(err, syscall.EADDRINUSE) {
		return fmt.Errorf("%s is in use by another program, perhaps by Portwright itself: stop that one, or choose another port, for example -%s %s", addr, name, other)
	}
	return fmt.Errorf("can't listen on %q: %w (-%s names host and port, for example %s)", addr, err, name, other)
}
