// Package authority makes the shop PC's certificates: an authority that is
// good for private names and addresses alone, and the server's certificate,
// which follows the machine's addresses by itself.
//
//	root            self-signed, constrained; what phones install. Its key is
//	                thrown away once the intermediate is signed
//	intermediate    constrained in the same way, for servers alone; its key
//	                lies in the data folder, for its owner alone
//	server          397 days at most, issued again when the addresses change or
//	                60 days are left
//
// The constraints stand in both (RFC 5280, 4.2.1.10): some verifiers look for
// them in the root, some in the intermediate alone. Whoever steals the folder
// has a key for names that exist on a private network only.
package authority

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/sha256"
	"crypto/x509"
	"crypto/x509/pkix"
	"errors"
	"fmt"
	"io/fs"
	"math/big"
	"net"
	"os"
	"path/filepath"
	"strings"
	"time"

	"portwright/server/disk"
)

// How long certificates are good for.
const (
	authorityYears = 10
	ServerFor      = 397 * 24 * time.Hour // browsers refuse more of a public authority (CA/Browser Forum, Baseline Requirements, until 2026); Apple refuses 825 days of any
	RenewAt        = 60 * 24 * time.Hour  // left
	early          = 24 * time.Hour       // before now: a phone's clock may be behind
)

// earliest is a time before this was written: a clock that is behind it is
// wrong, and an authority of 10 years made then would be refused for ever.
var earliest = time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC)

// names and networks that the authority is good for.
var (
	names    = []string{"localhost", "local", "home.arpa", "internal", "lan"}
	networks = []string{"10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "169.254.0.0/16", "127.0.0.0/8", "::1/128", "fc00::/7", "fe80::/10"}
)

// Authority signs the server's certificates.
type Authority struct {
	root  *x509.Certificate // what phones install
	inter *x509.Certificate
	key   *ecdsa.PrivateKey // the intermediate's
}

// File is the authority's file in its folder: key and certificates together, so
// that they never belie each other.
const File = "authority.pem"

// Open reads the authority in a folder, or makes one for a machine of that
// name. made says that it is new.
func Open(dir, machine string, now time.Time) (a *Authority, made bool, err error) {
	file := filepath.Join(dir, File)
	data, err := os.ReadFile(file)
	if err == nil {
		a, err = read(data)
		if err != nil {
			return nil, false, fmt.Errorf("%s is damaged: %w. Put back a copy of it, or move it away; then a new authority is made and each phone installs that one", file, err)
		}
		return a, false, ownOnly(file)
	}
	if !errors.Is(err, fs.ErrNotExist) {
		return nil, false, fmt.Errorf("the shop PC's authority: %w", err)
	}
	if now.Before(earliest) {
		return nil, false, fmt.Errorf("this computer's clock says %s, which can't be: set it, then start again. Phones would refuse certificates made now", now.Format(time.DateOnly))
	}
	if a, err = make10(machine, now); err != nil {
		return nil, false, fmt.Errorf("making the shop PC's authority: %w", err)
	}
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return nil, false, err
	}
	data, err = encode(a.key, a.inter, a.root)
	if err == nil {
		err = disk.WriteFile(file, data)
	}
	if err != nil {
		return nil, false, fmt.Errorf("keeping the shop PC's authority: %w", err)
	}
	return a, true, nil
}

// make10 makes an authority of ten years.
func make10(machine string, now time.Time) (*Authority, error) {
	rootKey, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		return nil, err
	}
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		return nil, err
	}
	root := template("Portwright shop "+label(machine)+" "+now.Format("2006-01"), now)
	root.MaxPathLen = 1
	rootCert, err := sign(root, root, &rootKey.PublicKey, rootKey)
	if err != nil {
		return nil, err
	}
	inter := template("Portwright server certificates", now)
	inter.MaxPathLenZero = true
	inter.ExtKeyUsage = []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth}
	interCert, err := sign(inter, rootCert, &key.PublicKey, rootKey)
	if err != nil {
		return nil, err
	}
	return &Authority{root: rootCert, inter: interCert, key: key}, nil // rootKey is kept nowhere
}

// template of a certificate that signs others.
func template(name string, now time.Time) *x509.Certificate {
	t := &x509.Certificate{
		Subject:                     pkix.Name{CommonName: name},
		NotBefore:                   now.AddDate(-1, 0, 0), // so that a clock set back by a person does no harm
		NotAfter:                    now.AddDate(authorityYears, 0, 0),
		IsCA:                        true,
		BasicConstraintsValid:       true,
		KeyUsage:                    x509.KeyUsageCertSign | x509.KeyUsageCRLSign,
		PermittedDNSDomainsCritical: true,
		PermittedDNSDomains:         names,
	}
	for _, text := range networks {
		_, network, err := net.ParseCIDR(text)
		if err != nil {
			panic(err) // a slip in the table above
		}
		t.PermittedIPRanges = append(t.PermittedIPRanges, network)
	}
	return t
}

// sign gives a template its number and has it signed.
func sign(t, parent *x509.Certificate, public *ecdsa.PublicKey, key *ecdsa.PrivateKey) (*x509.Certificate, error) {
	number := make([]byte, 15) // 120 random bits
	_, _ = rand.Read(number)   // never fails
	number[0] |= 1             // not zero
	t.SerialNumber = new(big.Int).SetBytes(number)
	t.SignatureAlgorithm = x509.ECDSAWithSHA256
	der, err := x509.CreateCertificate(rand.Reader, t, parent, public, key)
	if err != nil {
		return nil, err
	}
	return x509.ParseCertificate(der)
}

// Issue signs a certificate for the names; none of them may lie outside of the
// constraints (Split sees to that), since one that does spoils the whole.
func (a *Authority) Issue(public *ecdsa.PublicKey, n Names, now time.Time) (*x509.Certificate, error) {
	t := &x509.Certificate{
		Subject:               pkix.Name{CommonName: "Portwright"}, // never a name or address: some verifiers read it as one
		NotBefore:             now.Add(-early),
		NotAfter:              now.Add(-early).Add(ServerFor),
		KeyUsage:              x509.KeyUsageDigitalSignature,
		ExtKeyUsage:           []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth},
		BasicConstraintsValid: true,
		DNSNames:              n.DNS,
	}
	if t.NotAfter.After(a.inter.NotAfter) {
		t.NotAfter = a.inter.NotAfter
	}
	for _, ip := range n.IPs {
		t.IPAddresses = append(t.IPAddresses, ip.AsSlice())
	}
	return sign(t, a.inter, public, a.key)
}

// Root is the certificate that phones install, in DER.
func (a *Authority) Root() []byte { return a.root.Raw }

// Name of the authority, as a phone shows it.
func (a *Authority) Name() string { return a.root.Subject.CommonName }

// Until is when the authority ends; then each phone installs another.
func (a *Authority) Until() time.Time { return a.inter.NotAfter }

// Fingerprint is SHA-256 of the root, as phones and browsers show it.
func (a *Authority) Fingerprint() string {
	sum := sha256.Sum256(a.root.Raw)
	parts := make([]string, len(sum))
	for i, b := range sum {
		parts[i] = fmt.Sprintf("%02X", b)
	}
	return strings.Join(parts, ":")
}
