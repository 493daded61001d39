// Package setup is the page over which a phone comes to trust the shop PC. It
// is the one that is served over plain HTTP to the network, since a phone that
// does not trust the PC yet can read no other; it has the authority's
// certificate, which is no secret, the steps, and nothing else.
package setup

import (
	"bytes"
	"crypto/sha256"
	"embed"
	"encoding/base64"
	"encoding/xml"
	"fmt"
	"html/template"
	"net"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"github.com/google/uuid"
)

// Authority is what phones come to trust.
type Authority interface {
	Root() []byte // DER
	Name() string
	Fingerprint() string
}

// Places are where the shop PC is found now.
type Places struct {
	Name  string   // shop-pc.local, for an iPhone
	Addr  string   // 192.168.1.7 or fd00::7, for an Android phone; "" when there is none
	Hosts []string // every name and address that leads here
	Port  int      // of the app, over HTTPS
	Setup int      // of this page
}

// first is the address for an Android phone, the name if there is none.
func (p Places) first() string {
	if p.Addr != "" {
		return p.Addr
	}
	return p.Name
}

// Page is the address of this page that a phone reads from the QR code.
func (p Places) Page() string {
	return "http://" + net.JoinHostPort(p.first(), strconv.Itoa(p.Setup)) + "/"
}

// app is the app's address under a host.
func (p Places) app(host string) string {
	return "https://" + net.JoinHostPort(host, strconv.Itoa(p.Port)) + "/"
}

// apps are the app's addresses that a phone which opened this page under a host
// may ask: its own machine is none of them, and what a policy can't name
// (IPv6) is left out.
func (p Places) apps(host string) []string {
	var out []string
	for _, one := range p.Hosts {
		if !strings.Contains(one, ":") && (!here(one) || here(host)) {
			out = append(out, p.app(one))
		}
	}
	return out
}

func here(host string) bool { return host == "localhost" || net.ParseIP(host).IsLoopback() }

// hostOf is the host that a request names, without port and brackets.
func hostOf(r *http.Request) string {
	host, _, err := net.SplitHostPort(r.Host)
	if err != nil {
		host = strings.Trim(r.Host, "[]")
	}
	return strings.TrimSuffix(strings.ToLower(host), ".")
}

//go:embed page
var files embed.FS

// File names under which the authority is downloaded.
const (
	CertFile    = "/portwright-shop.crt"
	ProfileFile = "/portwright-shop.mobileconfig"
)

// New returns the page's handler.
func New(a Authority, places func() Places) (http.Handler, error) {
	page, err := template.ParseFS(files, "page/setup.html")
	if err != nil {
		return nil, err
	}
	s := &site{page: page, authority: a, places: places}
	mux := http.NewServeMux()
	mux.HandleFunc("GET /{$}", s.show)
	mux.HandleFunc("GET /setup", s.show)
	mux.HandleFunc("GET "+CertFile, s.cert)
	mux.HandleFunc("GET "+ProfileFile, s.profile)
	for name, kind := range map[string]string{"setup.css": "text/css; charset=utf-8", "setup.js": "text/javascript; charset=utf-8"} {
		data, err := files.ReadFile("page/" + name)
		if err != nil {
			return nil, err
		}
		mux.HandleFunc("GET /"+name, func(w http.ResponseWriter, r *http.Request) { answer(w, r, kind, data) })
	}
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) { s.guard(w, r, mux) }), nil
}

type site struct {
	page      *template.Template
	authority Authority
	places    func() Places
}

// guard puts safe headers on every answer and answers to the PC's own names
// alone: a page of another site can't pass this one off as its own.
func (s *site) guard(w http.ResponseWriter, r *http.Request, next http.Handler) {
	p := s.places()
	host := hostOf(r)
	h := w.Header()
	h.Set("Content-Security-Policy", "default-src 'none'; script-src 'self'; style-src 'self'; connect-src "+strings.Join(p.apps(host), " ")+"; base-uri 'none'; form-action 'none'; frame-ancestors 'none'")
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("Referrer-Policy", "no-referrer")
	h.Set("Cross-Origin-Resource-Policy", "same-origin")
	h.Set("Cache-Control", "no-store")
	if !slices.Contains(p.Hosts, host) {
		h.Set("Content-Type", "text/plain; charset=utf-8")
		w.WriteHeader(http.StatusMisdirectedRequest)
		fmt.Fprintf(w, "This page does not answer to the name %.100q. Open %s\nIf the name is right, start the shop PC's server with -host and the name.\n", host, p.Page())
		return
	}
	next.ServeHTTP(w, r)
}

func answer(w http.ResponseWriter, _ *http.Request, kind string, data []byte) {
	w.Header().Set("Content-Type", kind)
	w.Header().Set("Content-Length", strconv.Itoa(len(data)))
	_, _ = w.Write(data) // a reader that went away is no fault of ours
}

// cert is the authority as every system knows it. Android takes it from the
// files, so that phone asks for it as a file to keep.
func (s *site) cert(w http.ResponseWriter, r *http.Request) {
	if r.URL.Query().Has("keep") {
		w.Header().Set("Content-Disposition", `attachment; filename="portwright-shop.crt"`)
	}
	answer(w, r, "application/x-x509-ca-cert", s.authority.Root())
}

// profile is the authority as an Apple configuration profile, which shows what
// it is before it is installed.
func (s *site) profile(w http.ResponseWriter, r *http.Request) {
	answer(w, r, "application/x-apple-aspen-config", profileOf(s.authority))
}

// profileOf writes the profile: a property list with one payload of type
// com.apple.security.root (Apple, Configuration Profile Reference).
func profileOf(a Authority) []byte {
	id := func(part string) string {
		sum := sha256.Sum256(append([]byte(part), a.Root()...))
		return strings.ToUpper(uuid.NewHash(sha256.New(), uuid.Nil, sum[:], 8).String())
	}
	var name bytes.Buffer
	_ = xml.EscapeText(&name, []byte(a.Name())) // a buffer takes all
	return fmt.Appendf(nil, `<?xml version="1.0" encoding="UTF-8"?>
<!DOCTYPE plist PUBLIC "-//Apple//DTD PLIST 1.0//EN" "http://www.apple.com/DTDs/PropertyList-1.0.dtd">
<plist version="1.0"><dict>
<key>PayloadType</key><string>Configuration</string>
<key>PayloadVersion</key><integer>1</integer>
<key>PayloadIdentifier</key><string>portwright.shop.%[1]s</string>
<key>PayloadUUID</key><string>%[1]s</string>
<key>PayloadDisplayName</key><string>%[3]s</string>
<key>PayloadDescription</key><string>Lets this phone trust the shop PC. Good for private names and addresses alone.</string>
<key>PayloadContent</key><array><dict>
<key>PayloadType</key><string>com.apple.security.root</string>
<key>PayloadVersion</key><integer>1</integer>
<key>PayloadIdentifier</key><string>portwright.shop.%[1]s.root</string>
<key>PayloadUUID</key><string>%[2]s</string>
<key>PayloadDisplayName</key><string>%[3]s</string>
<key>PayloadContent</key><data>%[4]s</data>
</dict></array>
</dict></plist>
`, id("profile"), id("root"), name.String(), base64.StdEncoding.EncodeToString(a.Root()))
}

// view is what the page shows.
type view struct {
	Name, Fingerprint, Page string
	ByName, ByAddress       string // the app's address; ByAddress is "" without a number
	Apps                    []string
	Cert, Profile           string
	QR                      QR
}

func (s *site) show(w http.ResponseWriter, r *http.Request) {
	p := s.places()
	v := view{
		Name: s.authority.Name(), Fingerprint: s.authority.Fingerprint(), Page: p.Page(),
		ByName: p.app(p.Name), Cert: CertFile, Profile: ProfileFile, Apps: p.apps(hostOf(r)),
	}
	if p.Addr != "" {
		v.ByAddress = p.app(p.Addr)
	}
	var err error
	if v.QR, err = Draw(v.Page); err != nil {
		http.Error(w, "The page can't be made.", http.StatusInternalServerError)
		return
	}
	var out bytes.Buffer
	if err := s.page.Execute(&out, v); err != nil {
		http.Error(w, "The page can't be made.", http.StatusInternalServerError)
		return
	}
	answer(w, r, "text/html; charset=utf-8", out.Bytes())
}
