// Package trust holds the shop PC's certificates against real browsers, and
// lets a phone in from the set-up page to a revoked device.
//
// Browsers reach private names and addresses through a proxy that leads all of
// them to this machine; nothing but loopback is needed. They get the authority
// by NSS's own program (certutil), as a person would get it by hand.
package trust

import (
	"bytes"
	"io"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"sync"
	"testing"
	"time"
)

// envCertutil names NSS's program.
const envCertutil = "PORTWRIGHT_CERTUTIL"

// trustIn puts a certificate into an NSS store as an authority for servers.
func trustIn(t *testing.T, certutil, dir string, der []byte) {
	t.Helper()
	if err := os.MkdirAll(dir, 0o700); err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "root.crt")
	if err := os.WriteFile(file, der, 0o600); err != nil {
		t.Fatal(err)
	}
	for _, args := range [][]string{{"-N", "--empty-password"}, {"-A", "-t", "C,,", "-n", "shop", "-i", file}} {
		if out, err := exec.Command(certutil, append([]string{"-d", "sql:" + dir}, args...)...).CombinedOutput(); err != nil {
			t.Fatalf("certutil %v: %v\n%s", args, err, out)
		}
	}
}

// proxy leads every host to a port of this machine (RFC 9110, 9.3.6, and plain
// requests).
type proxy struct {
	addr string
	to   func(hostport string) (string, bool)
}

func newProxy(t *testing.T, to func(hostport string) (string, bool)) *proxy {
	t.Helper()
	ln, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	p := &proxy{addr: ln.Addr().String(), to: to}
	srv := &http.Server{Handler: p, ReadHeaderTimeout: 5 * time.Second}
	go func() { _ = srv.Serve(ln) }()
	t.Cleanup(func() { _ = srv.Close() })
	return p
}

func (p *proxy) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	host := r.Host
	if r.Method != http.MethodConnect && r.URL.Port() == "" {
		host = net.JoinHostPort(r.URL.Hostname(), "80")
	}
	addr, ok := p.to(host)
	if !ok {
		http.Error(w, "nobody there", http.StatusBadGateway)
		return
	}
	if r.Method != http.MethodConnect {
		p.plain(w, r, addr)
		return
	}
	out, err := net.Dial("tcp", addr)
	if err != nil {
		http.Error(w, err.Error(), http.StatusBadGateway)
		return
	}
	defer out.Close()
	in, _, err := http.NewResponseController(w).Hijack()
	if err != nil {
		return
	}
	defer in.Close()
	_, _ = io.WriteString(in, "HTTP/1.1 200 OK\r\n\r\n")
	go func() { _, _ = io.Copy(out, in); out.Close() }()
	_, _ = io.Copy(in, out)
}

func (p *proxy) plain(w http.ResponseWriter, r *http.Request, addr string) {
	again := r.Clone(r.Context())
	again.RequestURI, again.Host = "", r.Host
	again.URL.Host = addr
	answer, err := http.DefaultTransport.RoundTrip(again)
	if err != nil {
		http.Error(w, err.Error(), http.StatusBadGateway)
		return
	}
	defer answer.Body.Close()
	for name, values := range answer.Header {
		w.Header()[name] = values
	}
	w.WriteHeader(answer.StatusCode)
	_, _ = io.Copy(w, answer.Body)
}

// noted collects what a program says.
type noted struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (n *noted) Write(p []byte) (int, error) {
	n.mu.Lock()
	defer n.mu.Unlock()
	return n.b.Write(p)
}

func (n *noted) String() string {
	n.mu.Lock()
	defer n.mu.Unlock()
	return n.b.String()
}
