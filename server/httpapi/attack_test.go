package httpapi

import (
	"bufio"
	"bytes"
	"compress/gzip"
	"encoding/json"
	"fmt"
	"io"
	"log"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"portwright/server"
	"portwright/server/access"
	"portwright/server/wire"
	"portwright/static/release"
)

// yard is a shop PC with two paired phones, a revoked one, and everybody else.
type yard struct {
	addr    string // the listener for phones
	keeper  *server.Keeper
	list    *access.Register
	a, b    string // tokens
	revoked string
	stale   string // of a phone that was forgotten
}

func newYard(t *testing.T) *yard {
	t.Helper()
	list, _, err := access.Open(filepath.Join(t.TempDir(), "access.json"), nil)
	if err != nil {
		t.Fatal(err)
	}
	y := &yard{keeper: keeper(t), list: list}
	y.a, y.b, y.revoked, y.stale = y.pair(t, "a"), y.pair(t, "b"), y.pair(t, "c"), y.pair(t, "d")
	y.out(t, y.revoked, list.Revoke)
	y.out(t, y.stale, list.Forget)
	y.addr, _ = start(t, handler(t, Config{Dist: buildA(), Keeper: y.keeper, Access: list, Names: named("shop.local")}))
	return y
}

func (y *yard) pair(t *testing.T, device string) string {
	t.Helper()
	answer, err := y.list.Pair(wire.Pair{Code: y.list.NewCode().Text, Device: device, Name: device}, "")
	if err != nil {
		t.Fatal(err)
	}
	return answer.Token
}

func (y *yard) out(t *testing.T, token string, how func(id string) error) {
	t.Helper()
	who, err := y.list.Who(token)
	if err == nil {
		err = how(who.ID)
	}
	if err != nil {
		t.Fatal(err)
	}
}

// zeroes is n bytes of nothing, without holding them.
type zeroes struct{}

func (zeroes) Read(p []byte) (int, error) { clear(p); return len(p), nil }

// hollow is gzip made of blocks without content (RFC 1952, 2.3; RFC 1951,
// 3.2.4).
type hollow struct{ at int }

func (h *hollow) Read(p []byte) (int, error) {
	const head, block = "\x1f\x8b\x08\x00\x00\x00\x00\x00\x00\xff", "\x00\x00\x00\xff\xff"
	for i := range p {
		if h.at < len(head) {
			p[i] = head[h.at]
		} else {
			p[i] = block[(h.at-len(head))%len(block)]
		}
		h.at++
	}
	return len(p), nil
}

// bomb unpacks to n zeros.
func bomb(n int64) []byte {
	var b bytes.Buffer
	z := gzip.NewWriter(&b)
	_, _ = io.CopyN(z, zeroes{}, n)
	_ = z.Close()
	return b.Bytes()
}

func entries(device string, from, n int) string {
	var list []string
	for seq := from; seq < from+n; seq++ {
		list = append(list, fmt.Sprintf(`{"device":%q,"seq":%d,"x":"secret reading"}`, device, seq))
	}
	return strings.Join(list, ",")
}

// give is a push of n first entries of a device.
func give(sender, device string, n int) string {
	return fmt.Sprintf(`{"device":%q,"now_ms":4000,"runs":[{"device":%q,"from":1,"before":%q,"entries":[%s]}]}`, sender, device, zeros, entries(device, 1, n))
}

// What others on the same Wi-Fi, hostile pages, lost phones and clients that
// send nonsense try, and what becomes of it: the right status and code, nothing
// kept but what may be, no memory beyond a bound, no reading and no token in
// the log.
func TestAttacks(t *testing.T) {
	y := newYard(t)
	var logged bytes.Buffer
	var lock sync.Mutex
	log.SetOutput(writer(func(p []byte) (int, error) { lock.Lock(); defer lock.Unlock(); return logged.Write(p) }))
	defer log.SetOutput(os.Stderr)
	own := give("a", "a", 2)
	big := bomb(1 << 28)
	for _, c := range []struct {
		name         string
		method, path string
		body         io.Reader
		length       int64 // as the header says; 0: as the body has it
		header       []string
		status       int
		code         string
		heads        uint64 // entries that are kept then
	}{
		{name: "no token", method: "POST", path: "/api/v1/push", body: strings.NewReader(own), header: []string{"Authorization", ""}, status: 401, code: wire.NoToken},
		{name: "no token, reading", method: "GET", path: "/api/v1/pull", header: []string{"Authorization", ""}, status: 401, code: wire.NoToken},
		{name: "no token, asking", method: "GET", path: "/api/v1/have", header: []string{"Authorization", ""}, status: 401, code: wire.NoToken},
		{name: "a guessed token", method: "GET", path: "/api/v1/pull", header: []string{"Authorization", "Bearer " + strings.Repeat("A", 43)}, status: 401, code: wire.NoToken},
		{name: "the token's hash", method: "GET", path: "/api/v1/pull", header: []string{"Authorization", "Bearer " + release.Sum([]byte(y.a))}, status: 401, code: wire.NoToken},
		{name: "another scheme", method: "GET", path: "/api/v1/pull", header: []string{"Authorization", "Basic " + y.a}, status: 401, code: wire.NoToken},
		{name: "the token in the address", method: "GET", path: "/api/v1/pull?token=" + y.a, header: []string{"Authorization", ""}, status: 401, code: wire.NoToken},
		{name: "the token in a cookie", method: "GET", path: "/api/v1/pull", header: []string{"Authorization", "", "Cookie", "token=" + y.a}, status: 401, code: wire.NoToken},
		{name: "a stale token", method: "GET", path: "/api/v1/pull", header: []string{"Authorization", "Bearer " + y.stale}, status: 401, code: wire.NoToken},
		{name: "a revoked device", method: "POST", path: "/api/v1/push", body: strings.NewReader(give("c", "c", 1)), header: []string{"Authorization", "Bearer " + y.revoked}, status: 401, code: wire.Revoked},
		{name: "a revoked device, reading", method: "GET", path: "/api/v1/pull", header: []string{"Authorization", "Bearer " + y.revoked}, status: 401, code: wire.Revoked},

		{name: "rebinding", method: "GET", path: "/api/v1/pull", header: []string{"Host", "evil.example"}, status: 421, code: wire.WrongHost},
		{name: "rebinding, with a port", method: "POST", path: "/api/v1/push", body: strings.NewReader(own), header: []string{"Host", "evil.example:8443"}, status: 421, code: wire.WrongHost},
		{name: "rebinding the app", method: "GET", path: "/", header: []string{"Host", "shop.local.evil.example"}, status: 421},
		{name: "cross-site POST", method: "POST", path: "/api/v1/push", body: strings.NewReader(own), header: []string{"Origin", "https://evil.example", "Sec-Fetch-Site", "cross-site"}, status: 403, code: wire.CrossSite},
		{name: "same-site POST of another port", method: "POST", path: "/api/v1/push", body: strings.NewReader(own), header: []string{"Origin", "http://localhost:9999", "Sec-Fetch-Site", "same-site"}, status: 403, code: wire.CrossSite},
		{name: "cross-site pairing", method: "POST", path: "/api/v1/pair", body: strings.NewReader(`{}`), header: []string{"Origin", "null"}, status: 403, code: wire.CrossSite},
		{name: "a form", method: "POST", path: "/api/v1/push", body: strings.NewReader("device=a"), header: []string{"Content-Type", "application/x-www-form-urlencoded"}, status: 415, code: wire.WrongType},
		{name: "a form with a file", method: "POST", path: "/api/v1/pair", body: strings.NewReader("--x"), header: []string{"Content-Type", "multipart/form-data; boundary=x"}, status: 415, code: wire.WrongType},
		{name: "a form as text", method: "POST", path: "/api/v1/push", body: strings.NewReader(own), header: []string{"Content-Type", "text/plain"}, status: 415, code: wire.WrongType},

		{name: "another device's sequence", method: "POST", path: "/api/v1/push", body: strings.NewReader(give("b", "b", 3)), status: 403, code: wire.NotYours},
		{name: "1 GB", method: "POST", path: "/api/v1/push", body: io.LimitReader(zeroes{}, 1<<30), length: 1 << 30, status: 413, code: wire.TooLarge},
		{name: "1 GB without saying so", method: "POST", path: "/api/v1/push", body: io.LimitReader(zeroes{}, 1<<30), length: -1, status: 413, code: wire.TooLarge},
		{name: "1 GB of pairing", method: "POST", path: "/api/v1/pair", body: io.LimitReader(zeroes{}, 1<<30), length: -1, status: 413, code: wire.TooLarge},
		{name: "a gzip bomb", method: "POST", path: "/api/v1/push", body: bytes.NewReader(big), header: []string{"Content-Encoding", "gzip"}, status: 413, code: wire.TooLarge},
		{name: "gzip that unpacks to nothing, without end", method: "POST", path: "/api/v1/push", body: io.LimitReader(&hollow{}, 1<<30), length: -1, header: []string{"Content-Encoding", "gzip"}, status: 413, code: wire.TooLarge},
		{name: "a gzip bomb for pairing", method: "POST", path: "/api/v1/pair", body: bytes.NewReader(bomb(1 << 20)), header: []string{"Content-Encoding", "gzip"}, status: 413, code: wire.TooLarge},
		{name: "damaged gzip", method: "POST", path: "/api/v1/push", body: strings.NewReader("\x1f\x8b\x08\x00nonsense"), header: []string{"Content-Encoding", "gzip"}, status: 400, code: wire.BadAsk},
		{name: "gzip cut short", method: "POST", path: "/api/v1/push", body: bytes.NewReader(bomb(1000)[:20]), header: []string{"Content-Encoding", "gzip"}, status: 400, code: wire.BadAsk},
		{name: "a deep list", method: "POST", path: "/api/v1/push", body: strings.NewReader(strings.Repeat("[", 1<<20)), status: 400, code: wire.BadAsk},

		{name: "path traversal", method: "GET", path: "/b/../../../../etc/passwd", status: 404},
		{name: "path traversal, written otherwise", method: "GET", path: "/b/%2e%2e%2f%2e%2e%2fetc%2fpasswd", status: 404},
		{name: "path traversal, backslashes", method: "GET", path: "/b/..%5c..%5caccess.json", status: 404},
		{name: "a zero byte", method: "GET", path: "/b/%00", status: 404},
		{name: "a list of files", method: "GET", path: "/b/" + idA + "/", status: 404},
		{name: "the list of devices", method: "GET", path: "/access.json", status: 404},
		{name: "a header in a name", method: "POST", path: "/api/v1/pair", body: strings.NewReader(`{"code":"00000000","device":"e","name":"x\r\nSet-Cookie: a=b"}`), status: 400, code: wire.BadAsk},
		{name: "a header in a device", method: "POST", path: "/api/v1/push", body: strings.NewReader(`{"device":"a\r\nX-Evil: 1"}`), status: 400, code: wire.BadAsk},
		{name: "a header in the epoch", method: "GET", path: "/api/v1/pull?epoch=%0d%0aX-Evil:%201&cursor=1", status: 200},
		{name: "a header in an unknown address", method: "GET", path: "/%0d%0aX-Evil:%201", status: 404},
		{name: "one's own, after all that", method: "POST", path: "/api/v1/push", body: strings.NewReader(own), status: 200, heads: 2},
	} {
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		status, header, body, err := y.ask(c.method, c.path, c.body, c.length, c.header...)
		runtime.ReadMemStats(&after)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		var e wire.Error
		if c.code != "" && (json.Unmarshal(body, &e) != nil || e.Code != c.code) || status != c.status {
			t.Errorf("%s: %d, %.200s; want %d %s", c.name, status, body, c.status, c.code)
		}
		if (status == 401) != (header.Get("WWW-Authenticate") != "") || header.Get("X-Evil") != "" || header.Get("Set-Cookie") != "" || header.Get("X-Content-Type-Options") != "nosniff" {
			t.Errorf("%s: headers %v", c.name, header)
		}
		if used := after.TotalAlloc - before.TotalAlloc; used > 24<<20 { // both ends, in all: a batch is at most 1.1 MB
			t.Errorf("%s: %d MB were allocated", c.name, used>>20)
		}
		if got := y.keeper.Have().Head; got != c.heads {
			t.Fatalf("%s: %d entries are kept, want %d", c.name, got, c.heads)
		}
	}
	lock.Lock()
	defer lock.Unlock()
	for _, secret := range []string{"secret reading", y.a, y.b, y.revoked, y.stale} {
		if strings.Contains(logged.String(), secret) {
			t.Errorf("the log has %q in it", secret)
		}
	}
}

type writer func(p []byte) (int, error)

func (w writer) Write(p []byte) (int, error) { return w(p) }

// ask sends a request over the network as device a would, with changed headers.
func (y *yard) ask(method, path string, body io.Reader, length int64, header ...string) (int, http.Header, []byte, error) {
	r, err := http.NewRequest(method, "http://"+y.addr, body)
	if err != nil {
		return 0, nil, nil, err
	}
	r.URL.Opaque = path // as it stands
	if length != 0 {
		r.ContentLength = length
	}
	r.Host = "shop.local:8443"
	r.Header.Set("Authorization", "Bearer "+y.a)
	if method == "POST" {
		r.Header.Set("Content-Type", isJSON)
	}
	for i := 0; i+1 < len(header); i += 2 {
		switch {
		case header[i] == "Host":
			r.Host = header[i+1]
		case header[i+1] == "":
			r.Header.Del(header[i])
		default:
			r.Header.Set(header[i], header[i+1])
		}
	}
	conn, err := net.Dial("tcp", y.addr)
	if err != nil {
		return 0, nil, nil, err
	}
	defer conn.Close()
	_ = conn.SetDeadline(time.Now().Add(20 * time.Second))
	go func() { _ = r.Write(conn) }() // the server may hang up before all is sent
	answer, err := http.ReadResponse(bufio.NewReader(conn), r)
	if err != nil {
		return 0, nil, nil, err
	}
	defer answer.Body.Close()
	got, err := io.ReadAll(answer.Body)
	return answer.StatusCode, answer.Header, got, err
}

// Another device's line: what it has not brought itself is refused run by run,
// its own and what heals are taken.
func TestAnothersSequence(t *testing.T) {
	y := newYard(t)
	push := func(token, body string) wire.PushAnswer {
		t.Helper()
		status, _, got, err := y.ask("POST", "/api/v1/push", strings.NewReader(body), 0, "Authorization", "Bearer "+token)
		var a wire.PushAnswer
		if err == nil && status == 200 {
			err = json.Unmarshal(got, &a)
		}
		if err != nil || status != 200 {
			t.Fatal(status, err, string(got))
		}
		return a
	}
	push(y.a, give("a", "a", 2))
	for _, c := range []struct {
		what  string
		n     int
		taken int
		known int
		seq   uint64 // refused from here; 0: nothing is
	}{
		{"what is here", 2, 0, 2, 0},
		{"what would follow", 5, 0, 2, 3},
	} {
		got := push(y.b, give("b", "a", c.n))
		if got.Taken != c.taken || got.Known != c.known || (c.seq > 0) != (len(got.Refused) > 0) || c.seq > 0 && (got.Refused[0].Seq != c.seq || got.Refused[0].Code != wire.NotYours) {
			t.Errorf("%s: %+v", c.what, got)
		}
	}
	if got := push(y.b, give("b", "stranger", 3)); got.Taken != 3 {
		t.Errorf("a line for which nobody speaks: %+v", got)
	}
	if got := push(y.b, give("b", "c", 3)); got.Taken != 0 || len(got.Refused) != 1 {
		t.Errorf("a revoked device's line: %+v", got)
	}
}

// 10,000 requests at once: most are told to wait, and none costs more than its
// answer; another address is still served.
func TestBurst(t *testing.T) {
	y := newYard(t)
	client := &http.Client{Transport: &http.Transport{MaxConnsPerHost: 32, MaxIdleConnsPerHost: 32}, Timeout: time.Minute}
	defer client.CloseIdleConnections()
	var counts [600]atomic.Int64
	var all sync.WaitGroup
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	for range 32 {
		all.Go(func() {
			for range 10_000 / 32 {
				r, _ := http.NewRequest("GET", "http://"+y.addr+"/api/v1/have", nil)
				answer, err := client.Do(r)
				if err != nil {
					t.Error(err)
					return
				}
				_, _ = io.Copy(io.Discard, answer.Body)
				answer.Body.Close()
				counts[answer.StatusCode].Add(1)
				if answer.StatusCode == 429 && answer.Header.Get("Retry-After") == "" {
					t.Error("it is not said when to come again")
				}
			}
		})
	}
	all.Wait()
	runtime.ReadMemStats(&after)
	refused, waited := counts[401].Load(), counts[429].Load()
	if refused < strangerBurst || waited < 1000 || refused+waited != 10_000/32*32 {
		t.Errorf("%d answers of 401 and %d of 429", refused, waited)
	}
	if grown := int64(after.HeapInuse) - int64(before.HeapInuse); grown > 64<<20 {
		t.Errorf("the heap grew by %d MB", grown>>20)
	}
}

// Clients that never end their header hold connections until the bound and the
// time are up; then others are served.
func TestSlowHeadersInNumbers(t *testing.T) {
	y := newYard(t)
	for range maxConnsAddress + 20 {
		conn, err := net.Dial("tcp", y.addr)
		if err != nil {
			t.Fatal(err)
		}
		defer conn.Close()
		_, _ = io.WriteString(conn, "GET / HTTP/1.1\r\nHost: localhost\r\n")
	}
	until := time.Now().Add(20 * time.Second)
	for {
		status, _, _, err := y.ask("GET", "/api/v1/have", nil, 0)
		if err == nil && status == 200 {
			return
		}
		if time.Now().After(until) {
			t.Fatalf("nobody else is served: %d, %v", status, err)
		}
		time.Sleep(200 * time.Millisecond)
	}
}

// Two headers, a bad request line, a smuggled body: the connection ends.
func TestMalformedRequests(t *testing.T) {
	y := newYard(t)
	for _, c := range []struct{ name, send, want string }{
		{"two hosts", "GET / HTTP/1.1\r\nHost: localhost\r\nHost: evil.example\r\n\r\n", "400"},
		{"no host", "GET / HTTP/1.1\r\n\r\n", "400"},
		{"two lengths", "POST /api/v1/push HTTP/1.1\r\nHost: localhost\r\nContent-Length: 1\r\nContent-Length: 2\r\n\r\nxx", "400"},
		{"length and chunks", "POST /api/v1/push HTTP/1.1\r\nHost: localhost\r\nContent-Length: 5\r\nTransfer-Encoding: chunked\r\n\r\n0\r\n\r\n", "4"},
		{"a line in a header", "GET / HTTP/1.1\r\nHost: localhost\r\nX: a\x00b\r\n\r\n", "400"},
		{"two tokens", "GET /api/v1/have HTTP/1.1\r\nHost: localhost\r\nAuthorization: Bearer " + y.revoked + "\r\nAuthorization: Bearer " + y.a + "\r\n\r\n", "401"},
		{"two tokens, the good one first", "GET /api/v1/have HTTP/1.1\r\nHost: localhost\r\nAuthorization: Bearer " + y.a + "\r\nAuthorization: Bearer " + y.revoked + "\r\n\r\n", "401"},
		{"not HTTP", "\x16\x03\x01\x02\x00\x01", "400"},
	} {
		conn, err := net.Dial("tcp", y.addr)
		if err != nil {
			t.Fatal(err)
		}
		_ = conn.SetDeadline(time.Now().Add(10 * time.Second))
		_, _ = io.WriteString(conn, c.send)
		if tcp, ok := conn.(*net.TCPConn); ok && c.name == "not HTTP" {
			_ = tcp.CloseWrite()
		}
		line, err := bufio.NewReader(conn).ReadString('\n')
		if !strings.Contains(line, " "+c.want) {
			t.Errorf("%s: answered %q (%v), want %s", c.name, line, err, c.want)
		}
		conn.Close()
	}
}
