package trust

import (
	"crypto/ecdsa"
	"crypto/x509"
	"encoding/pem"
	"fmt"
	"net"
	"net/netip"
	"os"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"portwright/server/authority"
	"portwright/wasm/e2e/chrome"
	"portwright/wasm/e2e/drive"
	"portwright/wasm/e2e/served"
)

// keepOne begins a first look and keeps one reading.
func keepOne(p *chrome.Browser, number string) {
	p.Tap("#first-look")
	p.WaitFor(`document.querySelector(".pad")`, soon)
	p.TypeKeys(number)
	p.Press("Enter")
	p.WaitFor(`document.querySelector(".chip")`, soon)
}

// pairWith types a code where the app asks for it.
func pairWith(phone *chrome.Browser, typed string) {
	if phone.Count("#pair-code") == 0 {
		phone.Tap("#pair-open")
	}
	phone.Tap("#pair-code")
	phone.Press("Control+a")
	phone.TypeKeys(typed)
	phone.Tap("#pair-now")
}

// moreThan is true at the desk once the shop PC keeps more than n entries.
func moreThan(n int) string {
	return fmt.Sprintf(`parseInt(/(\d+) entr(y|ies) (is|are) kept/.exec(document.querySelector("#backup").textContent)[1], 10) > %d`, n)
}

// entries that the shop PC keeps, as Shop tells them.
func entries(desk *chrome.Browser) int {
	return chrome.MustEval[int](desk, `parseInt(/(\d+) entr(y|ies) (is|are) kept/.exec(document.querySelector("#backup").textContent)[1], 10)`)
}

// The whole way: a fresh phone that trusts the PC opens the app from the set-up
// page, keeps a reading, tries wrong codes until the code is void, mistypes the
// next, is let in and syncs; its code lets no other in; it keeps readings while
// the PC is away, syncs those when it is back, is revoked and then refused.
func TestPhoneComesInAndGoes(t *testing.T) {
	certutil, ok := drive.Found(envCertutil, "certutil")
	if !ok {
		return
	}
	s := open(t)
	trustInHome(t, certutil, s.root(t))
	phone := s.phone(t)
	phone.Goto(s.setup)
	phone.WaitFor(`document.querySelector("#verdict").textContent.startsWith("Yes")`, soon)
	phone.Tap("#open-app")
	phone.WaitFor(`document.querySelector("#first-look") && !!navigator.serviceWorker.controller`, soon)
	phone.WaitFor(`document.querySelector("#pair-open")`, soon)
	if wide := chrome.MustEval[float64](phone, `document.querySelector(".at-pc").getBoundingClientRect().width`); wide > 0 {
		t.Error("a phone is led to Shop, which is on the PC alone")
	}
	desk := s.desk(t)
	if n := entries(desk); n != 0 {
		t.Fatalf("%d entries before anything was kept", n)
	}
	keepOne(phone, "84")
	phone.Tap(".home")
	phone.WaitFor(`document.querySelector("#pair-open")`, soon)
	if n := entries(desk); n != 0 {
		t.Errorf("an unpaired phone gave %d entries", n)
	}

	void := code(desk)
	for left := range 5 {
		pairWith(phone, "0000 0000")
		phone.WaitFor(fmt.Sprintf(`document.querySelector(".pair .fault")?.textContent.includes(%q)`, []string{"4 more tries", "3 more tries", "2 more tries", "1 more try.", "no tries left: make a new code"}[left]), soon)
	}
	pairWith(phone, void)
	phone.WaitFor(`document.querySelector(".pair .fault")?.textContent.includes("No code is in force")`, soon)
	desk.WaitFor(`document.querySelector("#code").textContent === ""`, soon)

	right := code(desk)
	pair := func(typed string) { pairWith(phone, typed) }
	pair("0000 0000")
	phone.WaitFor(`document.querySelector(".pair .fault")?.textContent.includes("4 more tries")`, soon)
	pair(right[:6])
	phone.WaitFor(`document.querySelector(".pair .fault")?.textContent.includes("has 5 characters")`, soon)
	phone.Tap("#pair-name")
	phone.TypeKeys("bench phone")
	pair(strings.ToLower(strings.ReplaceAll(right, "-", " ")))
	phone.WaitFor(`!document.querySelector("#pair-code")`, soon)
	desk.WaitFor(`document.querySelector("#devices").textContent.includes("bench phone")`, soon)
	desk.WaitFor(moreThan(0), soon)
	first := entries(desk)
	other := s.phone(t) // the same code again
	other.Goto(s.phones)
	other.WaitFor(`document.querySelector("#pair-open")`, soon)
	pairWith(other, right)
	other.WaitFor(`document.querySelector(".pair .fault")?.textContent.includes("No code is in force")`, soon)
	other.Close()

	s.Stop()
	keepOne(phone, "86")
	phone.Reload() // without the server
	phone.WaitFor(`document.querySelector(".chip")`, soon)
	s.Start()
	phone.Tap(".home")
	desk.WaitFor(moreThan(first), 90*time.Second)

	button := `#devices li:last-child button`
	desk.Tap(button)
	desk.WaitFor(fmt.Sprintf(`document.querySelector(%q).textContent.endsWith("for good")`, button), soon)
	desk.Tap(button)
	desk.WaitFor(`document.querySelector("#devices").textContent.includes("Revoked")`, soon)
	kept := entries(desk)
	keepOne(phone, "88")
	phone.Tap(".home")
	phone.WaitFor(`document.querySelector("#pair-open")`, 90*time.Second)
	phone.Tap("#pair-open")
	phone.WaitFor(`document.querySelector(".pair")?.textContent.includes("took this device off its list")`, soon)
	if n := entries(desk); n != kept {
		t.Errorf("a revoked phone gave entries: %d, then %d", kept, n)
	}
}

// write writes a certificate with its chain and its key as files for the server.
func write(t *testing.T, chain [][]byte, key *ecdsa.PrivateKey) (file string) {
	t.Helper()
	der, err := x509.MarshalPKCS8PrivateKey(key)
	if err != nil {
		t.Fatal(err)
	}
	out := pem.EncodeToMemory(&pem.Block{Type: "PRIVATE KEY", Bytes: der})
	for _, c := range chain {
		out = append(out, pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: c})...)
	}
	file = filepath.Join(t.TempDir(), "own.pem")
	if err := os.WriteFile(file, out, 0o600); err != nil {
		t.Fatal(err)
	}
	return file
}

// A phone whose shop PC is not at its old address any more finds it at another
// that the PC has told it of, here with a certificate of the person's own.
func TestAnotherAddress(t *testing.T) {
	certutil, ok := drive.Found(envCertutil, "certutil")
	if !ok {
		return
	}
	dir := t.TempDir()
	own, _, err := authority.Open(dir, "SHOP-PC", time.Now())
	if err != nil {
		t.Fatal(err)
	}
	server, err := own.Server(dir, authority.Options{Addrs: func() ([]netip.Addr, error) { return nil, nil }})
	if err != nil {
		t.Fatal(err)
	}
	kept, err := server.Certificate(nil)
	if err != nil {
		t.Fatal(err)
	}
	cert := signed(t, own, kept.Certificate[1], []string{"old.local", "new.local"})
	file, port := write(t, cert.Certificate, cert.PrivateKey.(*ecdsa.PrivateKey)), freePort(t)
	s := &shopPC{Server: served.App(t, "-alone=false", "-phones", "127.0.0.1:"+port, "-cert", file, "-key", file)}
	var moved atomic.Bool
	s.proxy = newProxy(t, func(hostport string) (string, bool) {
		host, port, err := net.SplitHostPort(hostport)
		return "127.0.0.1:" + port, err == nil && (host == "old.local" && !moved.Load() || host == "new.local" && moved.Load())
	})
	trustInHome(t, certutil, own.Root())
	desk := s.desk(t)
	phone := s.phone(t)
	phone.Goto("https://old.local:" + port + "/")
	phone.WaitFor(`document.querySelector("#pair-open") && !!navigator.serviceWorker.controller`, soon)
	pairWith(phone, code(desk))
	phone.WaitFor(`!document.querySelector("#pair-code")`, soon)
	keepOne(phone, "84")
	desk.WaitFor(moreThan(0), soon)
	first := entries(desk)

	moved.Store(true)
	phone.Reload() // from what the phone keeps
	phone.WaitFor(`document.querySelector(".chip")`, soon)
	phone.Tap(".home")
	keepOne(phone, "86")
	desk.WaitFor(moreThan(first), 90*time.Second)
	if got := chrome.MustEval[string](phone, `location.host`); got != "old.local:"+port {
		t.Errorf("the app moved to %s, away from what it keeps", got)
	}
}
