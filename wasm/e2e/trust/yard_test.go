package trust

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/tls"
	"crypto/x509"
	"encoding/json"
	"fmt"
	"io"
	"log"
	"math/big"
	"net"
	"net/http"
	"net/netip"
	"sync"
	"testing"
	"time"

	"portwright/server/authority"
)

// place is one server with its certificate, under a name or address of its own.
type place struct {
	what, host string
	cert       *tls.Certificate
	accepted   bool
}

// places are the rows that browsers were found to decide differently from what
// one would wish: one name outside of the constraints spoils the whole.
func places(t *testing.T) (all []place, root []byte) {
	t.Helper()
	now := time.Now()
	dir := t.TempDir()
	own, _, err := authority.Open(dir, "SHOP-PC", now)
	if err != nil {
		t.Fatal(err)
	}
	server, err := own.Server(dir, authority.Options{
		Machine: func() string { return "SHOP-PC" },
		Addrs:   func() ([]netip.Addr, error) { return []netip.Addr{netip.MustParseAddr("192.168.77.7")}, nil },
	})
	if err != nil {
		t.Fatal(err)
	}
	kept, err := server.Certificate(nil)
	if err != nil {
		t.Fatal(err)
	}
	stranger, _, err := authority.Open(t.TempDir(), "OTHER", now)
	if err != nil {
		t.Fatal(err)
	}
	inter := kept.Certificate[1]
	other, err := stranger.Server(t.TempDir(), authority.Options{})
	if err != nil {
		t.Fatal(err)
	}
	strange, err := other.Certificate(nil)
	if err != nil {
		t.Fatal(err)
	}
	return []place{
		{"by name", "shop-pc.local", kept, true},
		{"by private address", "192.168.77.7", kept, true},
		{"a public name, signed with the stolen key", "www.example.com", signed(t, own, inter, []string{"www.example.com"}), false},
		{"a public address, signed with the stolen key", "8.8.8.8", signed(t, own, inter, nil, "8.8.8.8"), false},
		{"a public name beside a private address", "192.168.77.8", signed(t, own, inter, []string{"www.example.com"}, "192.168.77.8"), false},
		{"another private address than the certificate's", "192.168.77.9", kept, false},
		{"self-signed", "192.168.77.10", selfSigned(t, "192.168.77.10"), false},
		{"another shop's authority", "192.168.77.11", signed(t, stranger, strange.Certificate[1], nil, "192.168.77.11"), false},
	}, own.Root()
}

// signed is signed by an authority without a look at the names, as by somebody
// who stole its key.
func signed(t *testing.T, by *authority.Authority, chain []byte, dns []string, ips ...string) *tls.Certificate {
	t.Helper()
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	n := authority.Names{DNS: dns}
	for _, text := range ips {
		n.IPs = append(n.IPs, netip.MustParseAddr(text))
	}
	leaf, err := by.Issue(&key.PublicKey, n, time.Now())
	if err != nil {
		t.Fatal(err)
	}
	return &tls.Certificate{Certificate: [][]byte{leaf.Raw, chain}, PrivateKey: key}
}

func selfSigned(t *testing.T, ip string) *tls.Certificate {
	t.Helper()
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	form := &x509.Certificate{SerialNumber: big.NewInt(1), NotBefore: time.Now().Add(-time.Hour), NotAfter: time.Now().Add(24 * time.Hour), IPAddresses: []net.IP{net.ParseIP(ip)}}
	der, err := x509.CreateCertificate(rand.Reader, form, form, &key.PublicKey, key)
	if err != nil {
		t.Fatal(err)
	}
	return &tls.Certificate{Certificate: [][]byte{der}, PrivateKey: key}
}

// verdict is what a browser found.
type verdict struct {
	Reached map[string]bool `json:"reached"` // by host
	Worker  string          `json:"worker"`  // state of the service worker at the private address, or why there is none
}

// yard serves all places, and a page on plain loopback from which a browser
// asks them and tells what it found.
type yard struct {
	proxy *proxy
	url   string // of the page
	told  chan verdict
}

// asking asks every place, then goes to the private address, where a service
// worker is to be registered.
const asking = `
const hosts = %s;
(async () => {
  const reached = {};
  for (const host of hosts) {
    reached[host] = await fetch("https://" + host + "/", { mode: "no-cors", cache: "no-store" }).then(() => true, () => false);
  }
  await fetch("/told", { method: "POST", body: JSON.stringify({ reached }) });
  location = "https://192.168.77.7/worker.html";
})();
`

const registering = `
navigator.serviceWorker.register("/sw.js").then(() => navigator.serviceWorker.ready).then(
  reg => "registered for " + reg.scope, err => "refused: " + err
).then(worker => fetch("/told", { method: "POST", body: JSON.stringify({ worker }) }));
`

func newYard(t *testing.T, all []place) *yard {
	t.Helper()
	y := &yard{told: make(chan verdict, 4)}
	var hosts []string
	ports := map[string]string{}
	var lock sync.Mutex
	for _, p := range all {
		ln, err := net.Listen("tcp", "127.0.0.1:0")
		if err != nil {
			t.Fatal(err)
		}
		hosts = append(hosts, p.host)
		lock.Lock()
		ports[p.host+":443"] = ln.Addr().String()
		lock.Unlock()
		srv := &http.Server{Handler: http.HandlerFunc(y.serve), ReadHeaderTimeout: 5 * time.Second, ErrorLog: log.New(io.Discard, "", 0),
			TLSConfig: &tls.Config{Certificates: []tls.Certificate{*p.cert}, MinVersion: tls.VersionTLS12}}
		go func() { _ = srv.ServeTLS(ln, "", "") }()
		t.Cleanup(func() { _ = srv.Close() })
	}
	list, err := json.Marshal(hosts)
	if err != nil {
		t.Fatal(err)
	}
	own := http.NewServeMux()
	own.HandleFunc("/ask.js", func(w http.ResponseWriter, _ *http.Request) {
		w.Header().Set("Content-Type", "text/javascript")
		fmt.Fprintf(w, asking, list)
	})
	own.HandleFunc("/", y.serve)
	ln, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	srv := &http.Server{Handler: own, ReadHeaderTimeout: 5 * time.Second}
	go func() { _ = srv.Serve(ln) }()
	t.Cleanup(func() { _ = srv.Close() })
	y.url = "http://" + ln.Addr().String() + "/ask.html"
	y.proxy = newProxy(t, func(hostport string) (string, bool) {
		lock.Lock()
		defer lock.Unlock()
		to, ok := ports[hostport]
		return to, ok
	})
	return y
}

func (y *yard) serve(w http.ResponseWriter, r *http.Request) {
	switch r.URL.Path {
	case "/ask.html":
		w.Header().Set("Content-Type", "text/html")
		fmt.Fprint(w, `<!doctype html><title>asks</title><script src="/ask.js"></script>`)
	case "/worker.html":
		w.Header().Set("Content-Type", "text/html")
		fmt.Fprint(w, `<!doctype html><title>registers</title><script src="/worker.js"></script>`)
	case "/worker.js":
		w.Header().Set("Content-Type", "text/javascript")
		fmt.Fprint(w, registering)
	case "/sw.js":
		w.Header().Set("Content-Type", "text/javascript")
	case "/told":
		var v verdict
		if err := json.NewDecoder(http.MaxBytesReader(w, r.Body, 1<<16)).Decode(&v); err == nil {
			y.told <- v
		}
	default:
		w.WriteHeader(http.StatusNoContent)
	}
}

// judge waits for what a browser found and compares.
func (y *yard) judge(t *testing.T, all []place, said func() string) {
	t.Helper()
	var got verdict
	for range 2 {
		select {
		case v := <-y.told:
			if v.Reached != nil {
				got.Reached = v.Reached
			}
			if v.Worker != "" {
				got.Worker = v.Worker
			}
		case <-time.After(90 * time.Second):
			t.Fatalf("the browser did not tell; so far: %+v\n%s", got, said())
		}
	}
	if len(got.Reached) != len(all) {
		t.Fatalf("it told of %d places, not %d", len(got.Reached), len(all))
	}
	for _, p := range all {
		if got.Reached[p.host] != p.accepted {
			t.Errorf("%s (%s): accepted: %v, want %v", p.what, p.host, !p.accepted, p.accepted)
		}
	}
	if got.Worker != "registered for https://192.168.77.7/" {
		t.Errorf("the service worker at the private address: %q", got.Worker)
	}
}
