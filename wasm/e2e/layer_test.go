package e2e

import (
	"bytes"
	"encoding/json"
	"fmt"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"portwright/engine/book"
	"portwright/wasm/browser"
	"portwright/wasm/e2e/chrome"
)

// layer is a page that has nothing but package browser on it: effects go in by
// hand, messages come out. Tests of the storage itself use it; tests of what a
// person sees use the app.
type layer struct {
	*chrome.Page
	t   *testing.T
	url string
}

const layerPage = `<!doctype html><html lang="en"><head><meta charset="utf-8"><title>Storage</title><link rel="icon" href="data:,"></head>
<body><button id="b">Button</button><input id="i"><script src="wasm_exec.js"></script><script src="browser.js"></script><script src="start.js"></script></body></html>`

const layerStart = `const go = new Go();
WebAssembly.instantiateStreaming(fetch("app.wasm"), go.importObject).then(r => go.run(r.instance));`

// policy is the app's own, so that nothing here could use what the app can't.
const layerPolicy = "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; connect-src 'self'; img-src data:; base-uri 'none'; form-action 'none'"

// layerFiles builds the page once.
var layerFiles = sync.OnceValues(func() (map[string][]byte, error) {
	dir, err := os.MkdirTemp("", "portwright-layer-")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	wasm := filepath.Join(dir, "app.wasm")
	build := exec.Command("go", "build", "-o", wasm, "portwright/wasm/browser/testpage")
	build.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm")
	if out, err := build.CombinedOutput(); err != nil {
		return nil, fmt.Errorf("%w: %s", err, out)
	}
	root, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		return nil, err
	}
	files := map[string][]byte{"/": []byte(layerPage), "/start.js": []byte(layerStart), "/browser.js": []byte(browser.Script)}
	for path, from := range map[string]string{
		"/app.wasm":     wasm,
		"/wasm_exec.js": filepath.Join(string(bytes.TrimSpace(root)), "lib", "wasm", "wasm_exec.js"),
	} {
		if files[path], err = os.ReadFile(from); err != nil {
			return nil, err
		}
	}
	return files, nil
})

func layerServer(t *testing.T) string {
	t.Helper()
	files, err := layerFiles()
	if err != nil {
		t.Fatalf("the storage page does not build: %v", err)
	}
	types := map[string]string{".js": "text/javascript", ".wasm": "application/wasm"}
	srv := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		data, ok := files[r.URL.Path]
		if !ok {
			http.NotFound(w, r)
			return
		}
		kind := types[filepath.Ext(r.URL.Path)]
		if kind == "" {
			kind = "text/html; charset=utf-8"
		}
		w.Header().Set("Content-Type", kind)
		w.Header().Set("Content-Security-Policy", layerPolicy)
		w.Write(data)
	}))
	t.Cleanup(srv.Close)
	return srv.URL
}

// openLayer starts a browser on the storage page; before runs ahead of the
// page's own scripts.
func openLayer(t *testing.T, before string) (*layer, *chrome.Browser) {
	t.Helper()
	url := layerServer(t)
	b := chrome.Start(t, chrome.Options{Width: 360, Height: 640, Mobile: true})
	l := &layer{Page: b.Page, t: t, url: url}
	l.start(before)
	return l, b
}

func (l *layer) start(before string) {
	l.t.Helper()
	if before != "" {
		l.Before(before)
	}
	l.Goto(l.url)
	l.WaitFor(`window.storage`, 20*time.Second)
}

// run carries out an effect and returns the next message of the given type.
func run[M any](l *layer, effect string, body any, answer string) M {
	l.t.Helper()
	from := chrome.MustEval[int](l, `said.length`)
	l.send(effect, body)
	return next[M](l, answer, from)
}

func (l *layer) send(effect string, body any) {
	l.t.Helper()
	var raw bytes.Buffer
	enc := json.NewEncoder(&raw)
	enc.SetEscapeHTML(false) // a body goes in byte for byte
	if err := enc.Encode(body); err != nil {
		l.t.Fatal(err)
	}
	l.Do(fmt.Sprintf("storage.run(%q, %s)", effect, jsText(raw.String())))
}

// next waits for the first message of a type at or after a place.
func next[M any](l *layer, answer string, from int) M {
	l.t.Helper()
	find := fmt.Sprintf("said.slice(%d).find(m => m.type === %q)", from, answer)
	l.WaitFor(find, 30*time.Second)
	return chrome.MustEval[M](l, find)
}

func (l *layer) clean(except ...string) {
	l.t.Helper()
	if errs := l.ConsoleErrors(except...); len(errs) > 0 {
		l.t.Errorf("the page complains: %s", strings.Join(errs, "\n"))
	}
}

func jsText(s string) string {
	raw, _ := json.Marshal(s)
	return string(raw)
}

// Answers, as far as the tests look at them.
type (
	keptMsg struct {
		Token   string
		Entries []book.Entry
	}
	notKeptMsg struct {
		Token, Name, Err string
		Items            []book.Item
	}
	bookMsg struct {
		Device    string
		Cards     []book.Card
		Settings  map[string]any
		Recovered int
		Err       string
		Storage   struct {
			Entries int `json:"entries"`
		}
	}
	buildMsg struct {
		Entries []book.Entry
		Draft   any
		Err     string
	}
	mergedMsg struct {
		New, Known, Differ int
		Err                string
	}
)

type appendBody struct {
	Token string
	Items []book.Item
	Card  *book.Card
}

const buildA, buildB = "0190aaaa-0000-7000-8000-00000000000a", "0190aaaa-0000-7000-8000-00000000000b"

// reading is one reading's worth of items.
func reading(build, value string) []book.Item {
	return []book.Item{{Build: build, Kind: book.KindReading, Body: json.RawMessage(`{"pass":"p","window":"w","event":"opens","value":` + value + `}`)}}
}

// stored is the whole database as it lies on the disk.
type stored struct {
	Keys   [][]any `json:"keys"`
	Values []struct {
		Entry string `json:"entry"`
		Build string `json:"build"`
		ID    string `json:"id"`
	} `json:"values"`
	Head *struct {
		Device  string  `json:"device"`
		Seq     float64 `json:"seq"`
		Entries float64 `json:"entries"`
	} `json:"head"`
	Cards   []string `json:"cards"`
	Drafts  []string `json:"drafts"`
	Unsaved *string  `json:"unsaved"`
}

const readStored = `(async () => {
  const db = await new Promise((ok, no) => { const r = indexedDB.open("portwright"); r.onsuccess = () => ok(r.result); r.onerror = () => no(r.error); });
  const t = db.transaction(["entries", "meta", "cards", "drafts"]);
  const get = r => new Promise((ok, no) => { r.onsuccess = () => ok(r.result ?? null); r.onerror = () => no(r.error); });
  const [keys, values, head, cards, drafts] = await Promise.all([get(t.objectStore("entries").getAllKeys()), get(t.objectStore("entries").getAll()),
    get(t.objectStore("meta").get("head")), get(t.objectStore("cards").getAll()), get(t.objectStore("drafts").getAll())]);
  db.close();
  return {keys, values, head, cards, drafts, unsaved: localStorage.getItem("portwright-unsaved")};
})()`

// whole reads the database and ends the test unless it agrees with itself:
// every device's sequence runs 1, 2, 3 ... without a gap, keys and values name
// the same entry, IDs are unique, the clock never runs backwards, and the head
// and the cards count what is there.
func whole(t *testing.T, on chrome.Tab) (stored, []book.Entry) {
	t.Helper()
	s := chrome.MustEval[stored](on, readStored)
	var entries []book.Entry
	ids, last, perBuild := map[string]bool{}, map[string]book.Entry{}, map[string]int{}
	for i, v := range s.Values {
		e, err := book.ParseEntry([]byte(v.Entry))
		if err != nil {
			t.Fatalf("stored entry %d: %v", i, err)
		}
		if e.Device != s.Keys[i][0] || float64(e.Seq) != s.Keys[i][1] || e.ID != v.ID || e.Build != v.Build {
			t.Errorf("entry %v lies under key %v, id %s, build %s", e, s.Keys[i], v.ID, v.Build)
		}
		if fork := len(s.Keys[i]) == 3 && s.Keys[i][2] == e.ID; fork {
			if e.Seq != last[e.Device].Seq {
				t.Errorf("device %s: fork %d follows %d", e.Device, e.Seq, last[e.Device].Seq)
			}
		} else if before := last[e.Device]; e.Seq != before.Seq+1 {
			t.Errorf("device %s: sequence %d follows %d", e.Device, e.Seq, before.Seq)
		} else if e.Clock.MS < before.Clock.MS || e.Clock.MS == before.Clock.MS && e.Clock.Ctr <= before.Clock.Ctr && before.Seq > 0 {
			t.Errorf("device %s: clock %v at %d follows %v", e.Device, e.Clock, e.Seq, before.Clock)
		}
		if ids[e.ID] {
			t.Errorf("id %s is stored twice", e.ID)
		}
		ids[e.ID], last[e.Device] = true, e
		perBuild[e.Build]++
		entries = append(entries, e)
	}
	if s.Head == nil {
		t.Fatal("there is no head")
	}
	if int(s.Head.Entries) != len(entries) || uint64(s.Head.Seq) != last[s.Head.Device].Seq {
		t.Errorf("the head says %+v; there are %d entries, the device's last is %d", *s.Head, len(entries), last[s.Head.Device].Seq)
	}
	for _, c := range s.Cards {
		var card book.Card
		if err := json.Unmarshal([]byte(c), &card); err != nil {
			t.Fatalf("card %s: %v", c, err)
		}
		if card.Entries != perBuild[card.Build] {
			t.Errorf("the card of %s counts %d entries; there are %d", card.Build, card.Entries, perBuild[card.Build])
		}
	}
	return s, entries
}
