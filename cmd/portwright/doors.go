package main

import (
	"context"
	"crypto/tls"
	"fmt"
	"io"
	"log"
	"net"
	"net/http"
	"net/netip"
	"path/filepath"
	"slices"
	"strconv"
	"time"

	"golang.org/x/sync/errgroup"

	"portwright/server/announce"
	"portwright/server/authority"
	"portwright/server/httpapi"
	"portwright/server/setup"
)

// doors are where the server listens: to this computer's own browser, to
// phones over HTTPS, and, with the set-up page alone, to phones that do not
// trust it yet.
type doors struct {
	own, phones, setup net.Listener // the last two may be nil
}

func (f serveFlags) listen() (d doors, err error) {
	for _, one := range []struct {
		to         *net.Listener
		name, addr string
		other      string
		without    bool
	}{
		{&d.own, "addr", f.addr, "localhost:8082", false},
		{&d.phones, "phones", f.phones, ":8444", f.phones == ""},
		{&d.setup, "setup", f.setup, ":8083", f.phones == "" || f.setup == "" || f.cert != ""},
	} {
		if one.without {
			continue
		}
		ln, err := net.Listen("tcp", one.addr)
		if err != nil {
			d.close()
			return d, listenError(one.name, one.addr, one.other, err)
		}
		*one.to = ln
	}
	return d, nil
}

func (d doors) close() {
	for _, ln := range []net.Listener{d.own, d.phones, d.setup} {
		if ln != nil {
			ln.Close()
		}
	}
}

// where is the address for this computer's own browser.
func (d doors) where(addr string) string {
	return "http://" + net.JoinHostPort(hostFor(addr), strconv.Itoa(port(d.own))) + "/"
}

// port that a listener has, 0 for none.
func port(ln net.Listener) int {
	if ln == nil {
		return 0
	}
	return ln.Addr().(*net.TCPAddr).Port
}

// run serves at every door until the context ends or one fails.
func (d doors) run(ctx context.Context, h http.Handler, p *phones) error {
	all, ctx := errgroup.WithContext(ctx)
	all.Go(func() error { return httpapi.Run(ctx, d.own, h, nil) })
	if d.phones != nil {
		secure := &tls.Config{MinVersion: tls.VersionTLS12, GetCertificate: p.cert.Certificate}
		all.Go(func() error { return httpapi.Run(ctx, d.phones, h, secure) })
		all.Go(func() error {
			(&announce.Announcer{Name: p.local, Log: log.Printf}).Run(ctx)
			return nil
		})
	}
	if d.setup != nil {
		page, err := setup.New(p.authority, p.places)
		if err != nil {
			return err
		}
		all.Go(func() error { return httpapi.Run(ctx, d.setup, httpapi.Limited(page), nil) })
	}
	return all.Wait()
}

// certificate is what phones are served with.
type certificate interface {
	Certificate(*tls.ClientHelloInfo) (*tls.Certificate, error)
	Names() authority.Names
	Until() time.Time
}

// phones is what the network sees of the server. The zero value is a server
// that listens to this computer alone.
type phones struct {
	cert      certificate
	authority *authority.Authority // nil with a certificate of one's own
	hosts     []string             // named by -host
	port      int                  // of the app, over HTTPS
	setup     int                  // of the set-up page; 0: there is none
}

// certify opens or makes the certificates.
func (f serveFlags) certify(d doors) (*phones, error) {
	p := &phones{hosts: listed(f.hosts), port: port(d.phones), setup: port(d.setup)}
	if d.phones == nil {
		return p, nil
	}
	if f.cert != "" {
		given, err := authority.OpenGiven(f.cert, f.key, nil, log.Printf)
		p.cert = given
		return p, err
	}
	dir := filepath.Join(f.data, "authority")
	a, made, err := authority.Open(dir, machine(), time.Now())
	if err != nil {
		return nil, err
	}
	if made {
		log.Printf("An authority was made, %s; its key lies in %s. Phones install its certificate once.", a.Name(), dir)
	}
	p.authority = a
	p.cert, err = a.Server(dir, authority.Options{Log: log.Printf})
	return p, err
}

// local is the machine's name on the local network.
func (p *phones) local() string { return authority.Local(machine()) }

// hostNames are all names and addresses under which phones may come.
func (p *phones) hostNames() []string {
	n := p.cert.Names()
	out := append([]string{}, n.DNS...)
	for _, ip := range n.IPs {
		out = append(out, ip.String())
	}
	return out
}

// names adds what the certificate is for to the names given by flags.
func (p *phones) names(given httpapi.Names) func() httpapi.Names {
	if p.cert == nil {
		return func() httpapi.Names { return given }
	}
	return func() httpapi.Names {
		n := httpapi.Names{Hosts: append([]string{}, given.Hosts...), Origins: append([]string{}, given.Origins...)}
		for _, host := range p.hostNames() {
			n.Hosts = append(n.Hosts, host)
			if host == "localhost" || net.ParseIP(host).IsLoopback() {
				continue
			}
			n.Origins = append(n.Origins, "https://"+net.JoinHostPort(host, strconv.Itoa(p.port)))
		}
		return n
	}
}

// places are where a phone finds the set-up page and the app.
func (p *phones) places() setup.Places {
	return setup.Places{Name: p.local(), Addr: preferred(p.cert.Names().IPs, outgoing()), Hosts: append(p.hostNames(), p.hosts...), Port: p.port, Setup: p.setup}
}

// outgoing is the address from which this machine reaches others. Nothing is
// sent to find out.
func outgoing() netip.Addr {
	conn, err := net.Dial("udp4", "192.0.2.1:9") // RFC 5737: an address that nobody has
	if err != nil {
		return netip.Addr{}
	}
	defer conn.Close()
	return conn.LocalAddr().(*net.UDPAddr).AddrPort().Addr()
}

// preferred picks, of a machine's addresses, the one a phone is most likely to
// reach: the one it goes out by; else one of the nets that homes and small shops
// have rather than one that programs make inside the machine; else a private one
// of IPv6. "" if none will do.
func preferred(all []netip.Addr, out netip.Addr) string {
	if slices.Contains(all, out) && !out.IsLoopback() {
		return out.String()
	}
	for _, net := range []string{"192.168.0.0/16", "10.0.0.0/8", "172.16.0.0/12", "fc00::/7"} { // RFC 1918, RFC 4193
		for _, ip := range all {
			if netip.MustParsePrefix(net).Contains(ip) {
				return ip.String()
			}
		}
	}
	return ""
}

// tell prints where phones come in.
func (p *phones) tell(w io.Writer) {
	switch {
	case p.cert == nil:
		fmt.Fprintln(w, "It listens to this computer alone.")
	case p.setup == 0:
		fmt.Fprintf(w, "Phones open it over HTTPS, port %d, under the names of your certificate: %s\n", p.port, p.cert.Names())
	default:
		pl := p.places()
		named := "http://" + net.JoinHostPort(pl.Name, strconv.Itoa(pl.Setup)) + "/"
		if page := pl.Page(); page != named {
			named = page + " or " + named
		}
		fmt.Fprintf(w, "Phones begin at %s\nThe authority's fingerprint (SHA-256) is %s\n", named, p.authority.Fingerprint())
	}
}
