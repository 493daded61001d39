package app_test

import (
	"os"
	"testing"

	"portwright/engine/book"
	"portwright/engine/build"
	"portwright/wasm/app"
)

// newCuts is a phone at station Cuts of an invented build of testdata/builds.
func newCuts(t *testing.T, file string) *phone {
	t.Helper()
	data, err := os.ReadFile("../../testdata/builds/" + file)
	if err != nil {
		t.Fatal(err)
	}
	b, err := build.Decode(data)
	if err != nil {
		t.Fatal(err)
	}
	b.ID = buildID
	d := newDisk()
	n := 0
	items, err := book.ItemsOf(b, func() string { n++; return app.Input{Fresh: "00000000-0000-7000-8000-00000000a000"}.ID(n) })
	if err != nil {
		t.Fatal(err)
	}
	d.keep(items, 1_780_000_000_000)
	p := newPhone(d)
	p.start(app.Route{Station: app.AtCuts, Build: buildID}.Hash())
	return p
}

func TestZZ(t *testing.T) {
	p := newCuts(t, "demo.json")
	p.send(app.CutsWant{Key: "exhaust_opens_deg"})
	p.send(app.CutsNudge{Key: "exhaust_opens_deg", By: -3})
	p.send(app.CutsAllow{Move: "exhaust_roof"})
	p.next(true)
	p.settle()
	t.Log(p.m.Open.Build.Allowed.ExhaustRoof)
	p.send(app.CutsAllow{Move: "transfer_roof"})
	p.settle()
	t.Log(p.m.Open.Build.Allowed)
	p.send(app.CutsSettle{N: 2})
	p.settle()
	t.Log(p.m.Open.Build.Allowed, p.m.Open.Fold.Unread, len(p.m.Open.Entries))
}
