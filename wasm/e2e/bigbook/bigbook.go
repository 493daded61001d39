// Package bigbook makes a book as large as a busy shop's and puts it into a
// browser, for tests and measurements.
package bigbook

import (
	"encoding/json"
	"fmt"
	"strings"

	"portwright/engine/book"
	"portwright/engine/build"
	"portwright/wasm/e2e/chrome"
)

// Book is a made-up book: every name and number in it is invented.
type Book struct {
	Entries []book.Entry
	Cards   []book.Card
}

// device is the phone that all entries come from.
const device = "0190cccc-0000-7000-8000-000000000000"

// startMS is when the first build was begun: 2026-01-05 08:00 UTC.
const startMS = 1_767_600_000_000

// Make returns a book of builds with so many readings each.
func Make(builds, readings int) (Book, error) {
	var b Book
	var seq uint64
	var clock book.Clock
	made := 0
	id := func() string {
		made++
		return fmt.Sprintf("0190cccc-0000-7000-8000-%012x", made)
	}
	for n := range builds {
		doc, err := build.Decode([]byte(document(n, readings)))
		if err != nil {
			return b, fmt.Errorf("bigbook: build %d: %w", n, err)
		}
		items, err := book.ItemsOf(doc, id)
		if err != nil {
			return b, fmt.Errorf("bigbook: build %d: %w", n, err)
		}
		var entries []book.Entry
		entries, seq, clock = book.Stamp(items, device, seq, clock, startMS+int64(n)*3_600_000, id)
		b.Entries = append(b.Entries, entries...)
		b.Cards = append(b.Cards, book.CardOf(book.Fold(entries)))
	}
	return b, nil
}

// document is the build file of one build: two passes over four windows,
// readings to half a degree that scatter by a few halves.
func document(n, readings int) string {
	windows := []struct {
		name, kind string
		opens      float64
	}{
		{"exhaust", "exhaust", 102}, {"transfer left", "transfer", 121}, {"transfer right", "transfer", 121.5}, {"boost", "boost", 122},
	}
	var names, passes []string
	for _, w := range windows {
		names = append(names, fmt.Sprintf(`{"name":%q,"kind":%q}`, w.name, w.kind))
	}
	for p, name := range []string{"as received", "after the base cut"} {
		var list []string
		for i := p * (readings / 2); i < (p+1)*(readings/2)+p*(readings%2); i++ {
			w := windows[i%len(windows)]
			event, at := "opens", w.opens+float64((i*7+n)%3)/2
			if i/len(windows)%2 == 1 {
				event, at = "closes", 360-at
			}
			list = append(list, fmt.Sprintf(`{"window":%q,"event":%q,"value":%g,"method":"light","at":"2026-01-05T08:00:00Z"}`, w.name, event, at))
		}
		passes = append(passes, fmt.Sprintf(`{"name":%q,"cylinder":1,"stops":[{"when":"before","near":"tdc","readings":[340.5,20.5]}],"readings":[%s],"habit":"tdc_zero"}`, name, strings.Join(list, ",")))
	}
	return fmt.Sprintf(`{"format":"portwright-build","version":1,"id":"0190dddd-0000-7000-8000-%012x","number":"%04d","name":"Made-up engine %d",
		"engine":{"cylinders":1,"bore_mm":44,"stroke_mm":32.5,"rod_mm":58,"intake":"piston_port"},"windows":[%s],
		"wheel":{"numbering":"0-360","numbers":"rise","step_deg":0.5,"diameter_mm":180},"passes":[%s]}`,
		n, n, n, strings.Join(names, ","), strings.Join(passes, ","))
}

// Fill puts the book into the database of the page's origin, beside what is
// there. The page has to be on that origin and need not be the app.
func (b Book) Fill(p *chrome.Page) error {
	const batch = 2000
	if err := run(p, fill+"(null, null)"); err != nil {
		return err
	}
	for rest := b.Entries; len(rest) > 0; {
		n := min(batch, len(rest))
		var rows []any
		for _, e := range rest[:n] {
			rows = append(rows, map[string]any{
				"key":   []any{e.Device, e.Seq},
				"value": map[string]any{"entry": string(book.AppendEntry(nil, e)), "build": e.Build, "id": e.ID},
			})
		}
		if err := send(p, "entries", rows); err != nil {
			return err
		}
		rest = rest[n:]
	}
	var cards []any
	for _, c := range b.Cards {
		text, err := json.Marshal(c)
		if err != nil {
			return err
		}
		cards = append(cards, map[string]any{"key": c.Build, "value": string(text)})
	}
	return send(p, "cards", cards)
}

func send(p *chrome.Page, store string, rows []any) error {
	text, err := json.Marshal(rows)
	if err != nil {
		return err
	}
	return run(p, fmt.Sprintf("%s(%q, %s)", fill, store, text))
}

func run(p *chrome.Page, script string) error {
	_, err := chrome.Eval[*int](p, script)
	return err
}

// fill writes rows into one store and counts entries in the head. The stores
// are made as package browser makes them when there is no database yet.
const fill = `(async (store, rows) => {
  const db = await new Promise((ok, no) => {
    const r = indexedDB.open("portwright", 1);
    r.onupgradeneeded = () => {
      const e = r.result.createObjectStore("entries");
      e.createIndex("build", "build");
      e.createIndex("id", "id", {unique: true});
      for (const s of ["meta", "cards", "drafts"]) r.result.createObjectStore(s);
    };
    r.onsuccess = () => ok(r.result);
    r.onerror = () => no(r.error);
  });
  try {
    if (!store) return;
    await new Promise((ok, no) => {
      const t = db.transaction([store, "meta"], "readwrite");
      t.oncomplete = ok;
      t.onabort = () => no(t.error);
      for (const {key, value} of rows) t.objectStore(store).put(value, key);
      if (store === "entries") t.objectStore("meta").get("head").onsuccess = e => {
        const head = e.target.result || {device: "0190eeee-0000-7000-8000-000000000000", seq: 0, ms: 0, ctr: 0, entries: 0};
        head.entries += rows.length;
        t.objectStore("meta").put(head, "head");
      };
    });
  } finally { db.close(); }
})`
