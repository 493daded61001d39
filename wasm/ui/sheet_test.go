package ui

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"portwright/wasm/app"
)

// The pages of station Sheet: they can be heard, and hold what they must.
func TestSheetPages(t *testing.T) {
	finished, err := os.ReadFile(filepath.Join("..", "..", "engine", "sheet", "testdata", "finished.json"))
	if err != nil {
		t.Fatal(err)
	}
	passes := newStation(t, finished, app.AtSheet, demoID)
	chosen := newShelf(cards(2)...)
	chosen.send(app.BookMore{Build: "b0000"}, app.BookCompare{Build: "b0000"})
	for name, c := range map[string]struct {
		d    *desk
		want []string
	}{
		"cut":      {newStation(t, finished, app.AtSheet, ""), []string{`id="sheet-print"`, `id="sheet-share"`, `class="paper"`, "Before and after", "101.7 ±", "plating dust", `class="portmap"`, "Compare two passes", "SHA-256 ", "Give the squish after the cut", "Give the chamber after the cut"}},
		"planned":  {newStation(t, cutFile(t), app.AtSheet, ""), []string{"aim, not read yet", "101.0 ±", "First bite", `class="cut-roof"`}},
		"none":     {newStation(t, []byte(`{"format":"portwright-build","version":1,"name":"Bare"}`), app.AtSheet, ""), []string{"Not read yet.", "not known"}},
		"passes":   {passes, []string{"second less first", "Back to the sheet", `aria-pressed="true"`, "as received and finished"}},
		"one pass": {newStation(t, cutFile(t), app.AtSheet, ""), []string{"Two builds are compared from the Book"}},
		"reading":  {newStation(t, cutFile(t), app.AtSheet, "other"), []string{"Reading the other build"}},
		"book":     {chosen, []string{"2026-000 Pond pump", "to be compared with?", "This is the first of the two", "Compare with this one", `href="#b/b0000/sheet/b0001"`}},
	} {
		t.Run(name, func(t *testing.T) {
			got := page(t, c.d.m)
			if dir := os.Getenv("PAGES"); dir != "" {
				writePage(t, dir, "sheet_"+name, got)
			}
			for _, want := range c.want {
				if !strings.Contains(got, want) {
					t.Errorf("the page lacks %q", want)
				}
			}
			if name == "one pass" && strings.Contains(got, "Compare two passes") {
				t.Error("one pass can't be compared")
			}
			if name != "reading" {
				canBeHeard(t, got)
			}
		})
	}
}
