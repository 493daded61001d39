package access

import (
	"bytes"
	"encoding/json"
	"fmt"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"portwright/engine/book"
	"portwright/wasm/e2e/chrome"
	"portwright/wasm/e2e/served"
)

// What comes up over the stations: a version that waits, a value that could not
// be kept, two devices' values for one number; and the page before the app.
func TestBannersAreAccessible(t *testing.T) {
	t.Parallel()
	app := served.App(t)
	l := start(t)
	l.Goto(app.URL)
	l.at("book")
	l.Tap("#first-look")
	l.shows("#question")
	l.type_("10") // a version takes over by itself where nothing is half typed
	l.Do(`portwright.onUpdateWaiting("another")`)
	l.shows(".update-bar[data-shown]")
	l.look("bench, version waiting")
	l.Tap(".strip .place")
	l.WaitFor(`document.querySelector(".update-bar").offsetHeight > 44`, soon)
	l.look("list, version waiting")
	l.Tap(".strip .home")
	l.at("book")
	l.Tap("#whole-build")
	l.at("engine")
	build := strings.Split(chrome.MustEval[string](l, "location.hash"), "/")[1]
	l.Do(`location.hash += "/engine.stroke_mm"`)
	l.shows("#field")
	l.TypeKeys("32\n")
	l.WaitFor(`document.querySelector("#field-title").textContent === "rod length"`, soon)
	l.Do(`location.hash = ""`)
	l.at("book")
	l.Chooses(other(t, build))
	l.Tap("#take-in")
	l.shows(".incoming")
	l.Do(`location.hash = "b/` + build + `/engine"`)
	l.shows(".conflict")
	l.look("conflict")
	l.Do(`IDBObjectStore.prototype.add = IDBObjectStore.prototype.put = () => { throw new DOMException("no room", "QuotaExceededError"); }`)
	l.Do(`location.hash += "/engine.rod_mm"`)
	l.shows("#field")
	l.TypeKeys("58\n")
	l.shows(".not-saved .box")
	l.look("not saved")

	locked := start(t)
	locked.Before(`IDBFactory.prototype.open = () => { throw new DOMException("denied", "SecurityError"); }`)
	locked.Goto(app.URL)
	locked.at("book")
	locked.shows("[role=alert].alert:not(:empty)")
	locked.look("book that can't be opened")

	stopped := start(t)
	stopped.Before(`Object.defineProperty(window, "portwrightRender", {get: () => ({version: 0}), set() {}})`)
	stopped.Goto(app.URL)
	stopped.shows("#crashed")
	stopped.look("app that has stopped")

	fresh := start(t)
	fresh.Before(`WebAssembly.compile = WebAssembly.instantiate = WebAssembly.compileStreaming = WebAssembly.instantiateStreaming = () => new Promise(() => {})`)
	fresh.Goto(app.URL)
	fresh.WaitFor(`document.querySelector("#opening h1").getBoundingClientRect().height > 20`, soon)
	fresh.look("opening")
}

// other is a book file in which another device gave the build another stroke.
func other(t *testing.T, build string) string {
	t.Helper()
	body := json.RawMessage(`{"path":"engine.stroke_mm","value":32.5}`)
	entry := book.Entry{ID: "0190cccc-0000-7000-8000-000000000001", Device: "0190cccc-0000-7000-8000-000000000002", Seq: 1,
		Clock: book.Clock{MS: time.Now().UnixMilli()}, Build: build, Kind: book.KindSet, Body: body}
	var out bytes.Buffer
	if err := book.EncodeBook(&out, []book.Entry{entry}); err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "other.book")
	if err := os.WriteFile(file, out.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	return file
}

// The repair page, Shop and the set-up page, and pairing at the book.
func TestPagesBesideTheAppAreAccessible(t *testing.T) {
	t.Parallel()
	phones, setup := freePort(t), freePort(t)
	app := served.App(t, "-alone=false", "-phones", "127.0.0.1:"+phones, "-setup", "127.0.0.1:"+setup)
	l := start(t)
	l.Goto(app.URL)
	l.at("book")
	l.shows("#pair-open")
	l.Tap("#pair-open")
	l.shows("#pair-code")
	l.look("pair")
	l.Tap("#pair-code")
	l.TypeKeys("0000")
	l.Tap("#pair-now")
	l.shows(".pair .fault")
	l.look("pair refused")

	l.Goto(app.URL + "repair")
	l.WaitFor(`document.querySelector("#readings").textContent.includes("entries")`, soon)
	l.look("repair")
	l.Tap("#check")
	l.WaitFor(`document.querySelector("#said").textContent !== ""`, soon)
	l.look("repair, checked")
	l.Goto(app.URL + "shop")
	l.WaitFor(`!document.querySelector("#stranger").hidden`, soon)
	l.look("shop without its link")
	var link []byte
	for until := time.Now().Add(soon); ; time.Sleep(20 * time.Millisecond) {
		var err error
		if link, err = os.ReadFile(filepath.Join(app.Data(), "shop-link")); err == nil {
			break
		}
		if time.Now().After(until) {
			t.Fatal(err)
		}
	}
	l.Goto(strings.TrimSpace(string(link)))
	l.WaitFor(`!document.querySelector("#station").hidden`, soon)
	l.Tap("#new-code")
	l.WaitFor(`document.querySelector("#code").textContent.length === 9`, soon)
	l.look("shop")
	typed, err := json.Marshal(map[string]string{"code": l.Text("#code"), "device": "phone-1", "name": "bench phone"})
	if err != nil {
		t.Fatal(err)
	}
	answer, err := http.Post(app.URL+"api/v1/pair", "application/json", bytes.NewReader(typed))
	if err != nil {
		t.Fatal(err)
	}
	answer.Body.Close()
	l.WaitFor(`document.querySelector("#devices").textContent.includes("bench phone")`, soon)
	l.look("shop with a device")
	l.Tap(`#devices li:last-child button`)
	l.WaitFor(`document.querySelector("#devices li:last-child button").textContent.endsWith("for good")`, soon)
	l.look("shop, revoking")
	l.Goto("http://localhost:" + setup + "/")
	l.WaitFor(`document.querySelector("#verdict").textContent !== ""`, soon)
	l.look("set-up page")
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
