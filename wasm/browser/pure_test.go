package browser

import (
	"encoding/json"
	"slices"
	"strings"
	"sync"
	"testing"

	"portwright/engine/book"
	"portwright/wasm/app"
)

// The example of RFC 9562, appendix A.6: 2022-02-22 14:22:22.00 GMT-5.
func TestUUID7IsTheOneOfItsStandard(t *testing.T) {
	got := uuid7(0x017F22E279B0, [10]byte{0x0C, 0xC3, 0x18, 0xC4, 0xDC, 0x0C, 0x0C, 0x07, 0x39, 0x8F})
	if want := "017f22e2-79b0-7cc3-98c4-dc0c0c07398f"; got != want {
		t.Errorf("uuid7 = %s, want %s", got, want)
	}
}

func items(ids ...string) []book.Item {
	var out []book.Item
	for _, id := range ids {
		out = append(out, book.Item{ID: id, Build: "b", Kind: book.KindReading, Body: json.RawMessage(`{"value": 1.50}`)})
	}
	return out
}

func ids(entries []book.Entry) string {
	var out []string
	for _, e := range entries {
		out = append(out, e.ID)
	}
	return strings.Join(out, " ")
}

func TestStampGivesEachItemOnePlace(t *testing.T) {
	h := head{Device: "d", Seq: 7, Clock: book.Clock{MS: 2000, Ctr: 3}, Entries: 20}
	old := book.Entry{ID: "old", Device: "d", Seq: 2, Build: "b", Kind: book.KindReading, Body: json.RawMessage(`1`)}
	rows, all, next, err := stamp(h, items("x", "old", "y", "x"), map[string]book.Entry{"old": old}, 1000)
	if err != nil {
		t.Fatal(err)
	}
	if ids(all) != "x old y" || len(rows) != 2 || rows[1].Entry.ID != "y" {
		t.Errorf("entries %s, %d rows", ids(all), len(rows))
	}
	if rows[0].Entry.Seq != 8 || rows[1].Entry.Seq != 9 || next.Seq != 9 || next.Entries != 22 || h.Seq != 7 {
		t.Errorf("sequence %d, %d; head %+v", rows[0].Entry.Seq, rows[1].Entry.Seq, next)
	}
	// The device's time is behind its clock: the clock goes on all the same.
	if c := rows[1].Entry.Clock; c.Compare(rows[0].Entry.Clock) <= 0 || next.Clock != c || c.MS != 2000 {
		t.Errorf("clock %v", c)
	}
	if back, err := book.ParseEntry([]byte(rows[0].Text)); err != nil || string(back.Body) != `{"value": 1.50}` {
		t.Errorf("the row reads back as %+v, %v", back, err)
	}
	bad := items("z")
	bad[0].Body = json.RawMessage(`{`)
	if _, _, same, err := stamp(h, bad, nil, 1000); err == nil || same != h {
		t.Errorf("a body that is no JSON: %v", err)
	}
}

func TestHeadFollowsWhatItHasSeen(t *testing.T) {
	h := head{Device: "d", Seq: 7, Clock: book.Clock{MS: 1000}, Entries: 20}
	got := h.seen([]book.Entry{
		{Device: "e", Seq: 90, Clock: book.Clock{MS: 1500}},
		{Device: "f", Seq: 1, Clock: book.Clock{MS: 9_000_000_000}}, // a clock that is far ahead does not draw this one along
		{Device: "d", Seq: 9, Clock: book.Clock{MS: 1200}},
		{Device: "d", Seq: 8, Clock: book.Clock{MS: 1100}},
	}, 1000)
	if want := (head{Device: "d", Seq: 7, Clock: book.Clock{MS: 1500}, Entries: 20}); got != want {
		t.Errorf("head %+v, want %+v", got, want)
	}
	own := h.seen([]book.Entry{{Device: "d", Seq: 8, Clock: book.Clock{MS: 9_000_000_000}}}, 1000)
	if own.Clock.MS != 9_000_000_000 {
		t.Errorf("the device's own clock ran backwards to %v", own.Clock)
	}
}

func TestHeadRemembersItsNames(t *testing.T) {
	h := head{Device: "a", Seq: 7}.renamed("b", 2).renamed("c", 0)
	if want := (head{Device: "c", Was: "a b"}); h != want || !slices.Equal(h.former(), []string{"a", "b"}) {
		t.Errorf("head %+v", h)
	}
}

// An entry of a newer version keeps its bytes, its place and its build.
func TestRowOfANewerEntry(t *testing.T) {
	text := `{"device":"d","seq":3,"id":"x","build":"b","more":{"y": 1.50}}`
	r := rowOfText([]byte(text))
	if r.Text != text || r.Entry.Device != "d" || r.Entry.Seq != 3 || r.Entry.ID != "x" || r.Entry.Build != "b" || idOf([]byte(text)) != "x" {
		t.Errorf("%+v", r)
	}
	known := rowOf(book.Entry{ID: "i", Device: "d", Seq: 1, Build: "b", Kind: "set", Body: json.RawMessage(`{"a": 1}`)})
	if again := rowOfText([]byte(known.Text)); again.Text != known.Text || string(again.Entry.Body) != `{"a": 1}` {
		t.Errorf("%+v", again)
	}
}

// A window that was open while another one was paired changes a setting: the
// token stays. One that got a new token itself keeps that.
func TestSettingsKeepAnothersToken(t *testing.T) {
	stored := app.Settings{Token: "new", Places: "https://a", Names: "{}"}
	if got := mergeSettings(app.Settings{Theme: "day"}, app.Settings{}, stored); got != (app.Settings{Theme: "day", Token: "new", Places: "https://a", Names: "{}"}) {
		t.Errorf("%+v", got)
	}
	if got := mergeSettings(app.Settings{Token: "newer"}, app.Settings{Token: "old"}, stored); got.Token != "newer" || got.Places != "https://a" {
		t.Errorf("%+v", got)
	}
}

func TestUnsavedItemsWaitOnce(t *testing.T) {
	waiting := withItems(nil, items("b", "a"))
	waiting = withItems(waiting, items("a", "c"))
	text := unsavedText(waiting)
	back, err := unsavedItems(text)
	if err != nil || len(back) != 3 || back[0].ID != "b" || back[2].ID != "c" || back[0].Kind != book.KindReading {
		t.Errorf("waiting %+v, %v", back, err)
	}
	left := withoutKept(back, []book.Entry{{ID: "b"}, {ID: "c"}, {ID: "other"}})
	if len(left) != 1 || left[0].ID != "a" {
		t.Errorf("left %+v", left)
	}
	if text := unsavedText(nil); text != "" {
		t.Errorf("nothing waits as %q", text)
	}
	if got, err := unsavedItems(""); got != nil || err != nil {
		t.Errorf("no text reads as %v, %v", got, err)
	}
	if _, err := unsavedItems(`[{`); err == nil {
		t.Error("a damaged text reads without an error")
	}
}

func TestQueueKeepsOrder(t *testing.T) {
	var q queue
	var mu sync.Mutex
	var got []int
	var all sync.WaitGroup
	for i := range 200 {
		all.Add(1)
		q.add(func() {
			mu.Lock()
			got = append(got, i)
			mu.Unlock()
			all.Done()
		})
	}
	all.Wait()
	if !slices.IsSorted(got) || len(got) != 200 {
		t.Errorf("ran in order %v", got)
	}
}

func TestLatestWritesTheLastValueOfEachKey(t *testing.T) {
	var mu sync.Mutex
	written := map[string][]int{}
	hold, done := make(chan struct{}), make(chan struct{}, 10)
	l := newLatest(func(key string, v int) {
		<-hold
		mu.Lock()
		written[key] = append(written[key], v)
		mu.Unlock()
		done <- struct{}{}
	})
	l.set("a", 0)
	for { // until the first is being written
		l.mu.Lock()
		begun := len(l.order) == 0
		l.mu.Unlock()
		if begun {
			break
		}
	}
	for i := 1; i <= 50; i++ {
		l.set("a", i)
	}
	l.set("b", 7)
	l.set("c", 8)
	if v, ok := l.take("c"); v != 8 || !ok { // written otherwise
		t.Errorf("took %d, %v", v, ok)
	}
	if _, ok := l.take("c"); ok {
		t.Error("took the same value twice")
	}
	l.back("b", 6) // in vain: there is a newer one
	close(hold)
	for range 3 {
		<-done
	}
	l.set("c", 9)
	<-done
	mu.Lock()
	defer mu.Unlock()
	if !slices.Equal(written["a"], []int{0, 50}) || !slices.Equal(written["b"], []int{7}) || !slices.Equal(written["c"], []int{9}) {
		t.Errorf("written %v, want a: the first and the last, b: 7, c: 9", written)
	}
}

func TestWhichKeysGoToTheApp(t *testing.T) {
	for _, c := range []struct {
		key  string
		at   focused
		want bool
	}{
		{"7", onNothing, true}, {".", onNothing, true}, {"Enter", onNothing, true}, {"Backspace", onNothing, true},
		{"ArrowLeft", onNothing, true}, {"/", onNothing, true}, {"Escape", onControl, true}, {"7", onControl, true},
		{"7", onField, false}, {"Enter", onField, false}, {"Backspace", onField, false},
		{"Enter", onControl, false},
		{"a", onNothing, false}, {"Tab", onNothing, false}, {" ", onNothing, false}, {"F5", onNothing, false}, {"", onNothing, false},
	} {
		if got := forApp(c.key, c.at); got != c.want {
			t.Errorf("forApp(%q, %v) = %v, want %v", c.key, c.at, got, c.want)
		}
	}
}

func TestFailuresAreToldApart(t *testing.T) {
	for _, c := range []struct {
		name  string
		again bool
		says  string
	}{
		{"QuotaExceededError", false, "full"}, {"VersionError", false, "newer version"}, {nameBlocked, false, "Close the other tabs"},
		{"InvalidStateError", true, "could not write"}, {"UnknownError", true, "could not write"}, {"AbortError", true, "could not write"},
		{nameTimeout, true, "does not answer"}, {nameSilent, false, "does not answer"}, {"SecurityError", true, "private window"},
	} {
		f := &Failure{Name: c.name, Message: "why"}
		if again(f) != c.again || !strings.Contains(plainly(f), c.says) {
			t.Errorf("%s: again %v, says %q", c.name, again(f), plainly(f))
		}
	}
	if err := book.Validate(book.Entry{}); again(err) || plainly(err) != err.Error() {
		t.Errorf("a fault of the entry itself: again %v, says %q", again(err), plainly(err))
	}
}
