// Package served runs the app's real server for browser tests:
//
//	app := served.App(t)
//	b := chrome.Start(t, chrome.Options{Width: 360, Height: 640, Mobile: true})
//	b.Goto(app.URL)
//	app.Stop()  // the network is gone
//	app.Start() // and back, at the same address
//
// The program is the one that PORTWRIGHT_BIN names; without it the app is
// packed and the program compiled once for all tests of a package.
package served

import (
	"bytes"
	"fmt"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"time"

	"portwright/static/pack"
)

// EnvProgram names the compiled program with the app inside.
const EnvProgram = "PORTWRIGHT_BIN"

// T is the part of testing.TB that is needed here.
type T interface {
	Helper()
	Logf(format string, args ...any)
	Fatalf(format string, args ...any)
	Cleanup(func())
}

// Server is `portwright serve` as a process of its own.
type Server struct {
	URL string // with a slash at the end

	t     T
	addr  string
	data  string
	flags []string
	cmd   *exec.Cmd
	said  *bytes.Buffer
}

// program is the compiled program and the flags that it needs.
type program struct {
	path  string
	flags []string
}

// find returns the program, built at most once in a process.
var find = sync.OnceValues(func() (program, error) {
	if path := os.Getenv(EnvProgram); path != "" {
		return program{path: path}, nil
	}
	root, err := pack.Root()
	if err != nil {
		return program{}, err
	}
	dir, err := os.MkdirTemp("", "portwright-served-")
	if err != nil {
		return program{}, err
	}
	p := program{path: filepath.Join(dir, "portwright"), flags: []string{"-dist", filepath.Join(dir, "dist")}}
	if _, err := pack.Build(pack.Options{Root: root, Out: filepath.Join(dir, "dist"), Fast: true}); err != nil {
		return program{}, err
	}
	build := exec.Command("go", "build", "-o", p.path, "./cmd/portwright")
	build.Dir = root
	if out, err := build.CombinedOutput(); err != nil {
		return program{}, fmt.Errorf("the program does not compile:\n%s%w", out, err)
	}
	return p, nil
})

// App starts the server for this machine alone on a free port with an empty data folder. It ends with
// the test. Further flags go to `portwright serve`.
func App(t T, flags ...string) *Server {
	t.Helper()
	p, err := find()
	if err != nil {
		t.Fatalf("%v", err)
	}
	data, err := os.MkdirTemp("", "portwright-data-")
	if err != nil {
		t.Fatalf("a folder for the server's data: %v", err)
	}
	ln, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatalf("a free port: %v", err)
	}
	port := ln.Addr().(*net.TCPAddr).Port
	ln.Close()
	s := &Server{
		t: t, data: data, addr: fmt.Sprintf("127.0.0.1:%d", port), URL: fmt.Sprintf("http://localhost:%d/", port),
		flags: append(append([]string{}, p.flags...), flags...),
	}
	t.Cleanup(func() {
		s.Stop()
		os.RemoveAll(data)
	})
	s.Start()
	return s
}

// Start starts the server again at the same address.
func (s *Server) Start() {
	s.t.Helper()
	if s.cmd != nil {
		return
	}
	p, err := find()
	if err != nil {
		s.t.Fatalf("%v", err)
	}
	s.said = &bytes.Buffer{}
	s.cmd = exec.Command(p.path, append([]string{"serve", "-alone", "-addr", s.addr, "-data", s.data}, s.flags...)...)
	s.cmd.Stdout, s.cmd.Stderr = s.said, s.said
	if err := s.cmd.Start(); err != nil {
		s.t.Fatalf("the server does not start: %v", err)
	}
	until := time.Now().Add(10 * time.Second)
	for {
		conn, err := net.DialTimeout("tcp", s.addr, time.Second)
		if err == nil {
			conn.Close()
			return
		}
		if time.Now().After(until) {
			s.Stop()
			s.t.Fatalf("the server does not answer at %s: %v; it said: %s", s.addr, err, strings.TrimSpace(s.said.String()))
		}
		time.Sleep(20 * time.Millisecond)
	}
}

// PID is the number of the running server's process.
func (s *Server) PID() int { return s.cmd.Process.Pid }

// Run runs another command of the same program and returns what it printed.
func (s *Server) Run(args ...string) []byte {
	s.t.Helper()
	p, err := find()
	if err != nil {
		s.t.Fatalf("%v", err)
	}
	cmd := exec.Command(p.path, args...)
	var said bytes.Buffer
	cmd.Stderr = &said
	out, err := cmd.Output()
	if err != nil {
		s.t.Fatalf("%q: %v: %s", args, err, said.String())
	}
	return out
}

// Data is the server's data folder.
func (s *Server) Data() string { return s.data }

// Stop ends the server, so that nothing answers at its address.
func (s *Server) Stop() {
	if s.cmd == nil {
		return
	}
	_ = s.cmd.Process.Signal(os.Interrupt)
	ended := make(chan error, 1)
	cmd := s.cmd
	go func() { ended <- cmd.Wait() }()
	select {
	case <-ended:
	case <-time.After(5 * time.Second):
		_ = cmd.Process.Kill()
		<-ended
	}
	s.cmd = nil
}
