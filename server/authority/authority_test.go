package authority

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/tls"
	"crypto/x509"
	"fmt"
	"math/big"
	"net"
	"net/netip"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"
)

var now = time.Date(2026, 11, 26, 12, 0, 0, 0, time.UTC)

func made(t *testing.T) (a *Authority, dir string) {
	t.Helper()
	dir = filepath.Join(t.TempDir(), "authority")
	a, isNew, err := Open(dir, "SHOP-PC", now)
	if err != nil || !isNew {
		t.Fatal(isNew, err)
	}
	return a, dir
}

func ips(list ...string) []netip.Addr {
	var out []netip.Addr
	for _, text := range list {
		out = append(out, netip.MustParseAddr(text))
	}
	return out
}

// leaf signs a server's certificate that a test may spoil.
func leaf(t *testing.T, a *Authority, dns []string, addrs []netip.Addr, spoil func(*x509.Certificate)) *x509.Certificate {
	t.Helper()
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	c, err := a.Issue(&key.PublicKey, Names{dns, addrs}, now)
	if err != nil {
		t.Fatal(err)
	}
	if spoil == nil {
		return c
	}
	again := *c
	spoil(&again)
	der, err := x509.CreateCertificate(rand.Reader, &again, a.inter, &key.PublicKey, a.key)
	if err != nil {
		t.Fatal(err)
	}
	if c, err = x509.ParseCertificate(der); err != nil {
		t.Fatal(err)
	}
	return c
}

// What a verifier that knows the root accepts, by the standard library's own
// reading of RFC 5280. The rows are those that browsers were found to refuse
// when one name of many lies outside.
func TestVerify(t *testing.T) {
	a, _ := made(t)
	roots, inters := x509.NewCertPool(), x509.NewCertPool()
	roots.AddCert(a.root)
	inters.AddCert(a.inter)
	home := ips("192.168.1.7")
	for _, c := range []struct {
		name  string
		dns   []string
		ips   []netip.Addr
		host  string
		spoil func(*x509.Certificate)
		at    time.Time
		want  string // part of the error
	}{
		{"by name", []string{"shop-pc.local"}, home, "shop-pc.local", nil, now, ""},
		{"by address", []string{"shop-pc.local"}, home, "192.168.1.7", nil, now, ""},
		{"by IPv6", nil, ips("fd00::7"), "[fd00::7]", nil, now, ""},
		{"here", []string{"localhost"}, ips("127.0.0.1", "::1"), "localhost", nil, now, ""},
		{"a router's name", []string{"shop.home.arpa", "shop.lan", "shop.internal"}, nil, "shop.lan", nil, now, ""},
		{"a phone a day behind", []string{"shop-pc.local"}, home, "shop-pc.local", nil, now.Add(-23 * time.Hour), ""},
		{"the last day", []string{"shop-pc.local"}, home, "shop-pc.local", nil, now.Add(395 * 24 * time.Hour), ""},
		{"after its end", []string{"shop-pc.local"}, home, "shop-pc.local", nil, now.Add(398 * 24 * time.Hour), "expired"},
		{"another name", []string{"shop-pc.local"}, home, "bank.local", nil, now, "not bank.local"},
		{"a public name", []string{"www.example.com"}, nil, "www.example.com", nil, now, "not permitted"},
		{"a public name beside", []string{"shop-pc.local", "www.example.com"}, home, "192.168.1.7", nil, now, "not permitted"},
		{"any name", []string{"*.com"}, nil, "x.com", nil, now, "not permitted"},
		{"a name that ends alike", []string{"notlocal"}, nil, "notlocal", nil, now, "not permitted"},
		{"a public address", nil, ips("8.8.8.8"), "8.8.8.8", nil, now, "not permitted"},
		{"a public address beside", []string{"shop-pc.local"}, ips("192.168.1.7", "2001:db8::1"), "192.168.1.7", nil, now, "not permitted"},
		{"a client", []string{"shop-pc.local"}, nil, "shop-pc.local", func(c *x509.Certificate) { c.ExtKeyUsage = []x509.ExtKeyUsage{x509.ExtKeyUsageClientAuth} }, now, "incompatible key usage"},
	} {
		cert := leaf(t, a, c.dns, c.ips, c.spoil)
		_, err := cert.Verify(x509.VerifyOptions{Roots: roots, Intermediates: inters, CurrentTime: c.at})
		if err == nil {
			err = cert.VerifyHostname(c.host)
		}
		if (err == nil) != (c.want == "") || err != nil && !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q", c.name, err, c.want)
		}
	}
}

// The intermediate's key can't make another authority, nor sign anything but
// servers.
func TestIntermediateCannotDelegate(t *testing.T) {
	a, _ := made(t)
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	free := &x509.Certificate{SerialNumber: big.NewInt(1), IsCA: true, BasicConstraintsValid: true, KeyUsage: x509.KeyUsageCertSign, NotBefore: now, NotAfter: now.AddDate(1, 0, 0)}
	second, err := sign(free, a.inter, &key.PublicKey, a.key)
	if err != nil {
		t.Fatal(err)
	}
	roots, inters := x509.NewCertPool(), x509.NewCertPool()
	roots.AddCert(a.root)
	inters.AddCert(a.inter)
	inters.AddCert(second)
	for _, name := range []string{"shop-pc.local", "www.example.com"} {
		cert, err := sign(&x509.Certificate{NotBefore: now, NotAfter: now.AddDate(1, 0, 0), DNSNames: []string{name}}, second, &key.PublicKey, key)
		if err != nil {
			t.Fatal(err)
		}
		_, err = cert.Verify(x509.VerifyOptions{Roots: roots, Intermediates: inters, CurrentTime: now, KeyUsages: []x509.ExtKeyUsage{x509.ExtKeyUsageAny}})
		if err == nil {
			t.Errorf("%s of a second authority is accepted", name)
		}
	}
}

// What the forms demand: RFC 5280 (4.2.1.9, 4.2.1.10), Apple's requirements for
// trusted certificates (support.apple.com/103176): SHA-2, ECDSA, names in the
// extension, server authentication, 825 days at most.
func TestForms(t *testing.T) {
	a, dir := made(t)
	for _, c := range []*x509.Certificate{a.root, a.inter} {
		if !c.IsCA || !c.PermittedDNSDomainsCritical || len(c.PermittedDNSDomains) == 0 || len(c.PermittedIPRanges) == 0 || c.KeyUsage != x509.KeyUsageCertSign|x509.KeyUsageCRLSign {
			t.Errorf("%s: %+v", c.Subject, c)
		}
	}
	if a.root.MaxPathLen != 1 || a.inter.MaxPathLen != 0 || !a.inter.MaxPathLenZero || !slices.Equal(a.inter.ExtKeyUsage, []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth}) {
		t.Errorf("path lengths %d and %d, use %v", a.root.MaxPathLen, a.inter.MaxPathLen, a.inter.ExtKeyUsage)
	}
	cert := leaf(t, a, []string{"shop-pc.local"}, ips("192.168.1.7"), nil)
	if days := cert.NotAfter.Sub(cert.NotBefore); days > 397*24*time.Hour || cert.SignatureAlgorithm != x509.ECDSAWithSHA256 || cert.IsCA || cert.KeyUsage != x509.KeyUsageDigitalSignature || cert.SerialNumber.BitLen() < 90 {
		t.Errorf("%v, %v, %v", days, cert.SignatureAlgorithm, cert.SerialNumber)
	}
	if a.root.PublicKey.(*ecdsa.PublicKey).Equal(&a.key.PublicKey) {
		t.Error("the root's key is kept")
	}
	data, err := os.ReadFile(filepath.Join(dir, File))
	if n := strings.Count(string(data), "PRIVATE KEY-----\n"); err != nil || n != 2 { // its begin and its end
		t.Errorf("%d lines of keys are kept, %v", n, err)
	}
}

func TestAuthorityIsKept(t *testing.T) {
	a, dir := made(t)
	file := filepath.Join(dir, File)
	if err := os.Chmod(file, 0o644); err != nil {
		t.Fatal(err)
	}
	b, isNew, err := Open(dir, "OTHER-NAME", now.AddDate(2, 0, 0))
	if err != nil || isNew || a.Fingerprint() != b.Fingerprint() || b.Name() != a.Name() {
		t.Fatalf("another authority after a restart: %v, %v", isNew, err)
	}
	if info, err := os.Stat(file); err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("others may read the key: %v, %v", info.Mode(), err)
	}
	if len(a.Fingerprint()) != 95 || strings.Count(a.Fingerprint(), ":") != 31 {
		t.Errorf("fingerprint %s", a.Fingerprint())
	}
	for _, bad := range []string{"", "nonsense", "half"} {
		data, _ := os.ReadFile(file)
		if bad == "half" {
			bad = string(data[:len(data)/2])
		}
		other := t.TempDir()
		if err := os.WriteFile(filepath.Join(other, File), []byte(bad), 0o600); err != nil {
			t.Fatal(err)
		}
		if _, _, err := Open(other, "x", now); err == nil || !strings.Contains(err.Error(), "move it away") {
			t.Errorf("a damaged file: %v", err)
		}
	}
	if _, _, err := Open(t.TempDir(), "x", time.Date(1970, 1, 2, 0, 0, 0, 0, time.UTC)); err == nil || !strings.Contains(err.Error(), "clock says 1970-01-02") {
		t.Errorf("with a wrong clock: %v", err)
	}
}

func TestSplit(t *testing.T) {
	for _, c := range []struct {
		machine string
		addrs   string
		dns     string
		ips     string
		dropped string
	}{
		{"SHOP-PC", "192.168.1.7", "localhost shop-pc.local", "127.0.0.1 192.168.1.7 ::1", "shop-pc"},
		{"shop-pc.local", "10.1.2.3 10.1.2.3", "localhost shop-pc.local", "10.1.2.3 127.0.0.1 ::1", ""},
		{"shop.fritz.box", "172.16.0.1 172.32.0.1", "localhost shop.local", "127.0.0.1 172.16.0.1 ::1", "shop.fritz.box 172.32.0.1"},
		{"shop.lan", "", "localhost shop.lan shop.local", "127.0.0.1 ::1", ""},
		{"Werkstatt PC ä", "2001:db8::1 fd00::1 fe80::1%eth0", "localhost werkstatt-pc.local", "127.0.0.1 ::1 fd00::1", "werkstatt pc ä 2001:db8::1"},
		{"", "0.0.0.0 :: 224.0.0.251 ::ffff:192.168.1.9", "localhost portwright.local", "127.0.0.1 192.168.1.9 ::1", ""},
		{"www.example.com", "8.8.8.8", "localhost www.local", "127.0.0.1 ::1", "www.example.com 8.8.8.8"},
		{"localhost", "", "localhost portwright.local", "127.0.0.1 ::1", ""},
		{"x\r\nHost: evil", "", "localhost xhost-evil.local", "127.0.0.1 ::1", "x\r\nhost: evil"},
	} {
		n, dropped := Split(c.machine, ips(strings.Fields(c.addrs)...))
		var got []string
		for _, ip := range n.IPs {
			got = append(got, ip.String())
		}
		if strings.Join(n.DNS, " ") != c.dns || strings.Join(got, " ") != c.ips || strings.Join(dropped, " ") != c.dropped {
			t.Errorf("%q, %s: %q, %q, without %q", c.machine, c.addrs, n.DNS, got, dropped)
		}
		for _, name := range n.DNS {
			if !private(name) {
				t.Errorf("%q lies outside of the constraints", name)
			}
		}
	}
}

// machine is a computer whose clock and addresses a test turns.
type machine struct {
	name  string
	addrs []netip.Addr
	clock time.Time
	said  []string
}

func (m *machine) options() Options {
	return Options{
		Machine: func() string { return m.name }, Addrs: func() ([]netip.Addr, error) { return m.addrs, nil }, Now: func() time.Time { return m.clock },
		Log: func(format string, args ...any) { m.said = append(m.said, fmt.Sprintf(format, args...)) },
	}
}

func TestCertificateFollowsTheMachine(t *testing.T) {
	a, dir := made(t)
	m := &machine{name: "SHOP-PC", addrs: ips("192.168.1.7"), clock: now}
	s, err := a.Server(dir, m.options())
	if err != nil {
		t.Fatal(err)
	}
	number := func() *big.Int {
		t.Helper()
		c, err := s.Certificate(nil)
		if err != nil {
			t.Fatal(err)
		}
		return c.Leaf.SerialNumber
	}
	last := number()
	for _, c := range []struct {
		what   string
		turn   func()
		issued bool
	}{
		{"nothing changes", func() {}, false},
		{"a minute later", func() { m.clock = m.clock.Add(time.Minute) }, false},
		{"after a restart", func() {
			if s, err = a.Server(dir, m.options()); err != nil {
				t.Fatal(err)
			}
		}, false},
		{"another address, at once", func() { m.addrs = ips("192.168.1.8") }, false},
		{"another address, a moment later", func() { m.clock = m.clock.Add(look) }, true},
		{"a public address beside", func() { m.addrs = ips("192.168.1.8", "8.8.8.8"); m.clock = m.clock.Add(look) }, false},
		{"another name", func() { m.name = "OTHER"; m.clock = m.clock.Add(look) }, true},
		{"61 days left", func() { m.clock = s.Until().Add(-61 * 24 * time.Hour) }, false},
		{"59 days left", func() { m.clock = s.Until().Add(-59 * 24 * time.Hour) }, true},
		{"the clock set back a year", func() { m.clock = m.clock.AddDate(-1, 0, 0) }, true},
		{"its file lost, and a restart", func() {
			if err := os.Remove(filepath.Join(dir, ServerFile)); err != nil {
				t.Fatal(err)
			}
			if s, err = a.Server(dir, m.options()); err != nil {
				t.Fatal(err)
			}
		}, true},
		{"its file damaged, and a restart", func() {
			if err := os.WriteFile(filepath.Join(dir, ServerFile), []byte("x"), 0o600); err != nil {
				t.Fatal(err)
			}
			if s, err = a.Server(dir, m.options()); err != nil {
				t.Fatal(err)
			}
		}, true},
		{"near the end of the authority", func() { m.clock = a.Until().Add(-30 * 24 * time.Hour) }, true},
		{"then it stays", func() { m.clock = a.Until().Add(-20 * 24 * time.Hour) }, false},
	} {
		c.turn()
		got := number()
		if (got.Cmp(last) != 0) != c.issued {
			t.Errorf("%s: issued again: %v, want %v", c.what, !c.issued, c.issued)
		}
		last = got
	}
	if s.Until().After(a.Until()) {
		t.Error("it outlives its authority")
	}
	said := strings.Join(m.said, "\n")
	for _, want := range []string{"leaves out shop-pc:", "leaves out shop-pc, 8.8.8.8", "names or addresses changed", "ends soon", "clock was set back", "192.168.1.8"} {
		if !strings.Contains(said, want) {
			t.Errorf("%q is not said in:\n%s", want, said)
		}
	}
	if info, err := os.Stat(filepath.Join(dir, ServerFile)); err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("others may read the key: %v, %v", info.Mode(), err)
	}
}

// A server with the certificate, asked by a client that trusts the root.
func TestHandshake(t *testing.T) {
	a, dir := made(t)
	m := &machine{name: "SHOP-PC", clock: time.Now()}
	s, err := a.Server(dir, m.options())
	if err != nil {
		t.Fatal(err)
	}
	ln, err := tls.Listen("tcp", "127.0.0.1:0", &tls.Config{GetCertificate: s.Certificate, MinVersion: tls.VersionTLS12})
	if err != nil {
		t.Fatal(err)
	}
	defer ln.Close()
	go func() {
		for {
			c, err := ln.Accept()
			if err != nil {
				return
			}
			go func() { _ = c.(*tls.Conn).Handshake(); c.Close() }()
		}
	}()
	roots := x509.NewCertPool()
	roots.AddCert(a.root)
	for _, c := range []struct {
		name string
		conf *tls.Config
		want string
	}{
		{"who trusts the root", &tls.Config{RootCAs: roots, ServerName: "shop-pc.local"}, ""},
		{"by address", &tls.Config{RootCAs: roots, ServerName: "127.0.0.1"}, ""},
		{"who does not", &tls.Config{RootCAs: x509.NewCertPool(), ServerName: "shop-pc.local"}, "unknown authority"},
		{"an old TLS", &tls.Config{RootCAs: roots, ServerName: "shop-pc.local", MinVersion: tls.VersionTLS10, MaxVersion: tls.VersionTLS11}, "protocol version"},
	} {
		conn, err := tls.Dial("tcp", ln.Addr().String(), c.conf)
		if (err == nil) != (c.want == "") || err != nil && !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q", c.name, err, c.want)
		}
		if err == nil {
			conn.Close()
		}
	}
}

func TestGivenCertificate(t *testing.T) {
	a, _ := made(t)
	dir := t.TempDir()
	cert, key := filepath.Join(dir, "cert.pem"), filepath.Join(dir, "key.pem")
	write := func(dns string, at time.Time) {
		t.Helper()
		k, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
		if err != nil {
			t.Fatal(err)
		}
		c, err := sign(&x509.Certificate{DNSNames: []string{dns}, IPAddresses: []net.IP{{192, 0, 2, 7}}, NotBefore: now, NotAfter: now.AddDate(0, 3, 0)}, a.inter, &k.PublicKey, a.key)
		if err != nil {
			t.Fatal(err)
		}
		data, err := encode(k, c)
		if err != nil {
			t.Fatal(err)
		}
		for _, file := range []string{cert, key} { // each holds both; the loader takes its part
			if err := os.WriteFile(file, data, 0o600); err != nil {
				t.Fatal(err)
			}
			if err := os.Chtimes(file, at, at); err != nil {
				t.Fatal(err)
			}
		}
	}
	m := &machine{clock: now}
	if _, err := OpenGiven(cert, key, m.options().Now, m.options().Log); err == nil || !strings.Contains(err.Error(), cert) {
		t.Errorf("absent files: %v", err)
	}
	write("shop.example.com", now)
	g, err := OpenGiven(cert, key, m.options().Now, m.options().Log)
	if err != nil {
		t.Fatal(err)
	}
	check := func(want string) {
		t.Helper()
		m.clock = m.clock.Add(look)
		c, err := g.Certificate(nil)
		if err != nil || c.Leaf.DNSNames[0] != want || g.Names().String() != want+", 192.0.2.7" {
			t.Errorf("%v, %v; want %s", c.Leaf.DNSNames, err, want)
		}
	}
	check("shop.example.com")
	write("new.example.com", now.Add(time.Hour))
	check("new.example.com")
	if err := os.WriteFile(key, []byte("half"), 0o600); err != nil {
		t.Fatal(err)
	}
	check("new.example.com")
	write("last.example.com", now.Add(2*time.Hour))
	check("last.example.com")
	if said := strings.Join(m.said, "\n"); !strings.Contains(said, "is not used") || !strings.Contains(said, "is in use, until 2027-02-26") {
		t.Errorf("said:\n%s", said)
	}
}
