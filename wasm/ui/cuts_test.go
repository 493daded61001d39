package ui

import (
	"os"
	"path/filepath"
	"testing"

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
	pages["cuts_bite"] = cut("bite/base_cut/")
	pages["cuts_bitten"] = cut("bite/base_cut/")
	pages["cuts_bitten"].send(app.EngineType{Text: "0.2"}, app.EngineKeep{}, app.Navigated{Hash: app.Route{Station: app.AtCuts, Build: pages["cuts_bitten"].m.Open.ID}.Hash()})
}
