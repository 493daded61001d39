package e2e

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"
	"time"

	"portwright/engine/book"
	"portwright/wasm/e2e/chrome"
)

// watchOpen remembers every connection, so that a test can close one behind
// the app's back.
const watchOpen = `window.connections = [];
{ const open = IDBFactory.prototype.open;
  IDBFactory.prototype.open = function (...a) {
    const r = open.apply(this, a);
    r.addEventListener("success", () => connections.push(r.result));
    return r;
  }; }`

// watchTransactions holds package browser to its promise: within a
// transaction nothing is waited for but the transaction. A request is allowed
// in the turn in which the transaction was made and in the callbacks of its
// own requests. It also notes each transaction's stores, those it wrote to and
// its durability.
const watchTransactions = `window.strays = []; window.transactions = [];
{ const made = new WeakSet(), notes = new WeakMap(); let inside = null;
  const begin = IDBDatabase.prototype.transaction;
  IDBDatabase.prototype.transaction = function (...a) {
    const t = begin.apply(this, a);
    notes.set(t, {stores: [...t.objectStoreNames].join(" "), mode: t.mode, durability: t.durability, wrote: ""});
    transactions.push(notes.get(t));
    made.add(t); queueMicrotask(() => made.delete(t));
    return t;
  };
  const watch = (type, names) => { for (const name of names) {
    const call = type.prototype[name];
    type.prototype[name] = function (...a) {
      const t = (this.objectStore || this).transaction;
      if (!made.has(t) && inside !== t) strays.push(type.name + "." + name);
      const r = call.apply(this, a);
      if (["put", "add", "delete"].includes(name)) notes.get(t).wrote += this.name + " ";
      if (r instanceof IDBRequest) for (const kind of ["success", "error"]) {
        r.addEventListener(kind, () => { inside = t; });
        // Listeners run in order: this one is first, and the last is added
        // after everything the app adds in this turn.
        queueMicrotask(() => r.addEventListener(kind, () => { inside = null; }));
      }
      return r;
    };
  } };
  watch(IDBObjectStore, ["get", "getKey", "getAll", "getAllKeys", "put", "add", "delete", "count", "openCursor", "openKeyCursor"]);
  watch(IDBIndex, ["get", "getKey", "getAll", "getAllKeys", "count", "openCursor", "openKeyCursor"]); }`

func TestKeepStoresOneWholeWrite(t *testing.T) {
	l, _ := openLayer(t, watchTransactions)
	first := run[bookMsg](l, "LoadBook", nil, "BookLoaded")
	if first.Err != "" || len(first.Device) != 36 || len(first.Cards) != 0 {
		t.Fatalf("a new book loads as %+v", first)
	}
	items := append(reading(buildA, "104.5"), reading(buildA, `{"in":1.145}`)...)
	kept := run[keptMsg](l, "Append", appendBody{"one", items, &book.Card{Build: buildA, Number: "1", Entries: 2, Readings: 2}}, "Kept")
	if kept.Token != "one" || len(kept.Entries) != 2 {
		t.Fatalf("Kept says %+v", kept)
	}
	for i, e := range kept.Entries {
		if e.Device != first.Device || e.Seq != uint64(i+1) || len(e.ID) != 36 || e.ID[14] != '7' {
			t.Errorf("entry %d is %+v", i, e)
		}
	}
	_, entries := whole(t, l)
	if len(entries) != 2 || string(entries[1].Body) != string(items[1].Body) {
		t.Errorf("stored are %+v", entries)
	}

	// The same items again, as after an answer that got lost: nothing new.
	same := []book.Item{{ID: kept.Entries[0].ID, Build: buildA, Kind: items[0].Kind, Body: items[0].Body}}
	again := run[keptMsg](l, "Append", appendBody{"two", same, nil}, "Kept")
	if len(again.Entries) != 1 || again.Entries[0].Seq != 1 {
		t.Errorf("kept again as %+v", again)
	}
	run[mergedMsg](l, "MergeEntries", map[string]any{"Entries": entries}, "Merged")
	run[buildMsg](l, "LoadBuild", map[string]any{"Build": buildA}, "BuildLoaded")
	if _, entries = whole(t, l); len(entries) != 2 {
		t.Errorf("%d entries after the same items came again, want 2", len(entries))
	}
	if strays := chrome.MustEval[[]string](l, "strays"); len(strays) > 0 {
		t.Errorf("requests from outside their transaction: %v", strays)
	}
	// Entries are written with strict durability and together with the head.
	wrote := chrome.MustEval[[]map[string]string](l, `transactions.filter(t => t.wrote.includes("entries"))`)
	if len(wrote) != 1 || wrote[0]["wrote"] != "entries entries meta cards " { // the other append and the merge found everything there
		t.Errorf("entries were written by %v", wrote)
	}
	for _, tx := range wrote {
		if tx["durability"] != "strict" || !strings.Contains(tx["wrote"], "meta") {
			t.Errorf("entries were written by %v", tx)
		}
	}
	// No two writes can be under way at once; see package browser, database.write.
	l.send("SaveDraft", map[string]any{"Build": buildA, "Draft": map[string]any{"text": "1"}})
	l.send("SaveSettings", map[string]any{"Settings": map[string]any{"theme": "day"}})
	l.WaitFor(`transactions.filter(t => t.mode === "readwrite" && t.durability === "relaxed").length >= 2`, 5*time.Second)
	if alone := chrome.MustEval[[]map[string]string](l, `transactions.filter(t => t.mode === "readwrite" && !t.stores.includes("meta"))`); len(alone) > 0 {
		t.Errorf("writes that do not exclude each other: %v", alone)
	}
	l.clean()
}

// The watcher must see a stray, else the test above shows nothing.
func TestWatcherSeesAWaitInsideATransaction(t *testing.T) {
	l, _ := openLayer(t, watchOpen+watchTransactions)
	run[bookMsg](l, "LoadBook", nil, "BookLoaded")
	l.Do(`(async () => { const t = connections[0].transaction("meta"); const s = t.objectStore("meta");
	  s.get("head"); await new Promise(ok => setTimeout(ok, 0)); try { s.get("head"); } catch { } })()`)
	if n := chrome.MustEval[int](l, "strays.length"); n != 1 {
		t.Errorf("%d strays seen, want 1", n)
	}
}

// The draft says which reading is on its way. If it were older than the reading
// after a kill, the value would stand in the field again.
func TestTheDraftInHandIsKeptWithItsReading(t *testing.T) {
	l, _ := openLayer(t, watchTransactions)
	run[bookMsg](l, "LoadBook", nil, "BookLoaded")
	both := func(value, draft string) {
		t.Helper()
		items, _ := json.Marshal(appendBody{"t", reading(buildA, value), nil})
		body, _ := json.Marshal(map[string]any{"Build": buildA, "Draft": map[string]any{"text": draft}})
		// In one turn, as the app's loop does it.
		l.Do(fmt.Sprintf("storage.run('Append', %s, 'SaveDraft', %s)", jsText(string(items)), jsText(string(body))))
	}
	both("1", "one")
	l.WaitFor(`said.at(-1).type === "Kept"`, 10*time.Second)
	// Either the draft was written first or in the same transaction.
	got := chrome.MustEval[[]string](l, `transactions.map(t => t.wrote).filter(w => /entries|drafts/.test(w))`)
	if len(got) == 0 || strings.Contains(got[0], "entries") && !strings.Contains(got[0], "drafts") {
		t.Errorf("written in the order %q", got)
	}
	d, _ := run[buildMsg](l, "LoadBuild", map[string]any{"Build": buildA}, "BuildLoaded").Draft.(map[string]any)
	if d["text"] != "one" {
		t.Errorf("the draft is %v", d)
	}
	// What can't be kept takes no draft down with it.
	l.Do(`window.add = IDBObjectStore.prototype.add; IDBObjectStore.prototype.add = () => { throw new DOMException("full", "QuotaExceededError"); }`)
	both("2", "two")
	l.WaitFor(`said.at(-1).type === "NotKept"`, 10*time.Second)
	l.WaitFor(`transactions.at(-1).wrote.includes("drafts")`, 5*time.Second)
	d, _ = run[buildMsg](l, "LoadBuild", map[string]any{"Build": buildA}, "BuildLoaded").Draft.(map[string]any)
	if d["text"] != "two" {
		t.Errorf("the draft is %v", d)
	}
}

func TestLostConnectionIsOpenedAgain(t *testing.T) {
	l, _ := openLayer(t, watchOpen)
	run[bookMsg](l, "LoadBook", nil, "BookLoaded")
	run[keptMsg](l, "Append", appendBody{"0", reading(buildA, "1"), nil}, "Kept")
	for i, lose := range []string{
		`connections.at(-1).close()`, // as iOS does in the background: InvalidStateError
		`connections.at(-1).dispatchEvent(new Event("close"))`,
		`connections.at(-1).dispatchEvent(new Event("versionchange"))`,
		// Lost in the middle of a write: the transaction is aborted.
		`{ const c = connections.at(-1), begin = c.transaction; c.transaction = function (...a) { const t = begin.apply(this, a); queueMicrotask(() => { t.abort(); }); return t; }; }`,
		// The transaction never answers, but the first attempt had been stored:
		// its complete event is lost, and the connection with it.
		`{ const c = connections.at(-1), begin = c.transaction; c.transaction = function (...a) { const t = begin.apply(this, a);
		   t.addEventListener("complete", e => { e.stopImmediatePropagation(); t.dispatchEvent(new Event("abort")); }); return t; }; }`,
	} {
		l.Do(lose)
		kept := run[keptMsg](l, "Append", appendBody{fmt.Sprint(i + 1), reading(buildA, fmt.Sprint(i+2)), nil}, "Kept")
		if len(kept.Entries) != 1 || kept.Entries[0].Seq != uint64(i+2) {
			t.Errorf("loss %d: kept as %+v", i, kept)
		}
		if _, entries := whole(t, l); len(entries) != i+2 {
			t.Errorf("loss %d: %d entries stored, want %d", i, len(entries), i+2)
		}
	}
	if n := chrome.MustEval[int](l, `said.filter(m => m.type === "NotKept").length`); n != 0 {
		t.Errorf("%d writes were not kept", n)
	}
	l.clean()
}

func TestNotKeptIsCopiedAndKeptOnceAtTheNextStart(t *testing.T) {
	l, _ := openLayer(t, watchOpen)
	run[bookMsg](l, "LoadBook", nil, "BookLoaded")
	run[keptMsg](l, "Append", appendBody{"0", reading(buildA, "1"), nil}, "Kept")
	// No connection, and none to be had.
	l.Do(`connections.at(-1).close(); IDBFactory.prototype.open = () => { throw new DOMException("gone", "UnknownError"); }`)
	lost := run[notKeptMsg](l, "Append", appendBody{"1", append(reading(buildA, "2"), reading(buildB, "3")...), nil}, "NotKept")
	if lost.Token != "1" || lost.Name != "UnknownError" || len(lost.Items) != 2 || lost.Items[0].ID == "" || lost.Err == "" {
		t.Fatalf("NotKept says %+v", lost)
	}
	run[notKeptMsg](l, "Append", appendBody{"1", lost.Items, nil}, "NotKept")                   // tried again in vain
	gone := run[notKeptMsg](l, "Append", appendBody{"2", reading(buildA, "4"), nil}, "NotKept") // given up by the person
	l.send("Forget", map[string]any{"IDs": []string{gone.Items[0].ID}})

	l.start("")
	loaded := run[bookMsg](l, "LoadBook", nil, "BookLoaded")
	s, entries := whole(t, l)
	if loaded.Recovered != 2 || len(entries) != 3 || entries[1].ID != lost.Items[0].ID || entries[2].ID != lost.Items[1].ID {
		t.Errorf("recovered %d, stored %+v", loaded.Recovered, entries)
	}
	if s.Unsaved != nil || len(loaded.Cards) != 2 {
		t.Errorf("left behind: %v; cards: %v", s.Unsaved, loaded.Cards)
	}
	if again := run[bookMsg](l, "LoadBook", nil, "BookLoaded"); again.Recovered != 0 {
		t.Errorf("recovered %d a second time", again.Recovered)
	}
	// The app that still shows the reading as not kept tries it again.
	run[keptMsg](l, "Append", appendBody{"1", lost.Items, nil}, "Kept")
	if _, entries := whole(t, l); len(entries) != 3 {
		t.Errorf("%d entries after one more try, want 3", len(entries))
	}
}

func TestWhatStaysUnkeptIsHandedToTheApp(t *testing.T) {
	l, _ := openLayer(t, watchOpen)
	run[bookMsg](l, "LoadBook", nil, "BookLoaded")
	l.Do(`localStorage.setItem("portwright-unsaved", JSON.stringify([{id: "0190aaaa-0000-7000-8000-000000000001", build: "b", kind: "reading", body: {}}]))`)
	l.Do(`IDBObjectStore.prototype.add = () => { throw new DOMException("full", "QuotaExceededError"); }`)
	l.send("LoadBook", nil)
	lost := next[notKeptMsg](l, "NotKept", 0)
	if lost.Token != "" || lost.Name != "QuotaExceededError" || len(lost.Items) != 1 {
		t.Errorf("NotKept says %+v", lost)
	}
	next[bookMsg](l, "BookLoaded", 1)
	if s := chrome.MustEval[*string](l, `localStorage.getItem("portwright-unsaved")`); s == nil {
		t.Error("the copy is gone though nothing was kept")
	}
	// A copy that can't be read is put out of the way, not thrown away.
	l.Do(`localStorage.setItem("portwright-unsaved", "[{")`)
	run[bookMsg](l, "LoadBook", nil, "BookLoaded")
	if s := chrome.MustEval[*string](l, `localStorage.getItem("portwright-unsaved-damaged")`); s == nil || *s != "[{" {
		t.Errorf("the damaged copy is %v", s)
	}
}

func TestFullDiskIsSaid(t *testing.T) {
	url := layerServer(t)
	b := chrome.Start(t, chrome.Options{})
	l := &layer{Page: b.Page, t: t, url: url}
	b.Goto(url) // the quota belongs to an origin that the browser knows
	l.Quota(url, 400_000)
	l.start("")
	run[bookMsg](l, "LoadBook", nil, "BookLoaded")
	big := `"` + strings.Repeat("x", 60_000) + `"`
	var lost notKeptMsg
	stored := 0
	for ; stored < 50 && lost.Name == ""; stored++ {
		from := chrome.MustEval[int](l, `said.length`)
		l.send("Append", appendBody{fmt.Sprint(stored), reading(buildA, big), nil})
		l.WaitFor(fmt.Sprintf(`said.length > %d`, from), 20*time.Second)
		if chrome.MustEval[string](l, `said.at(-1).type`) == "NotKept" {
			lost = chrome.MustEval[notKeptMsg](l, `said.at(-1)`)
			break
		}
	}
	if stored == 0 || lost.Name != "QuotaExceededError" || len(lost.Items) != 1 || lost.Err == "" {
		t.Fatalf("after %d writes NotKept says %q, %q", stored, lost.Name, lost.Err)
	}
	if _, entries := whole(t, l); len(entries) != stored {
		t.Errorf("%d entries on a full disk, want %d", len(entries), stored)
	}
	l.Quota(url, 0)
	kept := run[keptMsg](l, "Append", appendBody{"again", lost.Items, nil}, "Kept")
	if len(kept.Entries) != 1 || kept.Entries[0].ID != lost.Items[0].ID || kept.Entries[0].Seq != uint64(stored+1) {
		t.Errorf("kept as seq %d", kept.Entries[0].Seq)
	}
	if s, entries := whole(t, l); len(entries) != stored+1 || s.Unsaved != nil {
		t.Errorf("%d entries, want %d; copy left: %v", len(entries), stored+1, s.Unsaved != nil)
	}
}

func TestNoDatabaseAtAll(t *testing.T) {
	l, _ := openLayer(t, `IDBFactory.prototype.open = () => { throw new DOMException("denied", "SecurityError"); }`)
	loaded := run[bookMsg](l, "LoadBook", nil, "BookLoaded")
	if loaded.Err == "" || len(loaded.Cards) != 0 {
		t.Errorf("loaded as %+v", loaded)
	}
	lost := run[notKeptMsg](l, "Append", appendBody{"0", reading(buildA, "1"), nil}, "NotKept")
	if lost.Name != "SecurityError" || lost.Err == "" {
		t.Errorf("NotKept says %+v", lost)
	}
	l.clean()
}

func TestDraftsSettingsAndLateTyping(t *testing.T) {
	l, b := openLayer(t, "")
	run[bookMsg](l, "LoadBook", nil, "BookLoaded")
	for i := range 40 { // typed faster than the disk: the last wins
		l.send("SaveDraft", map[string]any{"Build": buildA, "Draft": map[string]any{"text": fmt.Sprint(i)}})
	}
	l.send("SaveDraft", map[string]any{"Build": buildB, "Draft": map[string]any{"text": "other"}})
	l.send("SaveSettings", map[string]any{"Settings": map[string]any{"theme": "shed", "left_hand": true}})
	time.Sleep(150 * time.Millisecond)
	b.Kill9()
	b.Restart()
	l.Page = b.Page
	l.start("")
	if set := run[bookMsg](l, "LoadBook", nil, "BookLoaded").Settings; set["theme"] != "shed" || set["left_hand"] != true {
		t.Errorf("settings are %v", set)
	}
	d, _ := run[buildMsg](l, "LoadBuild", map[string]any{"Build": buildA}, "BuildLoaded").Draft.(map[string]any)
	if d["text"] != "39" {
		t.Errorf("the draft is %v, want 39", d)
	}
	l.send("SaveDraft", map[string]any{"Build": buildA, "Draft": nil})
	time.Sleep(100 * time.Millisecond)
	if d := run[buildMsg](l, "LoadBuild", map[string]any{"Build": buildA}, "BuildLoaded").Draft; d != nil {
		t.Errorf("the draft that was taken away is %v", d)
	}
}

func TestADatabaseThatNeverAnswersIsSaidInTime(t *testing.T) {
	l, _ := openLayer(t, `IDBFactory.prototype.open = () => new EventTarget();`)
	from := time.Now()
	loaded := run[bookMsg](l, "LoadBook", nil, "BookLoaded")
	if !strings.Contains(loaded.Err, "does not answer") {
		t.Errorf("loaded as %+v", loaded)
	}
	// The boot script gives up on the app after 15 s.
	if took := time.Since(from); took > 14*time.Second {
		t.Errorf("said after %v", took)
	}
}
