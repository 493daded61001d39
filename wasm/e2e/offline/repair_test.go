package offline

import (
	"bytes"
	"encoding/json"
	"fmt"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"portwright/engine/book"
	"portwright/wasm/e2e/chrome"
)

// someEntries makes entries of two devices as the app writes them, more than
// the repair page reads at a time.
func someEntries(t *testing.T, n int) (entries []book.Entry, texts []string) {
	t.Helper()
	for i := range n {
		device := []string{"0198f0a0-0000-7000-8000-00000000000a", "0198f0a0-0000-7000-8000-00000000000b"}[i%2]
		e := book.Entry{
			ID: fmt.Sprintf("0198f0a0-1111-7000-8000-%012x", i), Device: device, Seq: uint64(i/2 + 1),
			Clock: book.Clock{MS: 1_790_000_000_000 + int64(i), Ctr: uint32(i % 3)},
			Build: "0198f0a0-2222-7000-8000-000000000001", Kind: book.KindSet,
			Body: json.RawMessage(fmt.Sprintf(`{"path":"note","value":"Überströmer %d \u2028 <ok> 😀"}`, i)),
		}
		text, err := json.Marshal(e)
		if err != nil {
			t.Fatal(err)
		}
		entries, texts = append(entries, e), append(texts, string(text))
	}
	return entries, texts
}

// keep writes entries into the database in the layout that package browser
// describes, and damaged ones beside them.
func keep(t *testing.T, p *chrome.Page, texts []string) {
	t.Helper()
	list, err := json.Marshal(texts)
	if err != nil {
		t.Fatal(err)
	}
	p.Do(fmt.Sprintf(`new Promise((ok, no) => {
		const texts = %s;
		const open = indexedDB.open("portwright", 1);
		open.onupgradeneeded = () => {
			const entries = open.result.createObjectStore("entries");
			entries.createIndex("build", "build");
			entries.createIndex("id", "id", { unique: true });
			for (const name of ["meta", "cards", "drafts"]) open.result.createObjectStore(name);
		};
		open.onerror = () => no(open.error);
		open.onsuccess = () => {
			const tx = open.result.transaction(["entries", "cards"], "readwrite");
			for (const text of texts) {
				const e = JSON.parse(text);
				tx.objectStore("entries").put({ entry: text, build: e.build, id: e.id }, [e.device, e.seq]);
			}
			tx.objectStore("cards").put("{}", "0198f0a0-2222-7000-8000-000000000001");
			tx.oncomplete = () => { open.result.close(); ok(); };
			tx.onabort = () => no(tx.error);
		};
	})`, list))
}

// saved waits for the one file that the browser saved.
func saved(t *testing.T, dir string) (name string, data []byte) {
	t.Helper()
	for range 100 {
		list, err := filepath.Glob(filepath.Join(dir, "portwright-*"))
		if err != nil {
			t.Fatal(err)
		}
		for _, name := range list {
			data, err := os.ReadFile(name)
			if err == nil && len(data) > 0 && !strings.HasSuffix(name, ".crdownload") {
				return filepath.Base(name), data
			}
		}
		time.Sleep(50 * time.Millisecond)
	}
	t.Fatal("no file was saved")
	return "", nil
}

func brokenApp(v version) fault {
	return func(w http.ResponseWriter, r *http.Request) bool {
		if r.URL.Path != v.path("app.code") {
			return false
		}
		w.Header().Set("Content-Type", "application/wasm")
		_, _ = w.Write([]byte("\x00asm\x01\x00\x00\x00 and then nonsense"))
		return true
	}
}

func TestBookIsSavedWithoutTheApp(t *testing.T) {
	a := packed(t, "stub", "a")
	s := newSite(t, a)
	s.harm(brokenApp(a))
	b := phone(t)
	b.Goto(s.URL + "repair")
	onRepair(b.Page)
	b.WaitFor(`document.querySelector("#readings").textContent === "There is no book in this browser at this address." && document.querySelector("#save").disabled`, soon)
	if got := chrome.MustEval[int](b, `indexedDB.databases().then(d => d.length)`); got != 0 {
		t.Errorf("looking for the book made a database, which would hide it from the app")
	}

	want, texts := someEntries(t, 2345)
	keep(t, b.Page, texts)
	b.Goto(s.URL)
	onRepair(b.Page)
	b.WaitFor(`document.querySelector("#readings").textContent === "1 build, 2345 entries in this browser."`, soon)
	dir := t.TempDir()
	b.Downloads(dir)
	s.down()
	b.Tap("#save")
	b.WaitFor(`document.querySelector("#saved").textContent.startsWith("2345 entries written to portwright-20")`, soon)
	name, data := saved(t, dir)
	if !strings.HasSuffix(name, ".book") {
		t.Errorf("the file is called %s", name)
	}
	got, warning, err := book.DecodeBook(bytes.NewReader(data))
	if err != nil || warning != "" {
		t.Fatalf("the file reads with %v, warning %q", err, warning)
	}
	if len(got) != len(want) {
		t.Fatalf("%d entries in the file, want %d", len(got), len(want))
	}
	byID := map[string]book.Entry{}
	for _, e := range got {
		byID[e.ID] = e
	}
	for _, e := range want {
		g := byID[e.ID]
		if g.Device != e.Device || g.Seq != e.Seq || g.Clock != e.Clock || g.Build != e.Build || g.Kind != e.Kind || string(g.Body) != string(compact(t, e.Body)) {
			t.Fatalf("entry %s is %+v in the file, want %+v", e.ID, g, e)
		}
	}
}

// compact is the body as encoding/json writes it inside an entry.
func compact(t *testing.T, body json.RawMessage) []byte {
	t.Helper()
	out, err := json.Marshal(body)
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// One value that can't be read costs itself and is said, no other is lost.
func TestDamagedEntryIsSaid(t *testing.T) {
	a := packed(t, "stub", "a")
	s := newSite(t, a)
	b := phone(t)
	b.Goto(s.URL + "repair")
	_, texts := someEntries(t, 20)
	keep(t, b.Page, texts)
	b.Do(`new Promise((ok, no) => {
		const open = indexedDB.open("portwright", 1);
		open.onsuccess = () => {
			const tx = open.result.transaction("entries", "readwrite");
			tx.objectStore("entries").put({ entry: "{\"id\":", build: "b", id: "half" }, ["z", 1]);
			tx.objectStore("entries").put("no object", ["z", 2]);
			tx.oncomplete = () => { open.result.close(); ok(); };
		};
		open.onerror = no;
	})`)
	b.Reload()
	dir := t.TempDir()
	b.Downloads(dir)
	b.WaitFor(`!document.querySelector("#save").disabled`, soon)
	b.Tap("#save")
	b.WaitFor(`document.querySelector("#saved").textContent.includes("2 entries can't be read and are not in it")`, soon)
	_, data := saved(t, dir)
	got, warning, err := book.DecodeBook(bytes.NewReader(data))
	if err != nil || warning != "" || len(got) != 20 {
		t.Errorf("%d entries, warning %q, %v; want the 20 whole ones", len(got), warning, err)
	}
}

// What the database would not take waits in localStorage; it goes to a file too.
func TestWhatWasNotKeptIsSaved(t *testing.T) {
	a := packed(t, "stub", "a")
	s := newSite(t, a)
	b := phone(t)
	b.Goto(s.URL + "repair")
	onRepair(b.Page)
	if !chrome.MustEval[bool](b, `document.querySelector("#unsaved").hidden`) {
		t.Error("a button for what was not kept, with nothing there")
	}
	b.Do(`localStorage.setItem("portwright-unsaved", '[{"id":"i","body":{"value":104.5}}]')`)
	b.Reload()
	dir := t.TempDir()
	b.Downloads(dir)
	b.Tap("#unsaved")
	name, data := saved(t, dir)
	if !strings.HasPrefix(name, "portwright-not-kept-") || !strings.Contains(string(data), "104.5") {
		t.Errorf("%s holds %s", name, data)
	}
}

func TestFetchAnew(t *testing.T) {
	a, next := packed(t, "stub", "a"), packed(t, "stub", "b")
	s := newSite(t, a)
	b := phone(t)
	installed(s, b.Page, a)
	_, texts := someEntries(t, 3)
	keep(t, b.Page, texts)
	b.Do(`caches.open("someone-elses").then(c => c.put("/x", new Response("x")))`)

	b.Goto(s.URL + "repair")
	s.down()
	b.Tap("#anew")
	b.WaitFor(`document.querySelector("#said").textContent.includes("nothing was removed")`, soon)
	b.Tap("#open")
	showsBuild(b.Page, a) // it was not taken away

	s.up()
	s.update(next)
	b.Goto(s.URL + "repair")
	b.Tap("#anew")
	showsBuild(b.Page, next)
	b.WaitFor(`document.querySelector("#offline").textContent === "yes"`, soon)
	if n := chrome.MustEval[int](b, countEntries); n != 3 {
		t.Errorf("the database holds %d entries, want 3", n)
	}
	for _, name := range []string{"portwright-" + a.id} {
		if chrome.MustEval[bool](b, fmt.Sprintf(`caches.has(%q)`, name)) {
			t.Errorf("%s is still kept", name)
		}
	}
	if !chrome.MustEval[bool](b, `caches.has("someone-elses")`) {
		t.Error("a cache that is not the app's was removed")
	}
}
