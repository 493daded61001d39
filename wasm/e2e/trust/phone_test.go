package trust

import (
	"fmt"
	"io"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"portwright/server/authority"
	"portwright/wasm/e2e/chrome"
	"portwright/wasm/e2e/drive"
	"portwright/wasm/e2e/served"
)

const soon = 20 * time.Second

// shopPC is the real program with all its doors, as a phone on the network and
// the PC's own browser see it.
type shopPC struct {
	*served.Server
	setup, phones string // under the machine's name on the network
	proxy         *proxy
}

func open(t *testing.T) *shopPC {
	t.Helper()
	phones, setup := freePort(t), freePort(t)
	app := served.App(t, "-alone=false", "-phones", "127.0.0.1:"+phones, "-setup", "127.0.0.1:"+setup)
	machine, err := os.Hostname()
	if err != nil {
		t.Fatal(err)
	}
	name := authority.Local(machine)
	s := &shopPC{Server: app, setup: "http://" + name + ":" + setup + "/", phones: "https://" + name + ":" + phones + "/"}
	s.proxy = newProxy(t, func(hostport string) (string, bool) {
		host, port, err := net.SplitHostPort(hostport)
		return "127.0.0.1:" + port, err == nil && host == name
	})
	return s
}

func freePort(t *testing.T) string {
	t.Helper()
	ln, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer ln.Close()
	return fmt.Sprint(ln.Addr().(*net.TCPAddr).Port)
}

// phone is a browser of phone size with a fresh profile, on the shop's network.
func (s *shopPC) phone(t *testing.T) *chrome.Browser {
	t.Helper()
	return chrome.Start(t, chrome.Options{ProfileDir: t.TempDir(), Width: 360, Height: 640, Mobile: true, Flags: []string{"--proxy-server=" + s.proxy.addr}})
}

// root downloads the authority from the set-up page.
func (s *shopPC) root(t *testing.T) []byte {
	t.Helper()
	var root []byte
	for until := time.Now().Add(soon); ; time.Sleep(50 * time.Millisecond) {
		r, err := http.NewRequest("GET", s.setup+"portwright-shop.crt", nil)
		if err != nil {
			t.Fatal(err)
		}
		host := r.URL.Host
		_, port, _ := net.SplitHostPort(host)
		r.URL.Host, r.Host = "127.0.0.1:"+port, host
		answer, err := http.DefaultClient.Do(r)
		if err == nil {
			root, err = io.ReadAll(answer.Body)
			answer.Body.Close()
			if err == nil && answer.StatusCode == 200 {
				return root
			}
		}
		if time.Now().After(until) {
			t.Fatalf("the set-up page does not answer: %v", err)
		}
	}
}

// link is the one-time link that the server keeps for its owner.
func (s *shopPC) link(t *testing.T) string {
	t.Helper()
	for until := time.Now().Add(soon); ; time.Sleep(20 * time.Millisecond) {
		link, err := os.ReadFile(filepath.Join(s.Data(), "shop-link"))
		if err == nil {
			return strings.TrimSpace(string(link))
		}
		if time.Now().After(until) {
			t.Fatal(err)
		}
	}
}

// desk opens Shop in the PC's own browser by the one-time link.
func (s *shopPC) desk(t *testing.T) *chrome.Browser {
	t.Helper()
	b := chrome.Start(t, chrome.Options{Width: 1000, Height: 900})
	b.Goto(s.link(t))
	b.WaitFor(`!document.querySelector("#station").hidden`, soon)
	return b
}

// code makes a pairing code at the desk and reads it there.
func code(desk *chrome.Browser) string {
	before := desk.Text("#code")
	desk.Tap("#new-code")
	desk.WaitFor(fmt.Sprintf(`document.querySelector("#code").textContent.length === 9 && document.querySelector("#code").textContent !== %q`, before), soon)
	return desk.Text("#code")
}

// The set-up page says whether this phone trusts the PC, and leads on.
func TestSetUpPage(t *testing.T) {
	certutil, ok := drive.Found(envCertutil, "certutil")
	if !ok {
		return
	}
	s := open(t)
	root := s.root(t)
	before := s.phone(t)
	before.Goto(s.setup)
	before.WaitFor(`document.querySelector("#verdict").textContent.startsWith("Not yet")`, soon)
	if !strings.Contains(before.Text("main"), "Certificate Trust Settings") || before.Count("#open[hidden]") != 1 {
		t.Errorf("the page shows %s", before.Text("main"))
	}
	if wide := chrome.MustEval[int](before, `document.documentElement.scrollWidth`); wide > 360 {
		t.Errorf("the page is %d px wide on a screen of 360", wide)
	}
	before.Close()

	trustInHome(t, certutil, root)
	phone := s.phone(t)
	phone.Goto(s.setup)
	phone.WaitFor(`document.querySelector("#verdict").textContent.startsWith("Yes")`, soon)
	if errs := phone.ConsoleErrors(); len(errs) > 0 {
		t.Errorf("the page reported %q", errs)
	}
	phone.Tap("#open-app")
	phone.WaitFor(fmt.Sprintf(`location.href.startsWith(%q) && isSecureContext && !!navigator.serviceWorker.controller`, s.phones), soon)
}

// Shop in the PC's own browser: the link works once, a code is made and shown,
// a paired device is listed, revoked and forgotten, each with a second tap.
func TestShopStation(t *testing.T) {
	s := open(t)
	link := s.link(t)
	desk := s.desk(t)
	if got := chrome.MustEval[string](desk, `location.hash`); got != "" {
		t.Errorf("the key stays in the address: %q", got)
	}
	desk.Tap(".home")
	desk.WaitFor(`document.querySelector(".at-pc")?.getBoundingClientRect().width > 40`, soon)
	desk.Tap(".at-pc")
	desk.WaitFor(`!document.querySelector("#station").hidden && document.querySelector("#qr path") !== null`, soon)
	other := chrome.Start(t, chrome.Options{Width: 1000, Height: 900})
	other.Goto(link)
	other.WaitFor(`!document.querySelector("#stranger").hidden && document.querySelector("#station").hidden`, soon)
	other.Close()

	typed := strings.ToLower(strings.ReplaceAll(code(desk), "-", " "))
	body := fmt.Sprintf(`{"code":%q,"device":"phone-1","name":"<b>bench</b> phone"}`, typed)
	pair := func() (int, string) {
		answer, err := http.Post(s.URL+"api/v1/pair", "application/json", strings.NewReader(body))
		if err != nil {
			t.Fatal(err)
		}
		defer answer.Body.Close()
		got, _ := io.ReadAll(answer.Body)
		return answer.StatusCode, string(got)
	}
	if status, said := pair(); status != 200 {
		t.Fatal(status, said)
	}
	if status, said := pair(); status != 410 {
		t.Errorf("the code a second time: %d %s", status, said)
	}
	desk.WaitFor(`document.querySelector("#devices").textContent.includes("<b>bench</b> phone")`, soon)
	if got := desk.Text("#code"); got != "" {
		t.Errorf("the used code %q is still shown", got)
	}
	for _, step := range []struct{ tap, says string }{
		{"Revoke", "Revoked less than a minute ago"},
		{"Forget", ""},
	} {
		button := `#devices li:last-child button`
		desk.Tap(button)
		desk.WaitFor(fmt.Sprintf(`document.querySelector(%q).textContent.startsWith(%q)`, button, step.tap+" <b>bench</b> phone, paired "), soon)
		desk.Tap(button)
		if step.says == "" {
			desk.WaitFor(`!document.querySelector("#devices").textContent.includes("bench")`, soon)
		} else {
			desk.WaitFor(fmt.Sprintf(`document.querySelector("#devices").textContent.includes(%q)`, step.says), soon)
		}
	}
	// The app, opened on the way, asks whether it is let in without a code.
	if errs := desk.ConsoleErrors("401 (Unauthorized) " + chrome.MustEval[string](desk, "location.origin") + "/api/v1/push"); len(errs) > 0 {
		t.Errorf("the station reported %q", errs)
	}
	if dir := os.Getenv("PORTWRIGHT_SHOTS"); dir != "" {
		code(desk)
		desk.Screenshot(filepath.Join(dir, "shop.png"))
	}
}
