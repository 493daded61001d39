package httpapi

import (
	"errors"
	"io/fs"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"testing/fstest"

	"portwright/static/release"
	"portwright/static/release/releasetest"
)

var (
	idA = releasetest.ID("a")
	idB = releasetest.ID("b")
)

func buildA() fstest.MapFS {
	return releasetest.Build(idA, map[string]string{
		"app.wasm": "\x00asm plain", "app.wasm.br": "small", "boot.js": "boot", "css/page.css": "css",
		"font/a.woff2": "font", "font/licence.txt": "licence", "icon/wheel-192.png": "png",
	})
}

// named is a machine of one further name and one further address.
func named(host string) func() Names {
	return func() Names { return Names{Hosts: []string{host, ""}, Origins: []string{"https://192.0.2.7:8443"}} }
}

func handler(t *testing.T, c Config) http.Handler {
	t.Helper()
	h, err := New(c)
	if err != nil {
		t.Fatal(err)
	}
	return h
}

func ask(h http.Handler, method, target string, header ...string) *httptest.ResponseRecorder {
	r := httptest.NewRequest(method, target, nil)
	r.Host = "localhost:8080"
	for i := 0; i+1 < len(header); i += 2 {
		if header[i] == "Host" {
			r.Host = header[i+1]
			continue
		}
		r.Header.Set(header[i], header[i+1])
	}
	w := httptest.NewRecorder()
	h.ServeHTTP(w, r)
	return w
}

func TestEveryAddress(t *testing.T) {
	h := handler(t, Config{Dist: buildA(), Earlier: []fs.FS{releasetest.Build(idB, map[string]string{"app.wasm": "old app"})}})
	for _, c := range []struct {
		path   string
		status int
		kind   string
		cache  string
		body   string // part of it
	}{
		{"/", 200, "text/html; charset=utf-8", "no-cache", "shell " + idA},
		{"/index.html", 200, "text/html; charset=utf-8", "no-cache", "shell " + idA},
		{"/repair", 200, "text/html; charset=utf-8", "no-cache", "repair " + idA},
		{"/sw.js", 200, "text/javascript; charset=utf-8", "no-cache", "worker of " + idA},
		{"/manifest.webmanifest", 200, "application/manifest+json", "no-cache", "{}"},
		{"/build.json", 200, "application/json", "no-cache", idA},
		{"/icon/wheel.svg", 200, "image/svg+xml", "no-cache", "<svg/>"},
		{"/icon/wheel-192.png", 200, "image/png", "no-cache", "png"},
		{"/b/" + idA + "/app.wasm", 200, "application/wasm", cacheForEver, "\x00asm plain"},
		{"/b/" + idA + "/index.html", 200, "text/html; charset=utf-8", cacheForEver, "shell " + idA},
		{"/b/" + idA + "/boot.js", 200, "text/javascript; charset=utf-8", cacheForEver, "boot"},
		{"/b/" + idA + "/css/page.css", 200, "text/css; charset=utf-8", cacheForEver, "css"},
		{"/b/" + idA + "/font/a.woff2", 200, "font/woff2", cacheForEver, "font"},
		{"/b/" + idA + "/font/licence.txt", 200, "text/plain; charset=utf-8", cacheForEver, "licence"},
		{"/b/" + idB + "/app.wasm", 200, "application/wasm", cacheForEver, "old app"},
		{"/b/" + idB + "/index.html", 200, "text/html; charset=utf-8", cacheForEver, "shell " + idB},
		{"/b/" + idA + "/", 404, "text/plain; charset=utf-8", "no-store", "nothing at this address"},
		{"/b/", 404, "text/plain; charset=utf-8", "no-store", ""},
		{"/b/" + idA + "/app.wasm.br", 404, "text/plain; charset=utf-8", "no-store", ""},
		{"/b/" + idA + "/../../build.json", 404, "text/plain; charset=utf-8", "no-store", ""},
		{"/b/" + idA + "/..%2f..%2fbuild.json", 404, "text/plain; charset=utf-8", "no-store", ""},
		{"//build.json", 404, "text/plain; charset=utf-8", "no-store", ""},
		{"/icon/", 404, "text/plain; charset=utf-8", "no-store", ""},
		{"/icon/boot.js", 404, "text/plain; charset=utf-8", "no-store", ""},
		{"/withdrawn.js", 404, "text/plain; charset=utf-8", "no-store", ""},
		{"/favicon.ico", 404, "text/plain; charset=utf-8", "no-store", ""},
		{"/api/v1/have", 404, "application/json", "no-store", `"code":"not_found"`},
		{"/repair/", 404, "text/plain; charset=utf-8", "no-store", ""},
	} {
		for _, method := range []string{"GET", "HEAD"} {
			w := ask(h, method, "http://localhost"+c.path)
			got := w.Result()
			if got.StatusCode != c.status || got.Header.Get("Content-Type") != c.kind || got.Header.Get("Cache-Control") != c.cache {
				t.Errorf("%s %s: %d, %q, %q; want %d, %q, %q", method, c.path, got.StatusCode,
					got.Header.Get("Content-Type"), got.Header.Get("Cache-Control"), c.status, c.kind, c.cache)
			}
			switch {
			case method == "GET" && !strings.Contains(w.Body.String(), c.body):
				t.Errorf("GET %s: body %q, want %q in it", c.path, w.Body, c.body)
			case method == "HEAD" && w.Body.Len() > 0:
				t.Errorf("HEAD %s has a body", c.path)
			}
		}
	}
}

// The list that a hostile page would have to get past; the directives and
// header names are those of the W3C and WHATWG specifications.
func TestHeadersOnEveryAnswer(t *testing.T) {
	h := handler(t, Config{Dist: buildA()})
	for _, c := range []struct{ method, path, host string }{
		{"GET", "/", "localhost"}, {"GET", "/b/" + idA + "/app.wasm", "localhost"}, {"GET", "/absent", "localhost"},
		{"POST", "/", "localhost"}, {"GET", "/", "shop.example"},
	} {
		got := ask(h, c.method, "http://x"+c.path, "Host", c.host).Header()
		for name, want := range map[string]string{
			"X-Content-Type-Options":       "nosniff",
			"Referrer-Policy":              "no-referrer",
			"Cross-Origin-Opener-Policy":   "same-origin",
			"Cross-Origin-Resource-Policy": "same-origin",
			"X-Build":                      idA,
		} {
			if got.Get(name) != want {
				t.Errorf("%s %s: %s is %q, want %q", c.method, c.path, name, got.Get(name), want)
			}
		}
		if !strings.Contains(got.Get("Permissions-Policy"), "camera=()") {
			t.Errorf("%s %s: Permissions-Policy is %q", c.method, c.path, got.Get("Permissions-Policy"))
		}
		csp := got.Get("Content-Security-Policy")
		for _, want := range []string{"default-src 'none'", "script-src 'self' 'wasm-unsafe-eval'", "style-src 'self'", "frame-ancestors 'none'", "base-uri 'none'", "form-action 'none'"} {
			if !strings.Contains(csp, want) {
				t.Errorf("%s %s: the policy %q lacks %q", c.method, c.path, csp, want)
			}
		}
		if strings.Contains(csp, "'unsafe-inline'") || strings.Contains(csp, "'unsafe-eval'") || strings.Contains(csp, "*") {
			t.Errorf("%s %s: the policy is open: %q", c.method, c.path, csp)
		}
		if got.Get("Strict-Transport-Security") != "" {
			t.Errorf("%s %s: HSTS would lock phones out of a plain set-up page on the same name", c.method, c.path)
		}
	}
}

// The app may ask the PC under its other addresses, as they are at the moment;
// it is kept with the page.
func TestPolicyNamesOtherAddresses(t *testing.T) {
	var own []string
	h := handler(t, Config{Dist: buildA(), Names: func() Names { return Names{Origins: own} }})
	for _, c := range []struct {
		origins []string
		want    string
	}{
		{nil, "connect-src 'self';"},
		{[]string{"https://192.168.1.7:8443", "https://[fd00::7]:8443", "https://shop-pc.local:8443"}, "connect-src 'self' https://192.168.1.7:8443 https://shop-pc.local:8443;"},
		{[]string{"https://192.168.1.8:8443"}, "connect-src 'self' https://192.168.1.8:8443;"},
	} {
		own = c.origins
		if got := ask(h, "GET", "http://localhost/").Header().Get("Content-Security-Policy"); !strings.Contains(got, c.want) || !strings.Contains(got, "script-src 'self' 'wasm-unsafe-eval';") {
			t.Errorf("with %v: %s", c.origins, got)
		}
	}
}

func TestHosts(t *testing.T) {
	h := handler(t, Config{Dist: buildA(), Names: named(" Shop.local")})
	for _, c := range []struct {
		host   string
		status int
	}{
		{"localhost", 200}, {"localhost:8080", 200}, {"LOCALHOST:1", 200}, {"localhost.", 200}, {"127.0.0.1:8080", 200}, {"[::1]:8080", 200}, {"[::1]", 200},
		{"shop.local", 200}, {"shop.local:8443", 200},
		{"", 421}, {"evil.example", 421}, {"localhost.evil.example", 421}, {"192.168.1.7:8080", 421}, {"127.0.0.1.evil.example", 421},
		{"0.0.0.0", 421}, {"127.0.0.2", 421}, {"$(reboot)", 421},
	} {
		w := ask(h, "GET", "http://x/", "Host", c.host)
		if w.Code != c.status {
			t.Errorf("host %q: %d, want %d", c.host, w.Code, c.status)
		}
		if c.status == 421 && !strings.Contains(w.Body.String(), "portwright serve -host ") {
			t.Errorf("host %q: the answer does not say what to add: %s", c.host, w.Body)
		}
	}
	if body := ask(h, "GET", "http://x/", "Host", "$(reboot)").Body.String(); !strings.Contains(body, "-host NAME") {
		t.Errorf("the command to paste holds what the request sent: %s", body)
	}
}

func TestMethods(t *testing.T) {
	h := handler(t, Config{Dist: buildA()})
	for _, method := range []string{"POST", "PUT", "DELETE", "PATCH", "OPTIONS", "TRACE", "CONNECT", "NONSENSE"} {
		w := ask(h, method, "http://localhost/")
		if w.Code != 405 || w.Header().Get("Allow") != "GET, HEAD" {
			t.Errorf("%s: %d, Allow %q; want 405 and GET, HEAD", method, w.Code, w.Header().Get("Allow"))
		}
	}
}

func TestCompression(t *testing.T) {
	h := handler(t, Config{Dist: buildA()})
	for _, c := range []struct{ accept, encoding, body string }{
		{"", "", "\x00asm plain"},
		{"gzip, deflate", "", "\x00asm plain"},
		{"gzip, deflate, br, zstd", "br", "small"},
		{"BR", "br", "small"},
		{"br;q=0.5", "br", "small"},
		{"br;q=0", "", "\x00asm plain"},
		{"br; q=0.000", "", "\x00asm plain"},
		{"br;q=much", "", "\x00asm plain"},
		{"brotli", "", "\x00asm plain"},
		{"*", "", "\x00asm plain"},
	} {
		w := ask(h, "GET", "http://localhost/b/"+idA+"/app.wasm", "Accept-Encoding", c.accept)
		if got := w.Header().Get("Content-Encoding"); got != c.encoding || w.Body.String() != c.body {
			t.Errorf("Accept-Encoding %q: %q and %q, want %q and %q", c.accept, got, w.Body, c.encoding, c.body)
		}
		if w.Header().Get("Vary") != "Accept-Encoding" {
			t.Errorf("Accept-Encoding %q: Vary is %q", c.accept, w.Header().Get("Vary"))
		}
	}
	if got := ask(h, "GET", "http://localhost/b/"+idA+"/boot.js", "Accept-Encoding", "br").Header().Get("Content-Encoding"); got != "" {
		t.Errorf("a file without a compressed form is sent as %q", got)
	}
}

func TestUnchanged(t *testing.T) {
	h := handler(t, Config{Dist: buildA()})
	plain := ask(h, "GET", "http://localhost/b/"+idA+"/app.wasm").Header().Get("ETag")
	small := ask(h, "GET", "http://localhost/b/"+idA+"/app.wasm", "Accept-Encoding", "br").Header().Get("ETag")
	if plain == "" || plain == small {
		t.Fatalf("tags %q and %q must differ: the bytes do", plain, small)
	}
	for _, c := range []struct {
		match, accept string
		status        int
	}{
		{plain, "", 304}, {"W/" + plain, "", 304}, {`"other", ` + plain, "", 304}, {"*", "", 304},
		{small, "br", 304}, {small, "", 200}, {plain, "br", 200}, {`"other"`, "", 200},
	} {
		w := ask(h, "GET", "http://localhost/b/"+idA+"/app.wasm", "If-None-Match", c.match, "Accept-Encoding", c.accept)
		if w.Code != c.status || (c.status == 304 && w.Body.Len() > 0) {
			t.Errorf("If-None-Match %s with %q: %d and %d bytes, want %d", c.match, c.accept, w.Code, w.Body.Len(), c.status)
		}
	}
}

func TestWithdraw(t *testing.T) {
	h := handler(t, Config{Dist: buildA(), Withdraw: true})
	if body := ask(h, "GET", "http://localhost/sw.js").Body.String(); body != "// withdrawn" {
		t.Errorf("the worker of a withdrawn version is %q", body)
	}
	if w := ask(h, "GET", "http://localhost/"); w.Code != 200 {
		t.Errorf("the app itself: %d", w.Code)
	}
}

func TestNewRefuses(t *testing.T) {
	odd := releasetest.Build(idA, map[string]string{"x.exe": "?"})
	bare := buildA()
	delete(bare, release.Worker)
	for _, c := range []struct {
		name string
		conf Config
		want string
	}{
		{"nothing packed", Config{Dist: fstest.MapFS{".keep": {}}}, "go run ./cmd/dev build"},
		{"unknown kind of file", Config{Dist: odd}, `no content type for ".exe"`},
		{"no worker", Config{Dist: bare}, release.Worker},
	} {
		if _, err := New(c.conf); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q in it", c.name, err, c.want)
		}
	}
	if _, err := New(Config{Dist: fstest.MapFS{}}); !errors.Is(err, ErrNothingPacked) {
		t.Errorf("an empty program: %v", err)
	}
}
