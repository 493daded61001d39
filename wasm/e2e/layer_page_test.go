package e2e

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"portwright/wasm/e2e/bigbook"
	"portwright/wasm/e2e/chrome"
)

func keysSaid(l *layer) string {
	return chrome.MustEval[string](l, `said.filter(m => m.type === "Key").map(m => m.Key).join(" ")`)
}

func TestKeysGoToTheAppUnlessAFieldWantsThem(t *testing.T) {
	l, _ := openLayer(t, `window.clicks = 0; addEventListener("click", () => clicks++);`)
	for _, k := range []string{"1", "Numpad7", "NumpadDecimal", "NumpadEnter", "Backspace", "ArrowLeft", "Control+a", "Alt+ArrowLeft", "x", "Shift+Tab"} {
		l.Press(k)
	}
	want := "1 7 . Enter Backspace ArrowLeft"
	if got := keysSaid(l); got != want {
		t.Errorf("keys %q, want %q", got, want)
	}
	l.Tap("#i") // a field has them to itself
	l.TypeKeys("12")
	l.Press("Enter")
	if got := keysSaid(l); got != want {
		t.Errorf("keys in a field went to the app: %q", got)
	}
	// A button that was tapped keeps the focus; Enter still means Keep.
	l.Tap("#b")
	clicks := chrome.MustEval[int](l, "clicks")
	l.Press("5")
	l.Press("Enter")
	want += " 5 Enter"
	if got := keysSaid(l); got != want {
		t.Errorf("keys after a tap %q, want %q", got, want)
	}
	// One that was reached with the keyboard is worked by Enter.
	l.Press("Tab")
	l.Press("Shift+Tab")
	l.Press("Enter")
	if got := keysSaid(l); got != want {
		t.Errorf("Enter on a button went to the app: %q", got)
	}
	l.WaitFor(fmt.Sprintf("clicks > %d", clicks), 2*time.Second)
	l.clean()
}

func TestAddressIsAnswered(t *testing.T) {
	l, _ := openLayer(t, "")
	type navigated struct{ Hash string }
	for _, hash := range []string{"b/x/bench", "b/x/bench", ""} { // the second is no change
		if got := run[navigated](l, "GoTo", map[string]any{"Hash": hash}, "Navigated"); got.Hash != hash {
			t.Errorf("went to %q, want %q", got.Hash, hash)
		}
	}
	from := chrome.MustEval[int](l, "said.length")
	l.Do("history.back()")
	if got := next[navigated](l, "Navigated", from); got.Hash != "b/x/bench" {
		t.Errorf("back led to %q", got.Hash)
	}
	l.send("Appear", map[string]any{"Theme": "shed", "Hand": "left"})
	if got := chrome.MustEval[string](l, `Object.entries(document.documentElement.dataset).sort().join(" ")`); got != "hand,left theme,shed" {
		t.Errorf("the page appears as %s", got)
	}
	l.send("Appear", map[string]any{"Theme": "", "Hand": ""})
	if got := chrome.MustEval[int](l, `Object.keys(document.documentElement.dataset).length`); got != 0 {
		t.Errorf("%d attributes stay", got)
	}
	l.clean()
}

func TestScreenStaysAwakeWhileWanted(t *testing.T) {
	l, _ := openLayer(t, `window.locks = []; navigator.wakeLock.request = async () => {
	  const lock = {released: false, release() { lock.released = true; }}; locks.push(lock); return lock; };
	  window.hide = how => { Object.defineProperty(document, "visibilityState", {value: how, configurable: true}); document.dispatchEvent(new Event("visibilitychange")); };`)
	held := func(want int, what string) {
		t.Helper()
		if err := l.Wait(fmt.Sprintf("locks.filter(l => !l.released).length === %d", want), 2*time.Second); err != nil {
			t.Errorf("%s: want %d locks: %v", what, want, err)
		}
	}
	l.send("Awake", map[string]any{"On": true})
	held(1, "asked")
	l.send("Awake", map[string]any{"On": true})
	held(1, "asked twice")
	l.Do(`locks[0].released = true; hide("hidden")`) // a hidden page loses it
	held(0, "hidden")
	l.Do(`hide("visible")`)
	held(1, "shown again")
	l.send("Awake", map[string]any{"On": false})
	held(0, "given up")
	l.Do(`hide("hidden"); hide("visible")`)
	held(0, "not wanted any more")
	if got := chrome.MustEval[string](l, `said.filter(m => m.type === "Visible").map(m => m.Shown).join(" ")`); got != "false true false true" {
		t.Errorf("visible: %s", got)
	}
	l.clean()
}

func TestFilesArePickedUpTo32MB(t *testing.T) {
	l, _ := openLayer(t, `window.pick = (bytes, name) => new Promise(ok => {
	  HTMLInputElement.prototype.click = function () {
	    if (bytes < 0) return ok(this.dispatchEvent(new Event("cancel")));
	    const list = new DataTransfer(); list.items.add(new File([new Uint8Array(bytes).fill(65)], name)); this.files = list.files;
	    ok(this.dispatchEvent(new Event("change")));
	  };
	  storage.run("PickFile", "{}"); });`)
	pick := func(bytes int) (name, err string, size int) {
		t.Helper()
		from := chrome.MustEval[int](l, "said.length")
		l.Do(fmt.Sprintf(`pick(%d, "a.book")`, bytes))
		l.WaitFor(fmt.Sprintf(`said.length > %d`, from), 20*time.Second)
		name = chrome.MustEval[string](l, "said.at(-1).Name")
		err = chrome.MustEval[string](l, "said.at(-1).Err")
		size = chrome.MustEval[int](l, "said.at(-1).Data === null ? -1 : atob(said.at(-1).Data).length")
		return name, err, size
	}
	if name, err, size := pick(3000); name != "a.book" || err != "" || size != 3000 {
		t.Errorf("picked %s, %q, %d bytes", name, err, size)
	}
	if _, err, size := pick(32<<20 + 1); !strings.Contains(err, "32 MB") || size != -1 {
		t.Errorf("a file too large: %q, %d bytes", err, size)
	}
	if name, err, size := pick(-1); name != "" || err != "" || size != -1 {
		t.Errorf("given up: %s, %q, %d bytes", name, err, size)
	}
	if n := l.Count("input"); n != 1 {
		t.Errorf("%d fields are left in the page, want the page's own", n)
	}
}

func TestFilesAreSharedOnAPhoneAndSavedElsewhere(t *testing.T) {
	l, _ := openLayer(t, `window.shared = []; window.refuse = null;
	  navigator.canShare = what => what.files.length === 1;
	  navigator.share = async what => { if (refuse) throw new DOMException("", refuse); shared.push(what.files[0].name + " " + what.files[0].type + " " + await what.files[0].text()); };`)
	dir := t.TempDir()
	l.Downloads(dir)
	file := map[string]any{"Name": "a.csv", "MIME": "text/csv", "Data": []byte("1,2")}
	l.send("SaveFile", file)
	l.WaitFor(`shared[0] === "a.csv text/csv 1,2"`, 2*time.Second)
	l.Do(`refuse = "AbortError"`) // the person closed the share sheet
	l.send("SaveFile", file)
	l.Do(`new Promise(ok => setTimeout(ok, 300))`)
	if names, _ := filepath.Glob(filepath.Join(dir, "*")); len(names) != 0 {
		t.Errorf("saved %v though the share sheet was closed", names)
	}
	l.Do(`refuse = "NotAllowedError"`) // the browser won't share now
	l.send("SaveFile", file)
	for range 100 {
		if raw, err := os.ReadFile(filepath.Join(dir, "a.csv")); err == nil && string(raw) == "1,2" {
			return
		}
		time.Sleep(50 * time.Millisecond)
	}
	t.Error("the file was not saved within 5 s")
}

// A book of a busy shop opens by its cards; only the build in hand is read.
func TestALargeBookOpensByItsCards(t *testing.T) {
	l, _ := openLayer(t, `window.rows = 0; { const all = IDBObjectStore.prototype.getAll; IDBObjectStore.prototype.getAll = function (...a) { if (this.name === "entries") rows++; return all.apply(this, a); }; }`)
	b, err := bigbook.Make(60, 50)
	if err != nil {
		t.Fatal(err)
	}
	if err := b.Fill(l.Page); err != nil {
		t.Fatal(err)
	}
	loaded := run[bookMsg](l, "LoadBook", nil, "BookLoaded")
	if len(loaded.Cards) != 60 || loaded.Storage.Entries != len(b.Entries) || loaded.Cards[7].Readings != 50 {
		t.Errorf("%d cards, %d entries", len(loaded.Cards), loaded.Storage.Entries)
	}
	if n := chrome.MustEval[int](l, "rows"); n != 0 {
		t.Errorf("entries were read %d times to open the book", n)
	}
	one := run[buildMsg](l, "LoadBuild", map[string]any{"Build": b.Cards[7].Build}, "BuildLoaded")
	if len(one.Entries) != b.Cards[7].Entries {
		t.Errorf("the build has %d entries, want %d", len(one.Entries), b.Cards[7].Entries)
	}
	whole(t, l)
	l.clean()
}

func TestBrowserIsAskedToKeepTheBook(t *testing.T) {
	l, _ := openLayer(t, `navigator.storage.persist = async () => { window.asked = true; return true; }; navigator.storage.persisted = async () => !!window.asked;`)
	type answer struct {
		Storage struct {
			Persisted bool    `json:"persisted"`
			Known     bool    `json:"known"`
			QuotaMB   float64 `json:"quota_mb"`
			Entries   int     `json:"entries"`
		}
	}
	if got := run[answer](l, "LoadBook", nil, "BookLoaded"); !got.Storage.Known || got.Storage.Persisted || got.Storage.QuotaMB <= 0 {
		t.Errorf("before: %+v", got)
	}
	run[keptMsg](l, "Append", appendBody{"0", reading(buildA, "1"), nil}, "Kept")
	if got := run[answer](l, "AskPersist", nil, "PersistAnswer"); !got.Storage.Persisted || got.Storage.Entries != 1 {
		t.Errorf("after: %+v", got)
	}
	// A browser that can't say.
	old, _ := openLayer(t, `Object.defineProperty(navigator, "storage", {value: undefined})`)
	if got := run[answer](old, "AskPersist", nil, "PersistAnswer"); got.Storage.Known {
		t.Errorf("without navigator.storage: %+v", got)
	}
	old.clean()
}

// An event that comes when nobody waits for it any more, such as the cancel of
// a chooser after another was opened or the end of a transaction that was
// given up, reaches no callback that is gone.
func TestLateEventsReachNothing(t *testing.T) {
	l, _ := openLayer(t, `window.heard = [];
		const add = EventTarget.prototype.addEventListener;
		EventTarget.prototype.addEventListener = function(type, ...rest) {
			if (this instanceof IDBRequest || this instanceof IDBTransaction || this instanceof HTMLInputElement) heard.push([this, type]);
			return add.call(this, type, ...rest);
		};
		HTMLInputElement.prototype.click = () => {};`)
	run[bookMsg](l, "LoadBook", nil, "BookLoaded")
	run[keptMsg](l, "Append", appendBody{"0", reading(buildA, "1"), nil}, "Kept")
	run[buildMsg](l, "LoadBuild", map[string]any{"Build": buildA}, "BuildLoaded")
	l.send("PickFile", nil)
	l.send("PickFile", nil)
	l.WaitFor(`document.querySelectorAll("input[type=file]").length === 1 && heard.filter(([t]) => t instanceof HTMLInputElement).length === 4`, 5*time.Second)
	late := chrome.MustEval[int](l, `(() => {
		const open = document.querySelector("input[type=file]");
		const over = heard.filter(([t]) => t !== open);
		for (const [t, type] of over) t.dispatchEvent(new Event(type, { cancelable: true }));
		return over.length;
	})()`)
	if late < 12 {
		t.Errorf("only %d events came late", late)
	}
	l.clean()
	run[keptMsg](l, "Append", appendBody{"1", reading(buildA, "2"), nil}, "Kept") // and everything still works
	l.clean()
}
