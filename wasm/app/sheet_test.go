package app_test

import (
	"bytes"
	"crypto/sha256"
	"fmt"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"portwright/engine/book"
	"portwright/engine/build"
	"portwright/engine/sheet"
	"portwright/wasm/app"
)

const (
	finishedFile = "../../engine/sheet/testdata/finished.json"
	cutFile      = "../../testdata/builds/cut.json"
)

func sheetHash(with string) string {
	return app.Route{Station: app.AtSheet, Build: buildID, Field: with}.Hash()
}

// handedOut is the last file that went out.
func (p *phone) handedOut(t *testing.T) app.SaveFile {
	t.Helper()
	for i := len(p.did) - 1; i >= 0; i-- {
		if f, ok := p.did[i].(app.SaveFile); ok {
			return f
		}
	}
	t.Fatal("no file went out")
	return app.SaveFile{}
}

// sameSheet: the sheet on the screen is what it would be if it were made now.
func sameSheet(t *rapid.T, m *app.Model) {
	s := &m.Sheet
	if m.Station != app.AtSheet {
		return
	}
	if strings.HasPrefix(s.Err, app.SheetFailed) {
		t.Fatal(s.Err)
	}
	if s.Sheet == nil {
		return
	}
	data, err := build.Encode(m.Open.Build)
	if err != nil {
		t.Fatal(err)
	}
	fresh, _, err := sheet.Of(m.Open.Build, sheet.Options{Date: s.Sheet.Date, Device: s.Sheet.Device, Digest: fmt.Sprintf("SHA-256 %x", sha256.Sum256(data))})
	if err != nil {
		t.Fatal(err)
	}
	if got, want := sheet.Body(s.Sheet), sheet.Body(fresh); got != want {
		t.Fatalf("the sheet is not what the entries say:\n got %s\nwant %s", got, want)
	}
}

// What goes out is the sheet of the build file that goes out, byte for byte,
// with that file's sum and the day of this device.
func TestSharedSheetIsThatOfTheFile(t *testing.T) {
	for _, file := range []string{finishedFile, cutFile, "../../testdata/builds/demo.json"} {
		p := newAt(t, file, sheetHash(""))
		p.send(app.ShareBuild{})
		exported := p.handedOut(t)
		b, err := build.Decode(exported.Data)
		if err != nil {
			t.Fatal(err)
		}
		want, _, err := sheet.Of(b, sheet.Options{Date: time.UnixMilli(p.now).Format(time.DateOnly), Device: "00d1", Digest: fmt.Sprintf("SHA-256 %x", sha256.Sum256(exported.Data))})
		if err != nil {
			t.Fatal(err)
		}
		p.send(app.SheetShare{})
		if got := p.handedOut(t); !strings.HasSuffix(got.Name, ".html") || string(got.Data) != sheet.HTML(want) {
			t.Errorf("%s: %s is not the sheet of the file that goes out", file, got.Name)
		}
		p.send(app.SheetNumbers{})
		if got := p.handedOut(t); !strings.HasSuffix(got.Name, ".csv") || !bytes.Equal(got.Data, sheet.CSV(want)) {
			t.Errorf("%s: %s holds other numbers than the sheet", file, got.Name)
		}
	}
}

// Printing gives the page's foot, with number and date.
func TestSheetIsPrintedWithItsFoot(t *testing.T) {
	p := newAt(t, finishedFile, sheetHash(""))
	p.send(app.SheetPrint{})
	printed, ok := p.did[len(p.did)-1].(app.Print)
	if !ok || !strings.Contains(printed.Style, "DEMO") || !strings.Contains(printed.Style, "2026") {
		t.Errorf("%+v", p.did[len(p.did)-1])
	}
}

// What another device wrote is on the sheet at once.
func TestSheetFollowsItsBuild(t *testing.T) {
	p := newAt(t, finishedFile, sheetHash(""))
	before := p.m.Sheet.Sheet.Digest
	p.disk.keep([]book.Item{{ID: "00000000-0000-7000-8000-0000000000aa", Build: buildID, Kind: book.KindSet, Body: []byte(`{"path":"note","value":"chamfered"}`)}}, p.now)
	p.send(app.OtherTab{Build: buildID})
	p.settle()
	if s := p.m.Sheet.Sheet; s == nil || s.Note != "chamfered" || s.Digest == before {
		t.Errorf("the sheet is %+v", s)
	}
}

// Two passes of one build: first and last, then any other; the exhaust's
// opening moved from 103.2 to 101.7 as read (arithmetic of the readings).
func TestTwoPassesAreCompared(t *testing.T) {
	p := newAt(t, finishedFile, sheetHash(buildID))
	c := p.m.Sheet.Compared
	if c == nil || c.Names != [2]string{"as received", "finished"} {
		t.Fatalf("%+v", p.m.Sheet)
	}
	if cells := c.Table.Rows[1].Cells; !strings.HasPrefix(cells[1], "101.7 ±") || !strings.HasSuffix(cells[2], "earlier") {
		t.Errorf("exhaust opens %q", cells)
	}
	p.send(app.SheetPass{Side: 1, Place: 1})
	if c = p.m.Sheet.Compared; c == nil || !strings.HasPrefix(c.Table.Rows[1].Cells[2], "0.0 ±") {
		t.Errorf("a pass beside itself: %+v", p.m.Sheet)
	}
	p.send(app.SheetShare{})
	if got := p.handedOut(t); got.Name != "compared-DEMO-3-Demo-pond-pump-49-cut.html" || string(got.Data) != sheet.CompareHTML(c) {
		t.Errorf("%s went out", got.Name)
	}
	p.send(app.SheetPass{Side: 1, Place: 9})
	if !strings.Contains(p.m.Sheet.Err, "must be 1 to 2") {
		t.Errorf("a pass that is not there: %+v", p.m.Sheet)
	}
}

// A second build is read when the address names it, and said to be missing
// where it is.
func TestTwoBuildsAreCompared(t *testing.T) {
	const other = "00000000-0000-7000-8000-00000000b002"
	p := newAt(t, finishedFile, sheetHash(""))
	items := []book.Item{}
	for i, e := range p.disk.of(buildID) {
		items = append(items, book.Item{ID: fmt.Sprintf("00000000-0000-7000-8000-0000000c%04x", i), Build: other, Kind: e.Kind, Body: e.Body})
	}
	p.disk.keep(items, p.now)
	p.send(app.Navigated{Hash: sheetHash(other)})
	if p.m.Sheet.Compared != nil || p.m.Sheet.Err != "" {
		t.Fatalf("before the build is read: %+v", p.m.Sheet)
	}
	p.settle()
	if s := &p.m.Sheet; s.Compared == nil || s.Passes != [2]int{2, 2} || s.Compared.Names[0] == s.Compared.Names[1] {
		t.Fatalf("%+v", s)
	}
	p.send(app.Navigated{Hash: sheetHash("00000000-0000-7000-8000-00000000b003")})
	p.settle()
	if s := &p.m.Sheet; s.Compared != nil || !strings.Contains(s.Err, "not on this device") {
		t.Errorf("%+v", s)
	}
	p.send(app.Navigated{Hash: sheetHash("")})
	if s := &p.m.Sheet; s.Sheet == nil || s.Err != "" {
		t.Errorf("back at the sheet: %+v", s)
	}
}

// Squish that was measured again after a cut is that state's, typed at station
// Engine; so is a note.
func TestSquishAfterTheCutIsOnTheSheet(t *testing.T) {
	p := newAt(t, finishedFile, sheetHash(""))
	finished := "passes/" + p.m.Open.Build.Passes[1].ID
	give := func(path, text string) {
		t.Helper()
		p.send(app.Navigated{Hash: app.Route{Station: app.AtEngine, Build: buildID, Field: path}.Hash()})
		p.send(app.EngineType{Text: text})
		p.send(app.EngineKeep{})
		p.settle()
	}
	give(finished+".squish_mm[0]", "0.60")
	give(finished+".squish_mm[1]", "0.64")
	give(finished+".chamber_cc", "5.2")
	give(finished+".note", "1.2 mm BTDC, 9 bar")
	p.send(app.Navigated{Hash: sheetHash("")})
	// The mean of 0.60 and 0.64; (49.42 + 5.2)/5.2.
	page := sheet.Body(p.m.Sheet.Sheet)
	for _, want := range []string{">0.62 ±0.04\u00a0mm<", ">10.50 ±", "1.2 mm BTDC, 9 bar"} {
		if !strings.Contains(page, want) {
			t.Errorf("the sheet lacks %q", want)
		}
	}
}
