package ui

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"portwright/engine/book"
	"portwright/wasm/app"
)

// cutFile is the demo build with targets, moves and limits.
func cutFile(t *testing.T) []byte {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("..", "..", "testdata", "builds", "cut.json"))
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// otherRoom is what another device allowed, not knowing of this one's bound.
func otherRoom() book.Entry {
	body, _ := json.Marshal(book.SetBody{Path: "moves_allowed.exhaust_roof_mm", Value: json.RawMessage(`{"max":{"thou":40}}`)})
	return book.Entry{ID: "00000000-0000-7000-8000-0000000000c2", Device: "00000000-0000-7000-8000-0000000000d2", Seq: 1,
		Clock: book.Clock{MS: 1_790_000_060_000}, Build: demoID, Kind: book.KindSet, Body: body}
}

// cutsPages are the pages of station Cuts that are held.
func cutsPages(t *testing.T, pages map[string]*desk) {
	cut := func(field string) *desk { return newStation(t, cutFile(t), app.AtCuts, field) }
	pages["cuts_none"] = newStation(t, []byte(`{"format":"portwright-build","version":1,"name":"Bare"}`), app.AtCuts, "")
	pages["cuts_solved"] = cut("")
	pages["cuts_limited"] = newStation(t, caseFile(t, "plan_limited_by_duration"), app.AtCuts, "")
	pages["cuts_impossible"] = newStation(t, caseFile(t, "plan_contradiction"), app.AtCuts, "")
	pages["cuts_what_if"] = cut("")
	pages["cuts_what_if"].send(app.CutsMode{WhatIf: true}, app.CutsTryBy{Path: "crown_cut/", By: 4})
	pages["cuts_nudged"] = cut("")
	pages["cuts_nudged"].send(app.CutsNudge{Key: "exhaust_opens_deg", By: -3}, app.CutsWant{Key: "blowdown_deg"}, app.CutsWant{Key: "intake_opens_deg"})
	pages["cuts_target"] = cut("targets.exhaust_opens_deg")
	pages["cuts_target"].send(app.EngineType{Text: "200"}, app.EngineKeep{})
	pages["cuts_rod_unknown"] = newStation(t, bytes.Replace(cutFile(t), []byte(`"rod_mm": 58,`), nil, 1), app.AtCuts, "")
	pages["cuts_read_again"] = cut("targets.exhaust_opens_deg")
	pages["cuts_read_again"].send(app.EngineType{Text: "102.9"}, app.EngineKeep{}, app.CutsLeave{Key: "squish_mm"}, app.CutsLeave{Key: "transfer_opens_deg"},
		app.Navigated{Hash: app.Route{Station: app.AtCuts, Build: demoID}.Hash()})
	pages["cuts_differ"] = newStation(t, cutFile(t), app.AtCuts, "", otherRoom())
	pages["cuts_bite"] = cut("bite/base_cut/")
	pages["cuts_bitten"] = cut("bite/base_cut/")
	pages["cuts_bitten"].send(app.EngineType{Text: "0.2"}, app.EngineKeep{}, app.Navigated{Hash: app.Route{Station: app.AtCuts, Build: pages["cuts_bitten"].m.Open.ID}.Hash()})
}

// A rod that is not known adds to the doubt of the depths and is said, with the
// way to give it; a depth within its doubt has no bite at all.
func TestCutsSayTheirDoubt(t *testing.T) {
	pages := map[string]*desk{}
	cutsPages(t, pages)
	doubt := func(name string) (all float64) {
		for _, s := range pages[name].m.Cuts.Plan.Result.Moves {
			if s.U95MM != nil {
				all += *s.U95MM
			}
		}
		return all
	}
	if known, unknown := doubt("cuts_solved"), doubt("cuts_rod_unknown"); unknown <= known {
		t.Errorf("depths are in doubt by %v mm in all without the rod, %v with it", unknown, known)
	}
	for name, wants := range map[string][]string{
		"cuts_rod_unknown": {"The rod was not measured", "Give the rod length"},
		"cuts_differ":      {"at most 40 thou", "at most 2 mm", "Two devices set <span>exhaust roof raised, at most"},
		"cuts_read_again":  {"Read again first", "Read again before cutting.", "To the bench"},
	} {
		got := page(t, pages[name].m)
		for _, want := range wants {
			if !strings.Contains(got, want) {
				t.Errorf("%s does not say %q", name, want)
			}
		}
	}
}
