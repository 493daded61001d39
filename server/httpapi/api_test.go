package httpapi

import (
	"bytes"
	"compress/gzip"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"log"
	"net/http"
	"net/http/httptest"
	"os"
	"strings"
	"sync"
	"testing"
	"time"

	"portwright/server"
	"portwright/server/memory"
	"portwright/server/wire"
	phonesync "portwright/wasm/sync"
	"portwright/wasm/sync/phonetest"
)

func keeper(t *testing.T) *server.Keeper {
	t.Helper()
	k, _, err := server.Open(&memory.Journal{}, &memory.Index{}, server.Options{App: idA, NewEpoch: func() string { return "e1" }, Now: func() time.Time { return time.UnixMilli(5000) }})
	if err != nil {
		t.Fatal(err)
	}
	return k
}

func site(t *testing.T, k Keeper) http.Handler {
	t.Helper()
	return handler(t, Config{Dist: buildA(), Keeper: k, Names: named("shop.local")})
}

// call sends a request; header pairs "Host" and those of the request.
func call(h http.Handler, method, target string, body io.Reader, header ...string) *httptest.ResponseRecorder {
	r := httptest.NewRequest(method, "http://localhost"+target, body)
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

func packed(text string) string {
	var b bytes.Buffer
	z := gzip.NewWriter(&b)
	z.Write([]byte(text))
	z.Close()
	return b.String()
}

var zeros = wire.Chain{}.String()

const isJSON = "application/json"

func TestPushAnswers(t *testing.T) {
	one := `{"device":"a","now_ms":4000,"new":[1],"runs":[{"device":"a","from":1,"before":"` + zeros + `","entries":[{"device":"a", "seq":1,"x":"<secret>"}]}]}`
	bomb := packed(`{"device":"a","x":"` + strings.Repeat("0", 64<<20) + `"}`)
	for _, c := range []struct {
		name   string
		body   string
		header []string
		status int
		want   string // part of the body
	}{
		{"an entry", one, []string{"Content-Type", isJSON}, 200, `"have":{"a":{"seq":1,`},
		{"with a charset", one, []string{"Content-Type", "application/json; charset=UTF-8"}, 200, `"taken":1`},
		{"gzip", packed(one), []string{"Content-Type", isJSON, "Content-Encoding", "gzip"}, 200, `"taken":1`},
		{"own page", one, []string{"Content-Type", isJSON, "Origin", "http://localhost:8080", "Sec-Fetch-Site", "same-origin"}, 200, `"taken":1`},
		{"the app at another of our addresses", one, []string{"Content-Type", isJSON, "Origin", "https://192.0.2.7:8443", "Sec-Fetch-Site", "cross-site"}, 200, `"taken":1`},
		{"other addresses are told", `{"device":"a"}`, []string{"Content-Type", isJSON}, 200, `"places":"https://192.0.2.7:8443"`},
		{"nothing to do", `{"device":"a"}`, []string{"Content-Type", isJSON}, 200, `"epoch":"e1"`},
		{"a fork's run", strings.Replace(one, `"seq":1`, `"seq":2`, 1), []string{"Content-Type", isJSON}, 200, `"code":"bad_entry"`},

		{"a form", one, []string{"Content-Type", "application/x-www-form-urlencoded"}, 415, `"code":"wrong_type","message":"Content-Type: is`},
		{"text", one, []string{"Content-Type", "text/plain"}, 415, `"field":"Content-Type"`},
		{"no type", one, nil, 415, `"code":"wrong_type"`},
		{"other letters", one, []string{"Content-Type", "application/json; charset=utf-16"}, 415, `"code":"wrong_type"`},
		{"brotli", one, []string{"Content-Type", isJSON, "Content-Encoding", "br"}, 415, `"field":"Content-Encoding"`},
		{"gzip twice", packed(packed(one)), []string{"Content-Type", isJSON, "Content-Encoding", "gzip, gzip"}, 415, `"field":"Content-Encoding"`},
		{"not gzip", one, []string{"Content-Type", isJSON, "Content-Encoding", "gzip"}, 400, "its compression is damaged"},
		{"gzip cut short", packed(one)[:40], []string{"Content-Type", isJSON, "Content-Encoding", "gzip"}, 400, "cut short"},
		{"a bomb", bomb, []string{"Content-Type", isJSON, "Content-Encoding", "gzip"}, 413, `"code":"too_large"`},
		{"too much", `{"x":"` + strings.Repeat("0", maxBody) + `"}`, []string{"Content-Type", isJSON}, 413, `"code":"too_large"`},
		{"cut short", one[:60], []string{"Content-Type", isJSON}, 400, "The request is not JSON"},
		{"two values", one + one, []string{"Content-Type", isJSON}, 400, `"code":"bad_ask"`},
		{"nothing", ``, []string{"Content-Type", isJSON}, 400, `"code":"bad_ask"`},
		{"no device", `{}`, []string{"Content-Type", isJSON}, 400, `"field":"device"`},
		{"a number for a name", `{"device":7}`, []string{"Content-Type", isJSON}, 400, `"message":"device: is a JSON number; it must be a string."`},
		{"a list", `[]`, []string{"Content-Type", isJSON}, 400, `"code":"bad_ask"`},
		{"deep", strings.Repeat("[", 100_000), []string{"Content-Type", isJSON}, 400, `"code":"bad_ask"`},
		{"another site", one, []string{"Content-Type", isJSON, "Origin", "https://evil.example", "Sec-Fetch-Site", "cross-site"}, 403, `"code":"cross_site"`},
		{"another site in an old browser", one, []string{"Content-Type", isJSON, "Origin", "https://evil.example"}, 403, `"code":"cross_site"`},
		{"another name", one, []string{"Content-Type", isJSON, "Host", "evil.example"}, 421, `"code":"wrong_host"`},
	} {
		k := keeper(t)
		w := call(site(t, k), "POST", "/api/v1/push", strings.NewReader(c.body), c.header...)
		if w.Code != c.status || !strings.Contains(w.Body.String(), c.want) {
			t.Errorf("%s: %d, %.300s; want %d and %s", c.name, w.Code, w.Body, c.status, c.want)
		}
		if h := w.Header(); h.Get("Content-Type") != isJSON || h.Get("Cache-Control") != "no-store" || h.Get("X-Content-Type-Options") != "nosniff" {
			t.Errorf("%s: headers %v", c.name, h)
		}
		if taken := k.Have().Head; (taken == 1) != strings.Contains(c.want, `taken":1`) && c.name != "an entry" {
			t.Errorf("%s: %d entries are kept", c.name, taken)
		}
		var e wire.Error
		if c.status != 200 && (json.Unmarshal(w.Body.Bytes(), &e) != nil || wire.Status(e.Code) != c.status || wire.CodeOf(c.status) != e.Code || e.Message == "") {
			t.Errorf("%s: the error is %s", c.name, w.Body)
		}
	}
}

func TestPullAndHave(t *testing.T) {
	k := keeper(t)
	h := site(t, k)
	p := phonetest.New("a", 500)
	for range 20 {
		p.Write(`"x": "<` + strings.Repeat("y", 90) + `>"`)
	}
	exchange(t, h, p, "")
	for _, c := range []struct {
		path   string
		status int
		want   string
	}{
		{"/api/v1/pull", 200, `"next":20,`},
		{"/api/v1/pull?limit=2", 200, `"next":2,`},
		{"/api/v1/pull?epoch=e0&cursor=7&mark=x&limit=2", 200, `"reset":true,"next":2,`},
		{"/api/v1/pull?epoch=e1&cursor=20&mark=" + markOf(t, h), 200, `"next":20,`},
		{"/api/v1/pull?cursor=-1", 400, `"field":"cursor"`},
		{"/api/v1/pull?cursor=1e3", 400, `"message":"cursor: is \"1e3\"; it must be a whole number."`},
		{"/api/v1/pull?limit=0", 400, `"field":"limit"`},
		{"/api/v1/pull?limit=501", 400, `"field":"limit"`},
		{"/api/v1/pull?limit=99999999999", 400, `"field":"limit"`},
		{"/api/v1/have", 200, `"entries":20,"digest":"` + wire.Digest(p.Have()) + `"`},
		{"/api/v1/other", 404, `"code":"not_found"`},
		{"/api/", 404, `"code":"not_found"`},
	} {
		w := call(h, "GET", c.path, nil)
		if w.Code != c.status || !strings.Contains(w.Body.String(), c.want) {
			t.Errorf("%s: %d, %.300s; want %d and %s", c.path, w.Code, w.Body, c.status, c.want)
		}
	}
	for _, c := range []struct{ method, path, allow string }{
		{"GET", "/api/v1/push", "POST"}, {"HEAD", "/api/v1/push", "POST"}, {"POST", "/api/v1/pull", "GET"}, {"DELETE", "/api/v1/have", "GET"}, {"OPTIONS", "/api/v1/push", "POST"},
	} {
		w := call(h, c.method, c.path, nil, "Content-Type", isJSON)
		if w.Code != 405 || w.Header().Get("Allow") != c.allow {
			t.Errorf("%s %s: %d, Allow %q", c.method, c.path, w.Code, w.Header().Get("Allow"))
		}
	}
}

func markOf(t *testing.T, h http.Handler) string {
	t.Helper()
	var a wire.PullAnswer
	if err := json.Unmarshal(call(h, "GET", "/api/v1/pull", nil).Body.Bytes(), &a); err != nil {
		t.Fatal(err)
	}
	return a.Mark
}

// exchange lets a phone sync over HTTP.
func exchange(t *testing.T, h http.Handler, p *phonetest.Phone, accept string) {
	t.Helper()
	now := func() int64 { return 1 }
	p.Round(now, func(a *phonesync.Ask) phonesync.Answered {
		if a.Push == nil {
			return phonesync.Answered{Status: 200, Body: read(t, call(h, "GET", "/api/v1/pull?"+a.Pull, nil, "Accept-Encoding", accept))}
		}
		body := strings.NewReader(packed(string(a.Push)))
		return phonesync.Answered{Status: 200, Body: read(t, call(h, "POST", "/api/v1/push", body, "Content-Type", isJSON, "Content-Encoding", "gzip", "Accept-Encoding", accept))}
	})
	if s := p.Status(); s.Code != "" || s.Lacks > 0 {
		t.Fatalf("the sync ended with %+v", s)
	}
}

// read returns the body of an answer that must be good.
func read(t *testing.T, w *httptest.ResponseRecorder) []byte {
	t.Helper()
	var in io.Reader = w.Body
	if w.Header().Get("Content-Encoding") == "gzip" {
		z, err := gzip.NewReader(w.Body)
		if err != nil {
			t.Fatal(err)
		}
		in = z
	}
	b, err := io.ReadAll(in)
	if err != nil || w.Code != 200 {
		t.Fatalf("%d, %v: %s", w.Code, err, b)
	}
	return b
}

// Phones at one time, some of which take compressed answers, end with the same.
func TestPhonesAtOnce(t *testing.T) {
	k := keeper(t)
	h := site(t, k)
	var all sync.WaitGroup
	phones := make([]*phonetest.Phone, 6)
	for i := range phones {
		phones[i] = phonetest.New(fmt.Sprintf("phone-%d", i), 50)
		all.Go(func() {
			for range 4 {
				for range 30 {
					phones[i].Write(`"x":1`)
				}
				exchange(t, h, phones[i], []string{"", "gzip", "gzip;q=0"}[i%3])
			}
		})
	}
	all.Wait()
	for i, p := range phones {
		exchange(t, h, p, "")
		if got, want := wire.Digest(p.Have()), k.Have().Digest; got != want {
			t.Errorf("phone %d: digest %s, want %s", i, got, want)
		}
	}
	if n := k.Have().Entries; n != 6*4*30 {
		t.Errorf("%d entries", n)
	}
}

func TestAnswersAreCompressed(t *testing.T) {
	h := site(t, keeper(t))
	p := phonetest.New("a", 500)
	for range 30 {
		p.Write(`"x":"yyyyyyyyyyyyyyyyyyyyyyyyyyyyyyyyyyyyyyyyyyyy"`)
	}
	exchange(t, h, p, "")
	for _, c := range []struct{ accept, path, coding string }{
		{"gzip", "/api/v1/pull", "gzip"}, {"gzip, br", "/api/v1/pull", "gzip"}, {"", "/api/v1/pull", ""}, {"gzip;q=0", "/api/v1/pull", ""}, {"gzip", "/api/v1/have", ""},
	} {
		w := call(h, "GET", c.path, nil, "Accept-Encoding", c.accept)
		if got := w.Header().Get("Content-Encoding"); got != c.coding || w.Header().Get("Content-Length") != fmt.Sprint(w.Body.Len()) {
			t.Errorf("%s with %q: %q, %v", c.path, c.accept, got, w.Header())
		}
	}
}

func TestOtherAddressesOfOurs(t *testing.T) {
	h := site(t, keeper(t))
	for _, c := range []struct {
		origin, method, ask string
		allowed             string
		status              int
	}{
		{"https://192.0.2.7:8443", "OPTIONS", "POST", "https://192.0.2.7:8443", 204},
		{"https://192.0.2.7:8443", "GET", "", "https://192.0.2.7:8443", 200},
		{"https://192.0.2.8:8443", "OPTIONS", "POST", "", 405},
		{"https://evil.example", "GET", "", "", 200},
		{"null", "GET", "", "", 200},
		{"", "GET", "", "", 200},
	} {
		w := call(h, c.method, "/api/v1/have", nil, "Origin", c.origin, "Access-Control-Request-Method", c.ask)
		if got := w.Header().Get("Access-Control-Allow-Origin"); got != c.allowed || w.Code != c.status {
			t.Errorf("%s from %q: %d, allowed %q; want %d, %q", c.method, c.origin, w.Code, got, c.status, c.allowed)
		}
		if w.Header().Get("Access-Control-Allow-Credentials") != "" {
			t.Error("credentials are allowed")
		}
	}
	if w := call(h, "OPTIONS", "/", nil, "Origin", "https://192.0.2.7:8443", "Access-Control-Request-Method", "GET"); w.Header().Get("Access-Control-Allow-Origin") != "" {
		t.Error("the app's files are open to other addresses")
	}
}

// broken answers every question with an error.
type broken struct{ err error }

func (b broken) Push(wire.Push) (wire.PushAnswer, error) { return wire.PushAnswer{}, b.err }
func (b broken) Pull(string, uint64, string, int) (wire.PullAnswer, error) {
	return wire.PullAnswer{}, b.err
}
func (b broken) Have() wire.HaveAnswer { return wire.HaveAnswer{} }

// Every code has its status here too; what is for the log goes there and not to
// the phone, and nothing of an entry goes to the log.
func TestErrorsAndTheLog(t *testing.T) {
	var logged bytes.Buffer
	log.SetOutput(&logged)
	defer log.SetOutput(os.Stderr)
	body := `{"device":"a","runs":[{"device":"a","from":1,"before":"` + zeros + `","entries":[{"device":"a","seq":1,"x":"secret"}]}]}`
	for _, c := range []struct {
		err    error
		status int
		says   string
		logs   string
	}{
		{&server.Error{Code: server.NoSpace, Message: "full", Err: errors.New("7 bytes")}, 507, `{"code":"no_space","message":"full"}`, "7 bytes"},
		{&server.Error{Code: server.NotNow, Message: "later", Err: errors.New("EIO")}, 503, `{"code":"not_now","message":"later"}`, "EIO"},
		{&server.Error{Code: server.BadAsk, Message: "m", Field: "f"}, 400, `{"code":"bad_ask","message":"m","field":"f"}`, ""},
		{&server.Error{Code: server.TooLarge, Message: "m"}, 413, `"too_large"`, ""},
		{errors.New("inner"), 500, `{"code":"internal","message":"Something went wrong on the shop PC; its log says what."}`, "inner"},
	} {
		logged.Reset()
		w := call(site(t, broken{c.err}), "POST", "/api/v1/push", strings.NewReader(body), "Content-Type", isJSON)
		if w.Code != c.status || !strings.Contains(w.Body.String(), c.says) {
			t.Errorf("%v: %d, %s", c.err, w.Code, w.Body)
		}
		if got := logged.String(); (c.logs == "") != (got == "") || !strings.Contains(got, c.logs) || strings.Contains(got, "secret") || strings.Contains(w.Body.String(), "inner") {
			t.Errorf("%v: logged %q", c.err, got)
		}
	}
	logged.Reset()
	for _, bad := range []string{body, body[:len(body)-9], strings.Replace(body, `"seq":1`, `"seq":"secret"`, 1), strings.Replace(body, `"a"`, `"sec ret"`, 1)} {
		call(site(t, keeper(t)), "POST", "/api/v1/push", strings.NewReader(bad), "Content-Type", isJSON)
	}
	if logged.Len() > 0 {
		t.Errorf("logged %q", logged.String())
	}
}

func FuzzPush(f *testing.F) {
	one := `{"device":"a","now_ms":4000,"runs":[{"device":"a","from":1,"before":"` + zeros + `","entries":[{"device":"a", "seq":1},{"seq":2,"device":"a"}]}]}`
	for _, s := range []string{one, one[:70], `{"device":"a"}`, `{"device":"a","runs":null}`, `{"device":"a","runs":[{}]}`, `[]`, strings.Replace(one, `"from":1`, `"from":18446744073709551615`, 1), strings.ToUpper(one)} {
		f.Add([]byte(s), false)
		f.Add([]byte(packed(s)), true)
	}
	f.Fuzz(func(t *testing.T, body []byte, gz bool) {
		k := keeper(t)
		h := handler(t, Config{Dist: buildA(), Keeper: k})
		header := []string{"Content-Type", isJSON}
		if gz {
			header = append(header, "Content-Encoding", "gzip")
		}
		for range 2 { // again changes nothing
			w := call(h, "POST", "/api/v1/push", bytes.NewReader(body), header...)
			if w.Code >= 500 {
				t.Fatalf("%d: %s", w.Code, w.Body)
			}
			if !json.Valid(w.Body.Bytes()) {
				t.Fatalf("not JSON: %s", w.Body)
			}
		}
		a, err := k.Pull("", 0, "", 500)
		if err != nil || uint64(len(a.Entries)) != k.Have().Entries {
			t.Fatalf("%d entries of %d come back, %v", len(a.Entries), k.Have().Entries, err)
		}
		for _, e := range a.Entries {
			if _, _, err := wire.Address(e); err != nil {
				t.Fatalf("%s was kept: %v", e, err)
			}
		}
	})
}
