package authority

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/tls"
	"crypto/x509"
	"fmt"
	"net"
	"net/netip"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"time"

	"portwright/server/disk"
)

// Server is the server's certificate, kept current.
type Server struct {
	a    *Authority
	opt  Options
	file string

	mu      sync.Mutex
	cert    *tls.Certificate
	leaf    *x509.Certificate
	names   Names
	asked   time.Time // when the machine was last asked for its names
	dropped string
}

// Options of a server's certificate.
type Options struct {
	Machine func() string                    // the machine's name; nil: the system's
	Addrs   func() ([]netip.Addr, error)     // its addresses; nil: those of the system's interfaces
	Now     func() time.Time                 // nil: time.Now
	Log     func(format string, args ...any) // what a person should know; nil: nothing is said
}

// look is how often the machine is asked for its names.
const look = 15 * time.Second

// ServerFile is the certificate's file beside the authority's.
const ServerFile = "server.pem"

// Open returns the server's certificate, as it was kept or issued anew.
func (a *Authority) Server(dir string, o Options) (*Server, error) {
	if o.Machine == nil {
		o.Machine = func() string { name, _ := os.Hostname(); return name } // without a name there is one to fall back on
	}
	if o.Addrs == nil {
		o.Addrs = systemAddrs
	}
	if o.Now == nil {
		o.Now = time.Now
	}
	if o.Log == nil {
		o.Log = func(string, ...any) {}
	}
	s := &Server{a: a, opt: o, file: filepath.Join(dir, ServerFile)}
	if data, err := os.ReadFile(s.file); err == nil {
		if key, chain, err := decode(data); err == nil {
			s.use(key, chain[0])
		}
		if err := ownOnly(s.file); err != nil {
			return nil, err
		}
	}
	return s, s.refresh()
}

// systemAddrs are the addresses of the machine's interfaces that are up.
func systemAddrs() ([]netip.Addr, error) {
	all, err := net.InterfaceAddrs()
	if err != nil {
		return nil, err
	}
	var out []netip.Addr
	for _, a := range all {
		if p, err := netip.ParsePrefix(a.String()); err == nil {
			out = append(out, p.Addr())
		}
	}
	return out, nil
}

func (s *Server) use(key *ecdsa.PrivateKey, leaf *x509.Certificate) {
	s.leaf = leaf
	s.cert = &tls.Certificate{Certificate: [][]byte{leaf.Raw, s.a.inter.Raw}, PrivateKey: key, Leaf: leaf}
}

// refresh issues the certificate again when it is not, or not for long, what
// the machine needs. The caller holds mu, or nobody else has s.
func (s *Server) refresh() error {
	now := s.opt.Now()
	if gone := now.Sub(s.asked); s.leaf != nil && !s.asked.IsZero() && gone >= 0 && gone < look {
		return nil
	}
	s.asked = now
	addrs, err := s.opt.Addrs()
	if err != nil {
		return fmt.Errorf("this machine's addresses: %w", err)
	}
	names, dropped := Split(s.opt.Machine(), addrs)
	s.names = names
	if said := strings.Join(dropped, ", "); said != s.dropped {
		s.dropped = said
		if said != "" {
			s.opt.Log("The certificate leaves out %s: not private, so one such name would make phones refuse all of it.", said)
		}
	}
	why := s.stale(names, now)
	if why == "" {
		return nil
	}
	return s.issue(names, now, why)
}

// stale says why the certificate has to be issued again, "" when it has not.
func (s *Server) stale(names Names, now time.Time) string {
	switch {
	case s.leaf == nil:
		return "there was none"
	case s.leaf.CheckSignatureFrom(s.a.inter) != nil:
		return "it was of another authority"
	case !namesOf(s.leaf).Equal(names):
		return "names or addresses changed"
	case now.Before(s.leaf.NotBefore):
		return "the clock was set back"
	case s.leaf.NotAfter.Sub(now) < RenewAt && s.leaf.NotAfter.Before(s.a.Until()):
		return "it ends soon"
	}
	return ""
}

func (s *Server) issue(names Names, now time.Time, why string) error {
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		return err
	}
	leaf, err := s.a.Issue(&key.PublicKey, names, now)
	if err != nil {
		return fmt.Errorf("issuing the server's certificate: %w", err)
	}
	data, err := encode(key, leaf)
	if err == nil {
		err = disk.WriteFile(s.file, data)
	}
	if err != nil { // it serves all the same, until the next start
		s.opt.Log("The server's certificate can't be kept: %v", err)
	}
	s.use(key, leaf)
	s.opt.Log("A certificate was issued (%s) for %s, until %s.", why, s.names, leaf.NotAfter.Format(time.DateOnly))
	return nil
}

// namesOf reads back what a certificate is for.
func namesOf(c *x509.Certificate) Names {
	n := Names{DNS: slices.Sorted(slices.Values(c.DNSNames))}
	for _, ip := range c.IPAddresses {
		if a, ok := netip.AddrFromSlice(ip); ok {
			n.IPs = append(n.IPs, a.Unmap())
		}
	}
	slices.SortFunc(n.IPs, netip.Addr.Compare)
	return n
}

// String lists the names for people.
func (n Names) String() string {
	all := slices.Clone(n.DNS)
	for _, ip := range n.IPs {
		all = append(all, ip.String())
	}
	return strings.Join(all, ", ")
}

// Certificate is for tls.Config.GetCertificate: the current one.
func (s *Server) Certificate(*tls.ClientHelloInfo) (*tls.Certificate, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if err := s.refresh(); err != nil {
		s.opt.Log("%v", err) // the old one may still serve
	}
	return s.cert, nil
}

// Names are what the machine is called now.
func (s *Server) Names() Names {
	s.mu.Lock()
	defer s.mu.Unlock()
	if err := s.refresh(); err != nil {
		s.opt.Log("%v", err)
	}
	return s.names
}

// Until is when the current certificate ends.
func (s *Server) Until() time.Time {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.leaf.NotAfter
}
