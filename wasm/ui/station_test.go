package ui

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/vugu/html"

	"portwright/engine/book"
	"portwright/engine/build"
	"portwright/engine/build/demo"
	"portwright/engine/unit"
	"portwright/wasm/app"
)

const demoID = "0195a000-0000-7000-8000-00000000d001"

// newShelf is the book of a device with these cards.
func newShelf(cards ...book.Card) *desk {
	d := &desk{m: app.New(), now: 1_790_000_000_000}
	entries := 0
	for _, c := range cards {
		entries += c.Entries
	}
	d.send(app.Started{}, app.BookLoaded{Device: "00000000-0000-7000-8000-0000000000d1", Cards: cards,
		Storage: app.Storage{Known: true, Entries: entries, UsedMB: 1, QuotaMB: 2000}})
	return d
}

// newStation opens a build file at a station.
func newStation(t *testing.T, file []byte, station app.Station, field string, more ...book.Entry) *desk {
	t.Helper()
	b, err := build.Decode(file)
	if err != nil {
		t.Fatal(err)
	}
	if b.ID == "" {
		b.ID = demoID
	}
	n := 0
	ids := func() string { n++; return fmt.Sprintf("00000000-0000-7000-8000-0000000f%04x", n) }
	items, err := book.ItemsOf(b, ids)
	if err != nil {
		t.Fatal(err)
	}
	d := &desk{m: app.New(), now: 1_790_000_000_000}
	device := "00000000-0000-7000-8000-0000000000d1"
	entries, seq, _ := book.Stamp(items, device, 0, book.Clock{}, d.now, ids)
	d.seq = seq
	d.send(app.Started{Hash: app.Route{Station: station, Build: b.ID, Field: field}.Hash()},
		app.BookLoaded{Device: device},
		app.BuildLoaded{Build: b.ID, Entries: append(entries, more...)})
	return d
}

// caseFile is the build of a worked case.
func caseFile(t *testing.T, name string) []byte {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("..", "..", "testdata", "cases", name+".json"))
	if err != nil {
		t.Fatal(err)
	}
	var c struct{ Build json.RawMessage }
	if err := json.Unmarshal(data, &c); err != nil {
		t.Fatal(err)
	}
	return c.Build
}

// otherStroke is what another device set, not knowing of this one's value.
func otherStroke() book.Entry {
	body, _ := json.Marshal(book.SetBody{Path: "engine.stroke_mm", Value: json.RawMessage(`{"in":1.28}`)})
	return book.Entry{ID: "00000000-0000-7000-8000-0000000000c1", Device: "00000000-0000-7000-8000-0000000000d2", Seq: 1,
		Clock: book.Clock{MS: 1_790_000_060_000}, Build: demoID, Kind: book.KindSet, Body: body}
}

// twoPasses is an invented twin, its first cylinder read twice.
const twoPasses = `{"format":"portwright-build","version":1,"name":"Twin","engine":{"cylinders":2,"stroke_mm":40,"rod_mm":75},
 "windows":[{"name":"exhaust","kind":"exhaust"},{"name":"transfer","kind":"transfer"}],
 "passes":[{"name":"as received","cylinder":1,"stops":[{"when":"before","near":"tdc","readings":[338,22]}],"readings":[
  {"window":"exhaust","event":"opens","value":95},{"window":"exhaust","event":"opens","value":95.5},{"window":"exhaust","event":"closes","value":265},
  {"window":"transfer","event":"opens","value":118},{"window":"transfer","event":"opens","value":118}]},
 {"name":"as received","cylinder":2,"readings":[{"window":"exhaust","event":"opens","value":96.5},{"window":"transfer","event":"opens","value":118.5}]},
 {"name":"after base cut","cylinder":1,"stops":[{"when":"before","near":"tdc","readings":[338,22]}],"readings":[
  {"window":"exhaust","event":"opens","value":98},{"window":"exhaust","event":"opens","value":98.5},{"window":"exhaust","event":"closes","value":262},
  {"window":"transfer","event":"opens","value":121.5},{"window":"transfer","event":"opens","value":122}]}]}`

func cards(n int) []book.Card {
	var out []book.Card
	for i := range n {
		out = append(out, book.Card{Build: fmt.Sprintf("b%04d", i), Number: fmt.Sprintf("2026-%03d", i), Name: "Pond pump", Entries: 40,
			Summary: "44 x 32.5 mm, 4 windows, 1 pass", Readings: 24, TouchedMS: 1_780_000_000_000 + int64(i)*60_000})
	}
	return out
}

// stationPages are the pages that are held.
func stationPages(t *testing.T) map[string]*desk {
	pages := map[string]*desk{
		"book_empty":       newShelf(),
		"book_cards":       newShelf(append(cards(3), book.Card{Build: demoID, Number: "DEMO-1", Name: "Demo: pond pump 49", Demo: true, Readings: 24, Entries: 82, TouchedMS: 1_790_000_000_000})...),
		"book_many":        newShelf(cards(120)...),
		"book_pair":        newShelf(cards(1)...),
		"book_bad_file":    newShelf(),
		"book_known_file":  newShelf(book.Card{Build: demoID, Number: "DEMO-1", Name: "Demo: pond pump 49", Demo: true, Entries: 82}),
		"engine_list":      newStation(t, demo.Build(), app.AtEngine, ""),
		"engine_field":     newStation(t, demo.Build(), app.AtEngine, "engine.rod_mm"),
		"engine_doubt":     newStation(t, demo.Build(), app.AtEngine, "engine.squish_mm[0]"),
		"engine_refused":   newStation(t, demo.Build(), app.AtEngine, "engine.rod_mm"),
		"engine_choice":    newStation(t, demo.Build(), app.AtEngine, "wheel.numbers"),
		"engine_window":    newStation(t, demo.Build(), app.AtEngine, ""),
		"engine_conflict":  newStation(t, demo.Build(), app.AtEngine, "engine.stroke_mm", otherStroke()),
		"engine_learn":     newStation(t, demo.Build(), app.AtEngine, app.LearnPath),
		"book_sync":        newShelf(cards(1)...),
		"book_twins":       newShelf(append(cards(2), book.Card{Build: "other", Number: "2026-001", Name: "First look", Entries: 3})...),
		"book_waiting":     newShelf(cards(1)...),
		"findings_differ":  newStation(t, demo.Build(), app.AtFindings, "", otherStroke()),
		"findings_demo":    newStation(t, demo.Build(), app.AtFindings, ""),
		"findings_slipped": newStation(t, caseFile(t, "slipped_wheel"), app.AtFindings, ""),
		"findings_applied": newStation(t, caseFile(t, "slipped_wheel"), app.AtFindings, ""),
		"findings_passes":  newStation(t, []byte(twoPasses), app.AtFindings, ""),
		"findings_depths":  newStation(t, caseFile(t, "depths_48cc"), app.AtFindings, ""),
		"findings_none":    newStation(t, []byte(`{"format":"portwright-build","version":1,"name":"Bare"}`), app.AtFindings, ""),
	}
	cutsPages(t, pages)
	pages["section_demo"] = newStation(t, demo.Build(), app.AtSection, "")
	pages["section_demo"].send(app.SectionTo{Deg: 130})
	pages["section_passes"] = newStation(t, []byte(twoPasses), app.AtSection, "")
	pages["section_none"] = newStation(t, []byte(`{"format":"portwright-build","version":1,"name":"Bare"}`), app.AtSection, "")
	pages["book_cards"].send(app.BookMore{Build: demoID}, app.BookSettings{})
	pages["book_sync"].send(app.SyncTold{Entries: 40, SameMS: 1_790_000_000_000, OffsetMS: -7 * 60_000})
	pages["book_waiting"].send(app.SyncTold{Entries: 40, Lacks: 12, Others: 2, Code: "unreached"})
	pages["book_pair"].send(app.SyncTold{Code: "no_token"}, app.PairOpen{}, app.PairCode{Text: "7kq2 m9x"}, app.PairNow{}, app.Paired{Said: "code: has 7 characters; the one at Shop on the PC has 8."})
	pages["book_many"].send(app.BookPage{By: 1})
	pages["book_bad_file"].send(app.FilePicked{Name: "saw.json", Data: []byte(`{"format":"portwright-build","version":1,"name":"x","engine":{"stroke_mm":40,"rod_mm":12,"bore_mm":-3}}`)})
	pages["book_known_file"].send(app.FilePicked{Name: "demo.json", Data: demo.Build()})
	window := pages["engine_window"].m.Open.Build.Windows[0].ID
	pages["engine_window"].send(app.Navigated{Hash: app.Route{Station: app.AtEngine, Build: demoID, Field: "windows/" + window + ".name"}.Hash()})
	pages["engine_doubt"].send(app.EngineUnit{Unit: unit.Inch}, app.EngineType{Text: "0.20"})
	pages["engine_refused"].send(app.EngineType{Text: "12"}, app.EngineKeep{})
	for i, row := range [][2]string{{"5.6", "45"}, {"19.4", "93"}, {"31.5", "155"}} {
		pages["engine_learn"].send(app.LearnType{Row: i, Col: 0, Text: row[0]}, app.LearnType{Row: i, Col: 1, Text: row[1]})
	}
	pages["findings_applied"].send(app.ApplyRemedy{Problem: 0})
	return pages
}

func TestStationPages(t *testing.T) {
	for name, d := range stationPages(t) {
		t.Run(name, func(t *testing.T) {
			got := page(t, d.m)
			if dir := os.Getenv("PAGES"); dir != "" {
				writePage(t, dir, name, got)
			}
			golden(t, filepath.Join("testdata", name+".html"), got)
		})
	}
}

// What a screen reader needs stands on every page: one first heading, a name
// for each control and field, scopes on table headings, no id twice, and every
// id that a name points to.
func TestStationPagesCanBeHeard(t *testing.T) {
	for name, d := range stationPages(t) {
		t.Run(name, func(t *testing.T) {
			canBeHeard(t, page(t, d.m))
		})
	}
}

func canBeHeard(t *testing.T, page string) {
	t.Helper()
	root, err := html.Parse(strings.NewReader(page))
	if err != nil {
		t.Fatal(err)
	}
	h := hearing{t: t, ids: map[string]bool{}}
	h.walk(root)
	for _, ref := range h.refs {
		if !h.ids[ref] {
			t.Errorf("nothing has the id %q", ref)
		}
	}
	if h.first != 1 {
		t.Errorf("%d first headings, want 1", h.first)
	}
}

type hearing struct {
	t     *testing.T
	ids   map[string]bool
	refs  []string
	first int
}

func (h *hearing) walk(n *html.Node) {
	if n.Type == html.ElementNode {
		h.element(n)
	}
	for c := n.FirstChild; c != nil; c = c.NextSibling {
		h.walk(c)
	}
}

func (h *hearing) element(n *html.Node) {
	at := func(key string) string {
		for _, a := range n.Attr {
			if a.Key == key {
				return a.Val
			}
		}
		return ""
	}
	if id := at("id"); id != "" {
		if h.ids[id] {
			h.t.Errorf("two elements have the id %q", id)
		}
		h.ids[id] = true
	}
	for _, key := range []string{"aria-labelledby", "aria-describedby"} {
		h.refs = append(h.refs, strings.Fields(at(key))...)
	}
	named := at("aria-label") != "" || at("aria-labelledby") != ""
	switch n.Data {
	case "h1":
		h.first++
	case "button", "a", "summary":
		if !named && strings.TrimSpace(words(n)) == "" {
			h.t.Errorf("a %s without words", n.Data)
		}
	case "input", "textarea", "select":
		if p := n.Parent; !named && (p.Data != "label" || strings.TrimSpace(words(p)) == "") {
			h.t.Errorf("a field without a name: %v", n.Attr)
		}
	case "th":
		if at("scope") == "" {
			h.t.Errorf("a table heading without scope: %q", words(n))
		}
	case "svg":
		if at("aria-hidden") != "true" && (at("role") != "img" || !named) {
			h.t.Errorf("a picture that can't be heard")
		}
	}
}

// words is the text below a node.
func words(n *html.Node) string {
	if n.Type == html.TextNode {
		return n.Data
	}
	s := ""
	for c := n.FirstChild; c != nil; c = c.NextSibling {
		s += words(c)
	}
	return s
}

// The lists stay small whatever the book holds.
func TestAThousandBuildsAreFiftyCards(t *testing.T) {
	d := newShelf(cards(1000)...)
	got := page(t, d.m)
	if n := strings.Count(got, `class="build-card"`); n != app.PageSize {
		t.Errorf("%d cards on the page, want %d", n, app.PageSize)
	}
	if !strings.Contains(got, "1 to 50 of 1000 builds") {
		t.Error("the page does not say where it is")
	}
}

// A name is text wherever it is shown, also inside the pictures.
func TestNamesAreText(t *testing.T) {
	evil := `</title><script>alert(1)</script><img src=x onerror=alert(1)>"'&`
	name, _ := json.Marshal(evil)
	file := []byte(`{"format":"portwright-build","version":1,"name":` + string(name) + `,"windows":[{"name":` + string(name) + `,"kind":"exhaust"}],
		"passes":[{"name":` + string(name) + `,"readings":[{"window":` + string(name) + `,"event":"opens","value":100}]}]}`)
	for _, station := range []app.Station{app.AtEngine, app.AtBench, app.AtFindings} {
		got := page(t, newStation(t, file, station, "").m)
		root, err := html.Parse(strings.NewReader(got))
		if err != nil {
			t.Fatal(err)
		}
		var bad func(n *html.Node)
		bad = func(n *html.Node) {
			if n.Data == "script" || n.Data == "img" {
				t.Errorf("%s: the name became a %s", station, n.Data)
			}
			for c := n.FirstChild; c != nil; c = c.NextSibling {
				bad(c)
			}
		}
		bad(root)
		if !strings.Contains(words(root), "alert(1)") {
			t.Errorf("%s: the name is not shown", station)
		}
	}
}

// Two cylinders as received are two things, not one that changed, and a button
// of a pass says which of them it leads to.
func TestPassesOfSeveralCylinders(t *testing.T) {
	d := newStation(t, []byte(twoPasses), app.AtFindings, "")
	passes := d.m.Open.Results.Passes
	d.send(app.BenchPass{Pass: passes[1].ID})
	got := page(t, d.m)
	if want := ">Difference from cylinder 1, as received<"; !strings.Contains(got, want) || strings.Contains(got, "Changed since") {
		t.Errorf("findings of cylinder 2 beside cylinder 1 lack %q", want)
	}
	d.send(app.BenchPass{Pass: passes[2].ID})
	if want := ">Changed since as received<"; !strings.Contains(page(t, d.m), want) {
		t.Errorf("findings of cylinder 1 after a cut lack %q", want)
	}
	section := page(t, newStation(t, []byte(twoPasses), app.AtSection, "").m)
	for _, want := range []string{">as received, cylinder 1<", ">as received, cylinder 2<", ">after base cut, cylinder 1<"} {
		if !strings.Contains(got, want) {
			t.Errorf("no button %q on Findings", want)
		}
		if !strings.Contains(section, want) {
			t.Errorf("no button %q on Section", want)
		}
	}
}
