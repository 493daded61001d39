package e2e

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"portwright/engine/book"
	"portwright/server/wire"
	"portwright/wasm/e2e/chrome"
)

const otherDevice = "0190bbbb-0000-7000-8000-000000000001"

// elsewhere makes entries of another device.
func elsewhere(from, to uint64) []book.Entry {
	var out []book.Entry
	for seq := from; seq <= to; seq++ {
		out = append(out, book.Entry{
			ID: fmt.Sprintf("0190bbbb-0000-7000-8000-%012d", seq), Device: otherDevice, Seq: seq,
			Clock: book.Clock{MS: 1_700_000_000_000 + int64(seq)}, Build: buildB,
			Kind: book.KindReading, Body: json.RawMessage(`{"value":1.50,"note":"a < b & c"}`),
		})
	}
	return out
}

// merge sends entries; in the answer only the counts are compared.
func merge(l *layer, entries []book.Entry, cards ...book.Card) mergedMsg {
	l.t.Helper()
	return run[mergedMsg](l, "MergeEntries", map[string]any{"Entries": entries, "Cards": cards}, "Merged")
}

func TestMergeIsTheUnion(t *testing.T) {
	l, _ := openLayer(t, watchTransactions)
	device := run[bookMsg](l, "LoadBook", nil, "BookLoaded").Device
	run[keptMsg](l, "Append", appendBody{"0", reading(buildA, "1"), nil}, "Kept")
	theirs := elsewhere(1, 1200)

	check := func(what string, got, want mergedMsg) {
		t.Helper()
		if got != want {
			t.Errorf("%s: merged as %+v, want %+v", what, got, want)
		}
	}
	// In any order, any number of times.
	shuffled := slices.Clone(theirs)
	for i := range shuffled {
		j := (i * 7919) % len(shuffled)
		shuffled[i], shuffled[j] = shuffled[j], shuffled[i]
	}
	check("part", merge(l, shuffled[:700]), mergedMsg{New: 700})
	check("all", merge(l, theirs, book.Card{Build: buildB, Name: "theirs"}), mergedMsg{New: 500, Known: 700})
	check("again", merge(l, shuffled, book.Card{Build: buildB, Name: "theirs"}), mergedMsg{Known: 1200})
	_, entries := whole(t, l)
	if len(entries) != 1201 {
		t.Errorf("%d entries, want 1201", len(entries))
	}
	for _, e := range entries {
		if e.Device == otherDevice && string(e.Body) != string(theirs[0].Body) {
			t.Fatalf("the body became %s", e.Body)
		}
	}
	if got := run[buildMsg](l, "LoadBuild", map[string]any{"Build": buildB}, "BuildLoaded").Entries; len(got) != len(theirs) {
		t.Errorf("the build has %d entries, want %d", len(got), len(theirs))
	}

	// One ID with other bytes: the one that is here stays.
	other := theirs[4]
	other.Body = json.RawMessage(`{"value":99}`)
	check("altered", merge(l, []book.Entry{other}), mergedMsg{Differ: 1})
	// One sequence number with another ID: both stay, the one that was here and
	// what follows it under a new name.
	fork := theirs[4]
	fork.ID = "0190bbbb-0000-7000-8000-ffffffffffff"
	check("fork", merge(l, []book.Entry{fork, fork}), mergedMsg{New: 1, Known: 1})
	_, entries = whole(t, l)
	branch := wire.BranchName(otherDevice, 5, book.AppendEntry(nil, theirs[4]))
	is := map[string]int{}
	for _, e := range entries {
		is[e.Device]++
		if e.ID == fork.ID && (e.Device != otherDevice || e.Seq != 5) || e.ID == theirs[4].ID && (e.Device != branch || e.Seq != 1) {
			t.Errorf("%s is entry %d of %s", e.ID, e.Seq, e.Device)
		}
	}
	if is[otherDevice] != 5 || is[branch] != len(theirs)-4 || len(entries) != len(theirs)+2 {
		t.Errorf("entries by device: %v", is)
	}

	// A build that has entries here and there gets a card of all of them.
	more := elsewhere(6, 6)
	more[0].ID = "0190bbbb-0000-7000-8000-dddddddddddd"
	more[0].Build = buildA
	check("mixed build", merge(l, more, book.Card{Build: buildA, Name: "theirs", Entries: 1}), mergedMsg{New: 1})
	cards := run[bookMsg](l, "LoadBook", nil, "BookLoaded").Cards
	at := slices.IndexFunc(cards, func(c book.Card) bool { return c.Build == buildA })
	if at < 0 || cards[at].Entries != 2 || cards[at].Name != "made from entries" {
		t.Errorf("cards are %+v", cards)
	}

	// Own entries come back (an older copy of this book): the sequence goes on.
	mine := elsewhere(1, 1)[0]
	mine.ID, mine.Device, mine.Seq = "0190bbbb-0000-7000-8000-eeeeeeeeeeee", device, 2
	mine.Clock.MS = time.Now().Add(24 * time.Hour).UnixMilli()
	check("own", merge(l, []book.Entry{mine}), mergedMsg{New: 1})
	kept := run[keptMsg](l, "Append", appendBody{"1", reading(buildA, "2"), nil}, "Kept")
	if e := kept.Entries[0]; e.Seq != 3 || e.Clock.Compare(mine.Clock) <= 0 {
		t.Errorf("after an own entry came back: %+v", e)
	}
	if bad := merge(l, []book.Entry{{ID: "x"}}); bad.Err == "" || bad.New != 0 {
		t.Errorf("an entry without a device: %+v", bad)
	}
	if strays := chrome.MustEval[[]string](l, "strays"); len(strays) > 0 {
		t.Errorf("requests from outside their transaction: %v", strays)
	}
	l.clean()
}

func TestTwoTabsWriteAndHearEachOther(t *testing.T) {
	l, b := openLayer(t, "")
	run[bookMsg](l, "LoadBook", nil, "BookLoaded")
	second := &layer{Page: b.NewTab(), t: t, url: l.url}
	second.start("")
	run[bookMsg](second, "LoadBook", nil, "BookLoaded")

	const each = 30
	for i := range each { // sent without waiting, from both
		card := &book.Card{Build: buildA, Entries: i + 1}
		l.send("Append", appendBody{fmt.Sprint(i), reading(buildA, fmt.Sprint(i)), card})
		second.send("Append", appendBody{fmt.Sprint(i), reading(buildA, fmt.Sprint(1000+i)), card})
	}
	for _, tab := range []*layer{l, second} {
		tab.WaitFor(fmt.Sprintf(`said.filter(m => m.type === "Kept").length === %d && said.filter(m => m.type === "OtherTab" && m.Build === %q).length >= %d`, each, buildA, each), 20*time.Second)
		if tokens := chrome.MustEval[[]string](tab, `said.filter(m => m.type === "Kept").map(m => m.Token)`); !slices.IsSortedFunc(tokens, func(a, b string) int { return len(a)*100 - len(b)*100 + slices.Compare([]byte(a), []byte(b)) }) {
			t.Errorf("kept out of order: %v", tokens)
		}
	}
	if _, entries := whole(t, l); len(entries) != 2*each {
		t.Errorf("%d entries, want %d", len(entries), 2*each)
	}
	l.clean()
}

func TestEvictionIsMissed(t *testing.T) {
	l, _ := openLayer(t, watchOpen)
	device := run[bookMsg](l, "LoadBook", nil, "BookLoaded").Device
	run[keptMsg](l, "Append", appendBody{"0", reading(buildA, "1"), nil}, "Kept")
	l.Do(`new Promise(ok => { const r = indexedDB.deleteDatabase("portwright"); r.onsuccess = ok; r.onblocked = () => { throw "blocked"; }; })`)
	for range 2 { // said until something is kept again
		l.start("")
		gone := run[bookMsg](l, "LoadBook", nil, "BookLoaded")
		if gone.Err == "" || gone.Device == device || gone.Device == "" {
			t.Errorf("an emptied browser loads as %+v", gone)
		}
	}
	run[keptMsg](l, "Append", appendBody{"0", reading(buildA, "1"), nil}, "Kept")
	if fine := run[bookMsg](l, "LoadBook", nil, "BookLoaded"); fine.Err != "" {
		t.Errorf("after a new entry: %s", fine.Err)
	}
	whole(t, l)
}

func TestHeadThatLagsIsMended(t *testing.T) {
	l, _ := openLayer(t, watchOpen)
	run[bookMsg](l, "LoadBook", nil, "BookLoaded")
	for i := range 3 {
		run[keptMsg](l, "Append", appendBody{fmt.Sprint(i), reading(buildA, fmt.Sprint(i)), nil}, "Kept")
	}
	l.Do(`new Promise((ok, no) => { const t = connections[0].transaction("meta", "readwrite"), s = t.objectStore("meta");
	  s.get("head").onsuccess = e => s.put({...e.target.result, seq: 1, entries: 1}, "head"); t.oncomplete = ok; t.onabort = no; })`)
	run[bookMsg](l, "LoadBook", nil, "BookLoaded")
	run[keptMsg](l, "Append", appendBody{"4", reading(buildA, "4"), nil}, "Kept")
	if _, entries := whole(t, l); len(entries) != 4 {
		t.Errorf("%d entries, want 4", len(entries))
	}
	// Cards of a version that meant something else are made anew.
	l.Do(`new Promise((ok, no) => { const t = connections[0].transaction("cards", "readwrite");
	  t.objectStore("cards").put('{"build":7}', "` + buildA + `"); t.oncomplete = ok; t.onabort = no; })`)
	if l := run[bookMsg](l, "LoadBook", nil, "BookLoaded"); l.Err != "" || len(l.Cards) != 1 || l.Cards[0].Entries != 4 {
		t.Errorf("cards are %+v, %s", l.Cards, l.Err)
	}
}

// exported waits for the browser's download and reads it.
func exported(t *testing.T, dir string) []byte {
	t.Helper()
	for range 200 {
		names, _ := filepath.Glob(filepath.Join(dir, "*.book"))
		if len(names) == 1 {
			raw, err := os.ReadFile(names[0])
			if err != nil {
				t.Fatal(err)
			}
			return raw
		}
		time.Sleep(50 * time.Millisecond)
	}
	t.Fatal("no file was saved within 10 s")
	return nil
}

func TestBookGoesToAFileAndBack(t *testing.T) {
	url := layerServer(t)
	b := chrome.Start(t, chrome.Options{}) // a PC: the file is downloaded
	l := &layer{Page: b.Page, t: t, url: url}
	l.start("")
	dir := t.TempDir()
	l.Downloads(dir)
	run[bookMsg](l, "LoadBook", nil, "BookLoaded")
	run[keptMsg](l, "Append", appendBody{"0", reading(buildA, "1.50"), nil}, "Kept")
	merge(l, elsewhere(1, 2100))
	said := run[struct {
		Name    string
		Entries int
		Err     string
	}](l, "ExportBook", nil, "BookExported")
	if said.Err != "" || said.Entries != 2101 {
		t.Fatalf("exported as %+v", said)
	}
	_, here := whole(t, l)
	entries, warning, err := book.DecodeBook(bytes.NewReader(exported(t, dir)))
	if err != nil || warning != "" || len(entries) != len(here) || book.NewLog(entries...).Add(here...) != 0 {
		t.Errorf("the file holds %d entries (%s, %v), the book %d", len(entries), warning, err, len(here))
	}
}
