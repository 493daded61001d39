package app_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"strings"
	"testing"

	"portwright/engine/book"
	"portwright/engine/build"
	"portwright/engine/build/demo"
	"portwright/wasm/app"
	"portwright/wasm/view"
)

// newBook is a phone at the book of an empty disk.
func newBook() *phone {
	p := newPhone(newDisk())
	p.start("")
	return p
}

// last returns the latest effect of a type.
func last[E app.Effect](p *phone) (e E, ok bool) {
	for i := len(p.did) - 1; i >= 0; i-- {
		if e, ok := p.did[i].(E); ok {
			return e, true
		}
	}
	return e, false
}

func mustFile(t *testing.T, p *phone) app.SaveFile {
	t.Helper()
	f, ok := last[app.SaveFile](p)
	if !ok {
		t.Fatal("no file was handed out")
	}
	return f
}

// onlyBuild is the one build that the disk holds beside those named.
func onlyBuild(t *testing.T, p *phone, but ...string) book.Folded {
	t.Helper()
	var found []book.Folded
	for _, c := range p.disk.cards() {
		known := false
		for _, b := range but {
			known = known || b == c.Build
		}
		if !known {
			found = append(found, book.Fold(p.disk.of(c.Build)))
		}
	}
	if len(found) != 1 {
		t.Fatalf("%d builds on the disk, want 1", len(found))
	}
	return found[0]
}

// A first look is one tap and then a number for each opening: durations and
// blowdown follow from 100 and 122 as the trade reckons them, 160, 116 and 22
// (common practice, no source: 2 x (180 - opening)).
func TestFirstLookNeedsNoSetUp(t *testing.T) {
	p := newBook()
	p.send(app.NewBuild{FirstLook: true})
	p.settle()
	if p.m.Station != app.AtBench || p.m.Open == nil {
		t.Fatalf("at %s with %v open", p.m.Station, p.m.Open)
	}
	p.types("100", "122", "122.5")
	r := p.m.ShownPass()
	if r == nil || len(r.Windows) < 3 || r.BlowdownDeg == nil {
		t.Fatalf("findings after three numbers: %+v", r)
	}
	if d := r.Windows[0].DurationDeg; d == nil || *d != 160 {
		t.Errorf("exhaust duration %v, want 160", d)
	}
	if d := r.Windows[1].DurationDeg; d == nil || *d != 116 {
		t.Errorf("transfer duration %v, want 116", d)
	}
	if *r.BlowdownDeg != 22 {
		t.Errorf("blowdown %v, want 22", *r.BlowdownDeg)
	}
	if !r.Windows[0].SymmetryAssumed {
		t.Error("symmetry is assumed and not said")
	}
}

func TestWholeBuildBeginsAtTheEngine(t *testing.T) {
	p := newBook()
	p.send(app.NewBuild{})
	p.settle()
	if p.m.Station != app.AtEngine || p.m.Open == nil {
		t.Fatalf("at %s", p.m.Station)
	}
	if n := p.m.Open.Build.Number; n != "2026-001" {
		t.Errorf("number %q", n)
	}
}

func TestNewBuildOpensOnlyWhenTheDiskHasIt(t *testing.T) {
	p := newBook()
	p.send(app.NewBuild{FirstLook: true})
	p.send(app.NewBuild{FirstLook: true}) // a second tap
	p.next(false)
	if p.m.Station != app.AtBook || !p.m.Save.Failed {
		t.Fatalf("at %s, failed %v", p.m.Station, p.m.Save.Failed)
	}
	p.send(app.TryAgain{})
	p.settle()
	if p.m.Station != app.AtBench {
		t.Fatalf("at %s", p.m.Station)
	}
	onlyBuild(t, p)
}

// A new build waits for its own write, not for another one's.
func TestNewBuildWaitsForItsOwnWrite(t *testing.T) {
	p := newBench()
	p.send(app.Navigated{Hash: ""})
	p.settle()
	p.send(app.BuildTask{Kind: app.TaskState, Build: buildID, State: app.StateFinished})
	p.next(true) // the build is read, its state on its way
	p.send(app.NewBuild{})
	p.next(true) // the state is kept
	if p.m.Station != app.AtBook || p.m.Book.Opening == "" {
		t.Fatalf("at %s", p.m.Station)
	}
	p.settle()
	if p.m.Station != app.AtEngine {
		t.Fatalf("at %s", p.m.Station)
	}
}

// The book shows a new build as soon as it is kept, without being read again.
func TestNewBuildHasItsCardAtOnce(t *testing.T) {
	p := newBook()
	p.send(app.OpenDemo{})
	p.next(true)
	if cs := p.m.Book.Cards; len(cs) != 1 || !cs[0].Demo || cs[0].Readings == 0 || cs[0].Entries != len(p.disk.entries) {
		t.Errorf("cards %+v", cs)
	}
}

func TestGivenUpBuildCanBeBegunAnew(t *testing.T) {
	p := newBook()
	p.send(app.NewBuild{})
	p.next(false)
	p.send(app.GiveUp{})
	p.send(app.NewBuild{})
	p.settle()
	if p.m.Station != app.AtEngine {
		t.Fatalf("at %s", p.m.Station)
	}
	onlyBuild(t, p)
}

func TestNumbersCountOn(t *testing.T) {
	p := newBook()
	p.m.Book.Cards = []book.Card{{Number: "2026-099"}, {Number: "2026-7"}, {Number: "2026-x"}, {Number: "2025-500"}}
	if got := p.m.NextNumber(p.now); got != "2026-100" {
		t.Errorf("got %q", got)
	}
}

func TestSearchAndPages(t *testing.T) {
	p := newBook()
	for i := range 1000 {
		p.m.Book.Cards = append(p.m.Book.Cards, book.Card{Build: fmt.Sprint(i), Number: fmt.Sprintf("2026-%03d", i),
			Name: "Pump", Summary: "44 x 32.5", TouchedMS: int64(i)})
	}
	if got := p.m.ShownCards(); len(got) != 1000 || got[0].Number != "2026-999" {
		t.Fatalf("%d cards, first %s", len(got), got[0].Number)
	}
	p.send(app.BookPage{By: 30})
	if p.m.Book.Page != 19 {
		t.Errorf("page %d, want the last, 19", p.m.Book.Page)
	}
	p.send(app.BookSearch{Text: "PUMP 2026-04"})
	if got := p.m.ShownCards(); len(got) != 10 || p.m.Book.Page != 0 {
		t.Errorf("%d cards on page %d", len(got), p.m.Book.Page)
	}
}

func TestPutAwayHidesAndComesBack(t *testing.T) {
	p := newBench()
	p.send(app.Navigated{Hash: ""})
	p.settle()
	p.send(app.BuildTask{Kind: app.TaskState, Build: buildID, State: app.StateAway})
	p.settle()
	if got := p.m.ShownCards(); len(got) != 0 {
		t.Fatalf("still shown: %+v", got)
	}
	p.send(app.BookAway{Away: true})
	if got := p.m.ShownCards(); len(got) != 1 {
		t.Fatalf("not among what was put away: %+v", got)
	}
	p.send(app.BuildTask{Kind: app.TaskState, Build: buildID})
	p.settle()
	p.send(app.BookAway{})
	if got := p.m.ShownCards(); len(got) != 1 || got[0].State != "" {
		t.Fatalf("did not come back: %+v", got)
	}
}

func TestCopyTakesTheEngineAndNoReading(t *testing.T) {
	p := newBook()
	p.send(app.OpenDemo{})
	p.settle()
	from := p.m.Open.Build
	p.send(app.Navigated{Hash: ""})
	p.settle()
	p.send(app.BuildTask{Kind: app.TaskCopy, Build: from.ID})
	p.settle()
	to := p.m.Open.Build
	if to.ID == from.ID || p.m.Station != app.AtEngine {
		t.Fatalf("at %s with build %s", p.m.Station, to.ID)
	}
	if asText(t, to.Engine) != asText(t, from.Engine) || asText(t, to.Wheel) != asText(t, from.Wheel) {
		t.Error("engine or wheel differ")
	}
	if len(to.Windows) != len(from.Windows) || to.Windows[1].Name != from.Windows[1].Name {
		t.Errorf("windows %+v", to.Windows)
	}
	for i, w := range to.Windows {
		if w.ID == from.Windows[i].ID {
			t.Errorf("window %s has the ID of the original's", w.Name)
		}
	}
	if len(to.Passes) != 0 || to.Demo {
		t.Errorf("passes %+v, demo %v", to.Passes, to.Demo)
	}
}

func asText(t *testing.T, v any) string {
	t.Helper()
	data, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

func TestDemoComesOnceAndIsMarked(t *testing.T) {
	p := newPhone(newDisk())
	p.start(app.DemoHash)
	if p.m.Station != app.AtFindings || p.m.Open == nil || !p.m.Open.Build.Demo {
		t.Fatalf("at %s", p.m.Station)
	}
	n := len(p.disk.entries)
	p.send(app.Navigated{Hash: ""})
	p.settle()
	p.send(app.OpenDemo{})
	p.settle()
	if len(p.disk.entries) != n || p.m.Station != app.AtFindings {
		t.Errorf("%d entries, want %d; at %s", len(p.disk.entries), n, p.m.Station)
	}
}

// What one phone hands out as a build file comes in on another as the same
// build, and goes out again as the same bytes.
func TestBuildFileRoundTrip(t *testing.T) {
	a := newBook()
	a.send(app.OpenDemo{})
	a.settle()
	a.send(app.ShareBuild{})
	out := mustFile(t, a)
	if !strings.HasSuffix(out.Name, ".json") || out.MIME != "application/json" {
		t.Errorf("%s, %s", out.Name, out.MIME)
	}
	b := newBook()
	b.send(app.TakeIn{})
	b.send(app.FilePicked{Name: out.Name, Data: out.Data})
	b.settle()
	if b.m.Station != app.AtFindings {
		t.Fatalf("at %s; %+v", b.m.Station, b.m.Book.Incoming)
	}
	b.send(app.ShareBuild{})
	if again := mustFile(t, b); !bytes.Equal(again.Data, out.Data) {
		t.Errorf("the file changed on the way:\n%s\n%s", out.Data, again.Data)
	}
	if asText(t, a.m.Open.Results) != asText(t, b.m.Open.Results) {
		t.Error("the findings changed on the way")
	}
}

// A file written by hand may carry any id, or none: the build gets one of its
// own and is opened.
func TestFileWrittenByHandIsOpened(t *testing.T) {
	for _, id := range []string{`"id":"my saw",`, ""} {
		p := newBook()
		p.send(app.FilePicked{Name: "hand.json", Data: []byte(`{"format":"portwright-build","version":1,` + id + `"name":"By hand",
			"windows":[{"name":"exhaust","kind":"exhaust"}],"passes":[{"name":"p","readings":[{"window":"exhaust","event":"opens","value":100}]}]}`)})
		if p.m.Notice != "" {
			t.Error("said before the disk had it")
		}
		p.settle()
		if p.m.Open == nil || p.m.Open.Build.Name != "By hand" || len(p.m.Open.ID) != 36 {
			t.Fatalf("open: %+v", p.m.Open)
		}
		if !strings.Contains(p.m.Notice, "By hand came in: 1 pass, 1 reading") {
			t.Errorf("said %q", p.m.Notice)
		}
	}
}

func TestKnownBuildFileIsOfferedAsACopy(t *testing.T) {
	p := newBook()
	p.send(app.OpenDemo{})
	p.settle()
	first := p.m.Open.ID
	p.send(app.Navigated{Hash: ""})
	p.settle()
	n := len(p.disk.entries)
	p.send(app.FilePicked{Name: "demo.json", Data: demo.Build()})
	p.settle()
	if p.m.Book.Incoming.Known == nil || len(p.disk.entries) != n {
		t.Fatalf("%+v, %d entries", p.m.Book.Incoming, len(p.disk.entries))
	}
	p.send(app.TakeCopy{})
	p.settle()
	c := onlyBuild(t, p, first)
	was := book.Fold(p.disk.of(first)).Build
	if len(c.Build.Passes) != len(was.Passes) || len(c.Build.Passes[0].Readings) != len(was.Passes[0].Readings) {
		t.Error("readings of the copy differ")
	}
	for i, r := range c.Build.Passes[0].Readings {
		if r.ID == was.Passes[0].Readings[i].ID {
			t.Fatal("a reading of the copy has the ID of the original's")
		}
	}
}

// What is wrong with a file is said by field, value and what would be right,
// and nothing is written.
func TestBadFilesWriteNothing(t *testing.T) {
	for _, c := range []struct{ name, data, field string }{
		{"no JSON", "hello", "build file"},
		{"empty", "", "build file"},
		{"another format", `{"format":"spreadsheet"}`, "format"},
		{"newer", `{"format":"portwright-build","version":99}`, "version"},
		{"text for a length", `{"format":"portwright-build","version":1,"engine":{"stroke_mm":"long"}}`, "engine.stroke_mm"},
		{"rod too short", `{"format":"portwright-build","version":1,"name":"x","engine":{"stroke_mm":40,"rod_mm":12}}`, "engine.rod_mm"},
		{"reading over 360", `{"format":"portwright-build","version":1,"name":"x","windows":[{"name":"exhaust","kind":"exhaust"}],
			"passes":[{"name":"p","readings":[{"window":"exhaust","event":"opens","value":999}]}]}`, "passes[0].readings[0].value"},
		{"newer book", `{"format":"portwright-book","version":99,"entries":0}` + "\n", "version"},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := newBook()
			data := []byte(c.data)
			if c.data == "" {
				data = []byte{}
			}
			p.send(app.FilePicked{Name: "file", Data: data})
			p.settle()
			in := p.m.Book.Incoming
			if len(in.Faults) == 0 || in.Faults[0].Reason == "" {
				t.Fatalf("nothing is said: %+v", in)
			}
			if in.Faults[0].Field != c.field {
				t.Errorf("field %q, want %q", in.Faults[0].Field, c.field)
			}
			if len(p.writes) > 0 || len(p.disk.entries) > 0 {
				t.Error("something was written")
			}
			if _, ok := last[app.MergeEntries](p); ok {
				t.Error("entries were merged")
			}
		})
	}
}

func TestBookFileGoesInWhole(t *testing.T) {
	a := newBook()
	a.send(app.OpenDemo{})
	a.settle()
	var file bytes.Buffer
	if err := book.EncodeBook(&file, a.disk.entries); err != nil {
		t.Fatal(err)
	}
	b := newBook()
	b.send(app.FilePicked{Name: "book.portwright", Data: file.Bytes()})
	m, ok := last[app.MergeEntries](b)
	if !ok || len(m.Entries) != len(a.disk.entries) {
		t.Fatalf("merged %d of %d", len(m.Entries), len(a.disk.entries))
	}
	b.send(app.Merged{New: 80, Known: 2, Differ: 1})
	in := b.m.Book.Incoming
	if in.Said != "80 entries are new, 2 were here already." || !strings.Contains(in.Warning, "1 ") {
		t.Errorf("said %q, warning %q", in.Said, in.Warning)
	}

}

// Of a file that was cut short, or whose check sum differs, nothing comes in
// before a person has read how much of it is whole and said yes.
func TestADamagedBookFileAsksFirst(t *testing.T) {
	a := newBook()
	a.send(app.OpenDemo{})
	a.settle()
	var file bytes.Buffer
	if err := book.EncodeBook(&file, a.disk.entries); err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct {
		data  []byte
		whole int
	}{
		"cut short": {file.Bytes()[:file.Len()/2], -1},
		"altered":   {bytes.Replace(file.Bytes(), []byte("exhaust"), []byte("Exhaust"), 1), len(a.disk.entries)},
	} {
		p := newBook()
		p.send(app.FilePicked{Name: name, Data: c.data})
		in := p.m.Book.Incoming
		if _, ok := last[app.MergeEntries](p); ok || len(in.Held) == 0 || c.whole >= 0 && len(in.Held) != c.whole {
			t.Fatalf("%s: merged %v, %d entries held, want %d", name, ok, len(in.Held), c.whole)
		}
		said := view.Of(p.m).Book.Incoming
		if want := fmt.Sprintf("This file was altered or damaged. What is whole in it: %d entries. Take that in?", len(in.Held)); said.Lines[0] != want {
			t.Errorf("%s: says %q, want %q", name, said.Lines[0], want)
		}
		p.send(app.IncomingDone{})
		if p.send(app.TakeHeld{}); len(view.Of(p.m).Book.Cards) != 0 {
			t.Errorf("%s: came in after it was closed", name)
		}
		p.send(app.FilePicked{Name: name, Data: c.data})
		p.send(said.Act.Msg)
		if m, ok := last[app.MergeEntries](p); !ok || len(m.Entries) != len(in.Held) || p.m.Book.Incoming.Warning == "" {
			t.Errorf("%s: merged %d of %d", name, len(m.Entries), len(in.Held))
		}
	}
}

// The readings' own table is named as what it is, with the file that goes.
func TestATableIsRefusedByName(t *testing.T) {
	p := newBook()
	p.send(app.FilePicked{Name: "demo.csv", Data: []byte("build,pass,window\r\n1,2,3\r\n")})
	if in := p.m.Book.Incoming; !strings.HasPrefix(in.Err, "This looks like a table (CSV), which can't be taken in.") || len(in.Faults) > 0 {
		t.Errorf("says %q, %v", in.Err, in.Faults)
	}
}

func TestChooserLeftAloneSaysNothing(t *testing.T) {
	p := newBook()
	p.send(app.TakeIn{})
	p.send(app.FilePicked{})
	if in := p.m.Book.Incoming; in.Name != "" || in.Said != "" || in.Err != "" || in.Reading {
		t.Errorf("%+v", in)
	}
	p.send(app.FilePicked{Name: "huge.json", Err: "larger than 32 MB"})
	if p.m.Book.Incoming.Err == "" || p.m.Notice == "" {
		t.Error("a refused file says nothing")
	}
}

func TestReadingsGoOutAsATable(t *testing.T) {
	p := newBook()
	p.send(app.OpenDemo{})
	p.settle()
	p.send(app.ShareReadings{})
	f := mustFile(t, p)
	b, err := build.Decode(demo.Build())
	if err != nil {
		t.Fatal(err)
	}
	rows := 1
	for _, pass := range b.Passes {
		rows += len(pass.Readings)
		for _, s := range pass.Stops {
			rows += len(s.Readings)
		}
	}
	if got := bytes.Count(f.Data, []byte("\r\n")); got != rows {
		t.Errorf("%d rows, want a header and every reading: %d", got, rows)
	}
}

// A link to a build that this device does not have leads to the Book, which
// says so; no build comes of it.
func TestAStaleLinkLeadsToTheBook(t *testing.T) {
	for _, station := range []app.Station{app.AtEngine, app.AtBench, app.AtFindings} {
		p := newPhone(newDisk())
		p.start(app.Route{Station: station, Build: "nonexistent"}.Hash())
		said := view.Of(p.m)
		if p.m.Open != nil || p.hash != "" || said.Book == nil || said.Book.Incoming == nil || !strings.Contains(said.Book.Incoming.Lines[0], "no such build on this device") {
			t.Errorf("%s: at %q, open %v, says %+v", station, p.hash, p.m.Open, said.Book)
		}
		if len(p.disk.drafts) > 0 || len(p.disk.entries) > 0 {
			t.Errorf("%s: something of it was kept", station)
		}
	}
}
