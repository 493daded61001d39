package book_test

import (
	"fmt"
	"reflect"
	"strings"
	"testing"

	"portwright/engine/book"
	"portwright/engine/build"
)

func fresh() func() string {
	n := 0
	return func() string { n++; return fmt.Sprintf("0195a000-0000-7000-8000-%012x", n) }
}

func decoded(t *testing.T, text string) *build.Build {
	t.Helper()
	b, err := build.Decode([]byte(`{"format":"portwright-build","version":1,` + text + `}`))
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// IDs of a hand-written file that are no UUIDs are replaced, and corrections
// follow; UUIDs are kept, each once.
func TestImportMendsIDs(t *testing.T) {
	const uuid = "0195A000-0000-7000-8000-00000000ABCD"
	b := decoded(t, `"id":"mine","windows":[{"id":"`+uuid+`","name":"e","kind":"exhaust"},{"id":"`+uuid+`","name":"t","kind":"transfer"}],
		"passes":[{"id":"p","name":"a","readings":[{"id":"r1","window":"e","event":"opens","value":1},{"id":"r2","window":"t","event":"opens","value":2}],
		"corrections":[{"kind":"mirror","ids":["r2"],"after_id":"r1"},{"kind":"mirror","readings":[1,2],"after":2}]}]`)
	items, err := book.ItemsOf(b, fresh())
	if err != nil {
		t.Fatal(err)
	}
	entries, _, _ := book.Stamp(items, "d", 0, book.Clock{}, 1, fresh())
	f := book.Fold(entries)
	if len(f.Unread)+len(f.Waiting) > 0 {
		t.Errorf("%+v", f)
	}
	g := f.Build
	if g.ID == "mine" || g.Windows[0].ID != uuid || g.Windows[1].ID == uuid || g.Windows[1].ID == "t" {
		t.Errorf("IDs: %s %+v", g.ID, g.Windows)
	}
	p := g.Passes[0]
	c := p.Corrections
	if len(c) != 2 || c[0].IDs[0] != p.Readings[1].ID || c[0].AfterID != p.Readings[0].ID || c[0].After != 1 || c[0].Readings[0] != 2 ||
		len(c[1].IDs) != 2 || c[1].After != 2 {
		t.Errorf("corrections %+v of %+v", c, p.Readings)
	}
}

func TestImportRefusesWhatCouldNotBeFoldedBack(t *testing.T) {
	const w = `"windows":[{"name":"e","kind":"exhaust"}],`
	for text, want := range map[string]string{
		`"windows":[{"name":"e"},{"name":"e"}]`:                                                `windows[1].name = "e": must be a name that no other window has`,
		`"windows":[{"kind":"exhaust"}]`:                                                       `windows[0].name = ""`,
		w + `"passes":[{"readings":[{"window":"x","event":"opens","value":1}]}]`:               `passes[0].readings[0].window = "x": must be the name of one`,
		`"passes":[{"stops":[{"readings":[]}]}]`:                                               `passes[0].stops[0].readings = 0: must be one or two`,
		`"passes":[{"stops":[{"readings":[1,2,3]}]}]`:                                          `passes[0].stops[0].readings = 3`,
		`"passes":[{"corrections":[{"kind":"mirror","readings":[1]}]}]`:                        `passes[0].corrections[0].readings[0] = 1: must be the place of a reading, 1 to 0`,
		`"passes":[{"corrections":[{"kind":"mirror","after":-1}]}]`:                            `passes[0].corrections[0].after = -1`,
		`"passes":[{"corrections":[{"kind":"mirror","ids":["no such"]}]}]`:                     `passes[0].corrections[0].ids[0] = "no such": must be the id of a reading`,
		`"passes":[{"stops":[{"readings":[1,2,3]},{"readings":[]}],"readings":[{"value":1}]}]`: "\n",
	} {
		items, err := book.ItemsOf(decoded(t, text), fresh())
		if err == nil || items != nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v", text, err)
		}
	}
	_, err := book.ItemsOf(decoded(t, w+`"name":"x"`), func() string { return "always the same" })
	if err == nil || !strings.Contains(err.Error(), "fresh IDs") {
		t.Errorf("IDs that repeat: %v", err)
	}
}

// A correction of a reading that went with its window is kept on the way out
// and in.
func TestACorrectionOfAHiddenReadingSurvivesExport(t *testing.T) {
	p := newPhone("a")
	p.start()
	r := p.write(book.ReadingItem("0195a000-0000-7000-8000-00000000f001", theBuild, "p1", "w1", build.Reading{Event: "opens"}))
	p.write(book.CorrectItem("", theBuild, "p1", build.Correction{Kind: "mirror", IDs: []string{r}}))
	p.set("windows/w1.removed", "true")
	f := p.fold()
	if len(f.Hidden) != 1 {
		t.Fatalf("%+v", f)
	}
	items, err := book.ItemsOf(f.Build, fresh())
	if err != nil {
		t.Fatal(err)
	}
	entries, _, _ := book.Stamp(items, "d", 0, book.Clock{}, 1, fresh())
	if c := book.Fold(entries).Build.Passes[0].Corrections; len(c) != 1 || len(c[0].IDs) != 1 || c[0].IDs[0] != r {
		t.Errorf("corrections %+v", c)
	}
}

// A copy has no IDs; what named readings by ID names them by place.
func TestFreshGoesByPlace(t *testing.T) {
	b := decoded(t, `"id":"b","windows":[{"id":"w","name":"e","kind":"exhaust"}],"passes":[{"id":"p","name":"a",
		"stops":[{"id":"s","when":"before","near":"tdc","readings":[1,2],"ids":["x","y"]}],
		"readings":[{"window":"e","event":"opens","value":1},{"id":"r2","window":"e","event":"opens","value":2}],
		"corrections":[{"id":"c","kind":"strike","ids":["r2","gone"],"after_id":"r2"},{"kind":"strike","readings":[1],"after":1}]}]`)
	c, err := book.Fresh(b)
	if err != nil {
		t.Fatal(err)
	}
	got, err := build.Encode(c)
	if err != nil {
		t.Fatal(err)
	}
	want := decoded(t, `"windows":[{"name":"e","kind":"exhaust"}],"passes":[{"name":"a","stops":[{"when":"before","near":"tdc","readings":[1,2]}],
		"readings":[{"window":"e","event":"opens","value":1},{"window":"e","event":"opens","value":2}],
		"corrections":[{"kind":"strike","readings":[2],"after":2},{"kind":"strike","readings":[1],"after":1}]}]`)
	if !reflect.DeepEqual(c, want) {
		t.Errorf("%s", got)
	}
	if b.ID != "b" || b.Passes[0].Readings[1].ID != "r2" {
		t.Error("the original was changed")
	}
}
