package main

import (
	"bytes"
	"context"
	"crypto/tls"
	"crypto/x509"
	"encoding/json"
	"io"
	"net/http"
	"net/netip"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"portwright/server/wire"
)

// shopPC is a server as the network sees it: where its own browser finds it,
// where phones do, and what it printed.
type shopPC struct {
	own, link string
	said      *heard
}

// opened starts a server with all its doors on loopback.
func opened(t *testing.T, f serveFlags) *shopPC {
	t.Helper()
	f.addr, f.phones, f.setup = "localhost:0", "127.0.0.1:0", "127.0.0.1:0"
	f.dist = packed(t, "a")
	ctx, cancel := context.WithCancel(context.Background())
	s, done := &shopPC{said: &heard{}}, make(chan error, 1)
	go func() { done <- serve(ctx, f, s.said) }()
	t.Cleanup(func() {
		cancel()
		if err := <-done; err != nil {
			t.Errorf("serve ended with %v", err)
		}
	})
	s.own = s.said.address(t)
	s.link = s.find(t, `http://\S+/shop#\S+`)
	return s
}

// find waits for what the server prints.
func (s *shopPC) find(t *testing.T, pattern string) string {
	t.Helper()
	var found string
	if !eventually(func() bool {
		s.said.mu.Lock()
		defer s.said.mu.Unlock()
		found = regexp.MustCompile(pattern).FindString(s.said.b.String())
		return found != ""
	}) {
		t.Fatalf("%s was not printed", pattern)
	}
	return found
}

// send asks for JSON.
func send(t *testing.T, client *http.Client, method, url, token string, body, to any) (status int, code string) {
	t.Helper()
	var in io.Reader
	if body != nil {
		b, err := json.Marshal(body)
		if err != nil {
			t.Fatal(err)
		}
		in = bytes.NewReader(b)
	}
	r, err := http.NewRequest(method, url, in)
	if err != nil {
		t.Fatal(err)
	}
	if body != nil {
		r.Header.Set("Content-Type", "application/json")
	}
	if token != "" {
		r.Header.Set("Authorization", "Bearer "+token)
	}
	answer, err := client.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	defer answer.Body.Close()
	b, err := io.ReadAll(answer.Body)
	if err != nil {
		t.Fatal(err)
	}
	var e wire.Error
	if answer.StatusCode != 200 {
		if err := json.Unmarshal(b, &e); err != nil {
			t.Fatalf("%d: %s", answer.StatusCode, b)
		}
	} else if to != nil {
		if err := json.Unmarshal(b, to); err != nil {
			t.Fatal(err)
		}
	}
	return answer.StatusCode, e.Code
}

// enter lets the PC's own browser in and returns its token.
func (s *shopPC) enter(t *testing.T) string {
	t.Helper()
	_, key, _ := strings.Cut(s.link, "#")
	var got struct{ Token string }
	if status, code := send(t, http.DefaultClient, "POST", s.own+"api/v1/shop/enter", "", map[string]string{"key": key}, &got); status != 200 {
		t.Fatal(status, code)
	}
	return got.Token
}

// trusts fetches the authority from the set-up page, as a phone does, and
// returns a client that trusts it alone.
func (s *shopPC) trusts(t *testing.T, setup string) *http.Client {
	t.Helper()
	status, der := fetch(t, setup+"portwright-shop.crt")
	root, err := x509.ParseCertificate([]byte(der))
	if status != 200 || err != nil {
		t.Fatal(status, err)
	}
	roots := x509.NewCertPool()
	roots.AddCert(root)
	transport := &http.Transport{TLSClientConfig: &tls.Config{RootCAs: roots}, ForceAttemptHTTP2: true}
	t.Cleanup(transport.CloseIdleConnections)
	return &http.Client{Transport: transport}
}

// A phone comes in: set-up page, trust, code, entries; then it is revoked.
func TestPhoneComesIn(t *testing.T) {
	data := t.TempDir()
	s := opened(t, serveFlags{data: data})
	desk := s.enter(t)
	var st shopState
	if status, code := send(t, http.DefaultClient, "GET", s.own+"api/v1/shop", desk, nil, &st); status != 200 {
		t.Fatal(status, code)
	}
	if st.Certificate == nil || st.Certificate.Fingerprint == "" || st.QR == nil || st.Setup == "" || len(st.Devices) != 1 || st.Devices[0].ID != st.Own || st.Code != nil {
		t.Errorf("Shop says %+v", st)
	}
	port := regexp.MustCompile(`:(\d+)/$`).FindStringSubmatch(st.Setup)[1]
	setup := "http://127.0.0.1:" + port + "/"
	client := s.trusts(t, setup)
	_, page := fetch(t, setup)
	secure := "https://127.0.0.1:" + regexp.MustCompile(`https://localhost:(\d+)/`).FindStringSubmatch(page)[1] + "/"
	if !strings.Contains(page, st.Certificate.Fingerprint) {
		t.Error("the page and Shop show two fingerprints")
	}
	answer, err := client.Get(secure)
	if err != nil {
		t.Fatal(err)
	}
	answer.Body.Close()
	if answer.ProtoMajor != 2 || answer.TLS.Version < tls.VersionTLS12 || answer.Header.Get("Strict-Transport-Security") != "" {
		t.Errorf("%s, TLS %x", answer.Proto, answer.TLS.Version)
	}
	if _, err := http.Get(secure); err == nil {
		t.Error("who does not trust the authority gets in")
	}

	if status, code := send(t, client, "GET", secure+"api/v1/have", "", nil, nil); status != 401 || code != wire.NoToken {
		t.Errorf("without a token: %d %s", status, code)
	}
	if status, code := send(t, client, "GET", secure+"api/v1/shop", desk, nil, nil); status != 200 { // over loopback, with the PC's token
		t.Errorf("Shop over HTTPS on this PC: %d %s", status, code)
	}
	if status, code := send(t, http.DefaultClient, "GET", s.own+"api/v1/have", "", nil, nil); status != 401 || code != wire.NoToken {
		t.Errorf("without a token on this PC: %d %s", status, code)
	}
	alone, stop := running(t, serveFlags{addr: "localhost:0", data: t.TempDir(), dist: packed(t, "a")})
	defer stop()
	if status, code := send(t, http.DefaultClient, "GET", alone+"api/v1/have", "", nil, nil); status != 200 {
		t.Errorf("without a token, where no phone comes in: %d %s", status, code)
	}
	ask := wire.Pair{Code: "00000000", Device: "phone", Name: "bench phone"}
	if status, code := send(t, client, "POST", secure+"api/v1/pair", "", ask, nil); status != 410 || code != wire.NoCode {
		t.Errorf("without a code in force: %d %s", status, code)
	}
	if status, _ := send(t, http.DefaultClient, "POST", s.own+"api/v1/shop/code", desk, struct{}{}, &st); status != 200 || st.Code == nil {
		t.Fatalf("no code was made: %d", status)
	}
	ask.Code = st.Code.Text
	var paired wire.PairAnswer
	if status, code := send(t, client, "POST", secure+"api/v1/pair", "", ask, &paired); status != 200 {
		t.Fatal(status, code)
	}
	if status, code := send(t, client, "POST", secure+"api/v1/pair", "", ask, nil); status != 410 || code != wire.NoCode {
		t.Errorf("the code a second time: %d %s", status, code)
	}
	push := wire.Push{Device: "phone", Runs: []wire.Run{{Device: "phone", From: 1, Before: wire.Chain{}.String(), Entries: []json.RawMessage{[]byte(`{"device":"phone","seq":1}`)}}}}
	var pushed wire.PushAnswer
	if status, code := send(t, client, "POST", secure+"api/v1/push", paired.Token, push, &pushed); status != 200 || pushed.Taken != 1 {
		t.Errorf("its entry: %d %s %+v", status, code, pushed)
	}
	for path, body := range map[string]any{"shop": nil, "shop/code": struct{}{}, "shop/revoke": map[string]string{"id": st.Own}} {
		method := "POST"
		if body == nil {
			method = "GET"
		}
		if status, code := send(t, client, method, secure+"api/v1/"+path, paired.Token, body, nil); status != 403 || code != wire.NotYours {
			t.Errorf("a phone at %s: %d %s", path, status, code)
		}
	}
	send(t, http.DefaultClient, "GET", s.own+"api/v1/shop", desk, nil, &st)
	if st.CodeEnded != "The code was used by bench phone." || st.Space != nil || len(st.Unwritten) != 0 {
		t.Errorf("Shop says of code, disk and list: %q, %+v, %v", st.CodeEnded, st.Space, st.Unwritten)
	}
	if len(st.Devices) != 2 || st.Devices[1].Name != "bench phone" || st.Devices[1].SeenMS == 0 || st.Entries != 1 {
		t.Errorf("Shop says %+v", st)
	}
	phone := map[string]string{"id": st.Devices[1].ID}
	send(t, http.DefaultClient, "POST", s.own+"api/v1/shop/revoke", desk, phone, &st)
	if status, code := send(t, client, "POST", secure+"api/v1/push", paired.Token, push, nil); status != 401 || code != wire.Revoked {
		t.Errorf("revoked: %d %s", status, code)
	}
	send(t, http.DefaultClient, "POST", s.own+"api/v1/shop/forget", desk, phone, &st)
	if status, code := send(t, client, "POST", secure+"api/v1/push", paired.Token, push, nil); status != 401 || code != wire.NoToken {
		t.Errorf("forgotten: %d %s", status, code)
	}
	for _, file := range []string{"access.json", "authority/authority.pem", "authority/server.pem", linkFile} {
		if info, err := os.Stat(filepath.Join(data, file)); err != nil || info.Mode().Perm() != 0o600 {
			t.Errorf("%s may be read by others: %v", file, err)
		}
	}
}

// The link is told again by a command, is another once it was used, and is gone
// with the server.
func TestLinkCommand(t *testing.T) {
	data := t.TempDir()
	said := func() (string, int) {
		var out, msg strings.Builder
		status := run([]string{"link", "-data", data}, strings.NewReader(""), &out, &msg)
		return strings.TrimSpace(out.String()) + msg.String(), status
	}
	if text, status := said(); status != exitFailed || !strings.Contains(text, "start portwright serve") {
		t.Errorf("without a server: %d %s", status, text)
	}
	t.Run("running", func(t *testing.T) {
		s := opened(t, serveFlags{data: data})
		if text, _ := said(); text != s.link {
			t.Errorf("%s, printed was %s", text, s.link)
		}
		s.enter(t)
		if text, status := said(); status != exitOK || text == s.link || !strings.HasPrefix(text, s.own+"shop#") {
			t.Errorf("after it was used: %s", text)
		}
		_, key, _ := strings.Cut(s.link, "#")
		if status, code := send(t, http.DefaultClient, "POST", s.own+"api/v1/shop/enter", "", map[string]string{"key": key}, nil); status != 403 || code != wire.WrongCode {
			t.Errorf("the used link: %d %s", status, code)
		}
		if status, _ := fetch(t, s.own+"shop"); status != 200 {
			t.Errorf("the page: %d", status)
		}
	})
	if text, status := said(); status != exitFailed {
		t.Errorf("after the server ended: %s", text)
	}
}

// A certificate of one's own needs no authority and no set-up page.
func TestOwnCertificate(t *testing.T) {
	data := t.TempDir()
	t.Run("makes one", func(t *testing.T) { opened(t, serveFlags{data: data}) })
	pem := filepath.Join(data, "authority", "server.pem")
	other := t.TempDir()
	s := opened(t, serveFlags{data: other, cert: pem, key: pem})
	s.find(t, `Phones open it over HTTPS, port \d+, under the names of your certificate: .*localhost`)
	if _, err := os.Stat(filepath.Join(other, "authority")); !os.IsNotExist(err) {
		t.Errorf("an authority was made: %v", err)
	}
	err := serve(t.Context(), serveFlags{addr: "localhost:0", phones: "127.0.0.1:0", data: t.TempDir(), dist: packed(t, "a"), cert: "absent", key: "absent"}, io.Discard)
	if err == nil || !strings.Contains(err.Error(), "certificate absent") {
		t.Errorf("an absent file: %v", err)
	}
	var out, msg strings.Builder
	if status := run([]string{"serve", "-cert", pem}, strings.NewReader(""), &out, &msg); status != exitInput || !strings.Contains(msg.String(), "-key") {
		t.Errorf("a certificate without its key: %d %s", status, msg.String())
	}
}

func TestPreferredAddress(t *testing.T) {
	list := func(text ...string) (out []netip.Addr) {
		for _, one := range text {
			out = append(out, netip.MustParseAddr(one))
		}
		return out
	}
	for _, c := range []struct {
		all  []netip.Addr
		out  netip.Addr
		want string
	}{
		{list("10.0.0.5", "127.0.0.1", "172.17.0.1", "192.168.1.7"), netip.MustParseAddr("10.0.0.5"), "10.0.0.5"},
		{list("10.0.0.5", "127.0.0.1", "172.17.0.1", "192.168.1.7"), netip.Addr{}, "192.168.1.7"},
		{list("127.0.0.1", "172.17.0.1"), netip.MustParseAddr("8.8.8.8"), "172.17.0.1"},
		{list("127.0.0.1", "::1"), netip.MustParseAddr("127.0.0.1"), ""},
		{list("127.0.0.1", "::1", "fd00::7"), netip.Addr{}, "fd00::7"},
		{list("127.0.0.1", "192.168.1.7", "fd00::7"), netip.Addr{}, "192.168.1.7"},
	} {
		if got := preferred(c.all, c.out); got != c.want {
			t.Errorf("of %v, going out by %v: %q, want %q", c.all, c.out, got, c.want)
		}
	}
}
