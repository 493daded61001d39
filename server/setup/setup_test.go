package setup

import (
	"bytes"
	"encoding/base64"
	"encoding/xml"
	"image"
	"image/color"
	"io"
	"net/http"
	"net/http/httptest"
	"regexp"
	"strings"
	"testing"

	"github.com/makiuchi-d/gozxing"
	"github.com/makiuchi-d/gozxing/qrcode"
)

type fake struct{ name string }

func (f fake) Root() []byte        { return []byte("root") }
func (f fake) Name() string        { return f.name }
func (f fake) Fingerprint() string { return "AA:BB" }

func page(t *testing.T) http.Handler {
	t.Helper()
	h, err := New(fake{"Portwright shop <pc> & co"}, func() Places {
		return Places{Name: "shop-pc.local", Addr: "192.168.1.7", Hosts: []string{"localhost", "shop-pc.local", "127.0.0.1", "192.168.1.7", "fd00::7"}, Port: 8443, Setup: 8081}
	})
	if err != nil {
		t.Fatal(err)
	}
	return h
}

func get(h http.Handler, method, path, host string) *http.Response {
	r := httptest.NewRequest(method, "http://x"+path, nil)
	r.Host = host
	w := httptest.NewRecorder()
	h.ServeHTTP(w, r)
	return w.Result()
}

// Types: RFC 2585 has application/pkix-cert for certificates; phones take an
// authority under x-x509-ca-cert, and a profile under Apple's own type.
func TestAddresses(t *testing.T) {
	h := page(t)
	for _, c := range []struct {
		method, path, host string
		status             int
		kind, has          string
	}{
		{"GET", "/", "192.168.1.7:8081", 200, "text/html; charset=utf-8", "Portwright shop &lt;pc&gt; &amp; co"},
		{"GET", "/setup", "Shop-PC.local.:8081", 200, "text/html; charset=utf-8", "AA:BB"},
		{"HEAD", "/setup", "[fd00::7]:8081", 200, "text/html; charset=utf-8", ""},
		{"GET", "/setup.js", "shop-pc.local", 200, "text/javascript; charset=utf-8", "trust"},
		{"GET", "/setup.css", "shop-pc.local", 200, "text/css; charset=utf-8", "--paper"},
		{"GET", CertFile, "shop-pc.local", 200, "application/x-x509-ca-cert", "root"},
		{"GET", ProfileFile, "shop-pc.local", 200, "application/x-apple-aspen-config", "com.apple.security.root"},
		{"GET", "/", "evil.example", 421, "text/plain; charset=utf-8", "Open http://192.168.1.7:8081/"},
		{"GET", "/api/v1/have", "shop-pc.local", 404, "text/plain; charset=utf-8", ""},
		{"GET", "/authority.pem", "shop-pc.local", 404, "text/plain; charset=utf-8", ""},
		{"GET", "/page/setup.html", "shop-pc.local", 404, "text/plain; charset=utf-8", ""},
		{"POST", "/", "shop-pc.local", 405, "text/plain; charset=utf-8", ""},
	} {
		got := get(h, c.method, c.path, c.host)
		body, err := io.ReadAll(got.Body)
		if err != nil || got.StatusCode != c.status || got.Header.Get("Content-Type") != c.kind || !strings.Contains(string(body), c.has) {
			t.Errorf("%s %s at %s: %d, %q, %.200s; want %d, %q, %q", c.method, c.path, c.host, got.StatusCode, got.Header.Get("Content-Type"), body, c.status, c.kind, c.has)
		}
		policy := got.Header.Get("Content-Security-Policy")
		for _, want := range []string{"default-src 'none'", "script-src 'self'", "style-src 'self'", "frame-ancestors 'none'", "form-action 'none'"} {
			if !strings.Contains(policy, want) {
				t.Errorf("%s: the policy %q lacks %q", c.path, policy, want)
			}
		}
		if strings.Contains(policy, "unsafe") || strings.Contains(policy, "*") || got.Header.Get("X-Content-Type-Options") != "nosniff" || got.Header.Get("Strict-Transport-Security") != "" {
			t.Errorf("%s: headers %v", c.path, got.Header)
		}
	}
	if got := get(h, "GET", CertFile+"?keep", "shop-pc.local").Header.Get("Content-Disposition"); got != `attachment; filename="portwright-shop.crt"` {
		t.Errorf("kept as %q", got)
	}
}

// A phone is sent to its own machine by nothing on the page.
func TestPhoneIsNotSentToItself(t *testing.T) {
	for host, want := range map[string]string{
		"192.168.1.7:8081": "connect-src https://shop-pc.local:8443/ https://192.168.1.7:8443/;",
		"localhost:8081":   "connect-src https://localhost:8443/ https://shop-pc.local:8443/ https://127.0.0.1:8443/ https://192.168.1.7:8443/;",
	} {
		got := get(page(t), "GET", "/", host)
		body, _ := io.ReadAll(got.Body)
		if policy := got.Header.Get("Content-Security-Policy"); !strings.Contains(policy, want) {
			t.Errorf("%s: %q", host, policy)
		}
		if strings.Contains(string(body), "https://localhost") != strings.HasPrefix(host, "localhost") {
			t.Errorf("%s: the page names localhost wrongly", host)
		}
	}
}

// No inline script, style or handler: the policy would refuse it.
func TestNothingInline(t *testing.T) {
	got := get(page(t), "GET", "/", "shop-pc.local")
	body, _ := io.ReadAll(got.Body)
	if bad := regexp.MustCompile(`(?i)<style|style=|\son[a-z]+=|<script[^>]*>[^<]|javascript:`).Find(body); bad != nil {
		t.Errorf("the page has %q in it", bad)
	}
}

func TestProfileIsOneThatReads(t *testing.T) {
	data := profileOf(fake{"a <b> & c"})
	dec := xml.NewDecoder(bytes.NewReader(data))
	var text strings.Builder
	for {
		token, err := dec.Token()
		if err == io.EOF {
			break
		}
		if err != nil {
			t.Fatal(err)
		}
		if s, ok := token.(xml.CharData); ok {
			text.Write(s)
		}
	}
	for _, want := range []string{"a <b> & c", base64.StdEncoding.EncodeToString([]byte("root")), "PayloadContent"} {
		if !strings.Contains(text.String(), want) {
			t.Errorf("the profile lacks %q", want)
		}
	}
	ids := regexp.MustCompile(`PayloadUUID</key><string>([0-9A-F-]{36})<`).FindAllSubmatch(data, -1)
	if len(ids) != 2 || bytes.Equal(ids[0][1], ids[1][1]) || !bytes.Equal(data, profileOf(fake{"a <b> & c"})) {
		t.Errorf("UUIDs %q; each payload has its own, the same each time", ids)
	}
}

// picture draws a code's path as a scanner sees it.
func picture(q QR) image.Image {
	const scale = 6
	size := (q.Size + 8) * scale
	img := image.NewGray(image.Rect(0, 0, size, size))
	for i := range img.Pix {
		img.Pix[i] = 255
	}
	for _, m := range regexp.MustCompile(`M(\d+) (\d+)h1v1h-1z`).FindAllStringSubmatch(q.Path, -1) {
		x, y := atoi(m[1]), atoi(m[2])
		for dy := range scale {
			for dx := range scale {
				img.SetGray((x+4)*scale+dx, (y+4)*scale+dy, color.Gray{})
			}
		}
	}
	return img
}

func atoi(s string) (n int) {
	for _, c := range s {
		n = 10*n + int(c-'0')
	}
	return n
}

// Read by another library than the one that wrote it.
func TestQRCodeReads(t *testing.T) {
	for _, text := range []string{"http://192.168.1.7:8081/", "http://a-shop-pc-with-a-very-long-name-indeed.local:8081/", "http://[fd00::7]:8081/"} {
		q, err := Draw(text)
		if err != nil {
			t.Fatal(err)
		}
		bits, err := gozxing.NewBinaryBitmapFromImage(picture(q))
		if err != nil {
			t.Fatal(err)
		}
		got, err := qrcode.NewQRCodeReader().Decode(bits, nil)
		if err != nil || got.GetText() != text {
			t.Errorf("%s reads as %v, %v", text, got, err)
		}
	}
	if _, err := Draw(strings.Repeat("x", 5000)); err == nil {
		t.Error("more than a code can hold is drawn")
	}
}

// Android's step and the code name a number, of IPv6 where there is no other,
// and say so where the PC has none.
func TestNumberForAndroid(t *testing.T) {
	const none = "no private network address"
	for _, c := range []struct{ addr, app, page string }{
		{"192.168.1.7", "https://192.168.1.7:8443/", "http://192.168.1.7:8081/"},
		{"fd00::7", "https://[fd00::7]:8443/", "http://[fd00::7]:8081/"},
		{"", "https://shop-pc.local:8443/", "http://shop-pc.local:8081/"},
	} {
		h, err := New(fake{"a"}, func() Places {
			return Places{Name: "shop-pc.local", Addr: c.addr, Hosts: []string{"shop-pc.local"}, Port: 8443, Setup: 8081}
		})
		if err != nil {
			t.Fatal(err)
		}
		body, err := io.ReadAll(get(h, "GET", "/", "shop-pc.local").Body)
		if err != nil {
			t.Fatal(err)
		}
		_, android, _ := strings.Cut(string(body), `<section id="android">`)
		android, qr, _ := strings.Cut(android, "</section>")
		if !strings.Contains(android, `<a href="`+c.app+`">`) || !strings.Contains(qr, `aria-label="QR code of `+c.page+`"`) {
			t.Errorf("%q: the page says %s and %s", c.addr, android, qr)
		}
		if strings.Contains(android, "this is the number") != (c.addr != "") || strings.Contains(android, none) != (c.addr == "") || strings.Contains(qr, none) != (c.addr == "") {
			t.Errorf("%q: number and name are mixed up: %s%s", c.addr, android, qr)
		}
	}
}
