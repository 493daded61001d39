package httpapi

import (
	"fmt"
	"net"
	"net/http"
	"slices"
	"strings"

	"portwright/server"
	"portwright/static/release"
)

// ownHosts are the names under which this machine is always itself.
var ownHosts = []string{"localhost", "127.0.0.1", "::1"}

// guard stands before every route: safe headers on every answer, not too many
// at one time, known hosts, and GET or HEAD alone outside of the interface.
func guard(c Config, build string, next http.Handler) http.Handler {
	inner := limited(newBuckets(strangerRate, strangerBurst), http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		names := c.names()
		w.Header().Set("Content-Security-Policy", release.PolicyWith(names.Origins))
		known := slices.Concat(ownHosts, lower(names.Hosts))
		host := hostName(r.Host)
		switch {
		case !slices.Contains(known, host):
			refuse(w, r, &server.Error{Code: server.WrongHost, Message: fmt.Sprintf(
				"This server does not answer to the name %q. It answers to %s. If the name is right, start it with: portwright serve -host %s",
				host, strings.Join(known, ", "), plainHost(host))})
		case strings.HasPrefix(r.URL.Path, apiBase):
			if !allowOrigin(w, r, names.Origins) {
				next.ServeHTTP(w, r)
			}
		case r.Method != http.MethodGet && r.Method != http.MethodHead:
			w.Header().Set("Allow", "GET, HEAD")
			refuse(w, r, &server.Error{Code: server.NotAsked, Message: fmt.Sprintf("%.20s has no meaning here; GET and HEAD have.", r.Method)})
		default:
			next.ServeHTTP(w, r)
		}
	}))
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		headers(w.Header(), build)
		inner.ServeHTTP(w, r)
	})
}

// allowOrigin lets the app's own pages read answers where they were opened at
// another of the shop PC's addresses (Fetch standard, "CORS protocol"). It
// returns true when it answered itself.
func allowOrigin(w http.ResponseWriter, r *http.Request, origins []string) bool {
	origin := r.Header.Get("Origin")
	if origin == "" || !slices.Contains(origins, origin) {
		return false
	}
	h := w.Header()
	h.Set("Access-Control-Allow-Origin", origin)
	h.Set("Access-Control-Expose-Headers", "X-Build")
	h.Set("Vary", "Accept-Encoding, Origin")
	if r.Method != http.MethodOptions || r.Header.Get("Access-Control-Request-Method") == "" {
		return false
	}
	h.Set("Access-Control-Allow-Methods", "GET, POST")
	h.Set("Access-Control-Allow-Headers", "Authorization, Content-Encoding, Content-Type")
	h.Set("Access-Control-Max-Age", "600")
	w.WriteHeader(http.StatusNoContent)
	return true
}

// headers that every answer carries.
func headers(h http.Header, build string) {
	h.Set("Content-Security-Policy", release.Policy)
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("Referrer-Policy", "no-referrer")
	h.Set("Cross-Origin-Opener-Policy", "same-origin")
	h.Set("Cross-Origin-Resource-Policy", "same-origin")
	h.Set("Permissions-Policy", "accelerometer=(), camera=(), display-capture=(), geolocation=(), gyroscope=(), microphone=(), midi=(), payment=(), usb=(), screen-wake-lock=(self), web-share=(self)")
	h.Set("X-Build", build)
}

// hostName is the host of a Host header without port and brackets, in lower
// case. A page of another site that points its own name at this machine
// (rebinding) still names itself here.
func hostName(header string) string {
	host := header
	if h, _, err := net.SplitHostPort(header); err == nil {
		host = h
	}
	host = strings.TrimSuffix(strings.TrimPrefix(host, "["), "]")
	return strings.TrimSuffix(strings.ToLower(host), ".")
}

// plainHost is the name if it is made of what names are made of, else a
// placeholder: the answer may be pasted into a terminal.
func plainHost(host string) string {
	for _, c := range host {
		if (c < 'a' || c > 'z') && (c < '0' || c > '9') && c != '.' && c != '-' && c != ':' {
			return "NAME"
		}
	}
	if host == "" || strings.HasPrefix(host, "-") || len(host) > 253 {
		return "NAME"
	}
	return host
}

func lower(list []string) []string {
	out := make([]string, 0, len(list))
	for _, s := range list {
		if s = hostName(strings.TrimSpace(s)); s != "" {
			out = append(out, s)
		}
	}
	return out
}
