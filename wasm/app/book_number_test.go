package app_test

import (
	"fmt"
	"slices"
	"testing"

	"portwright/engine/book"
	"portwright/engine/build"
	"portwright/wasm/app"
	"portwright/wasm/view"
)

// Two phones without the shop PC give one number twice: both cards say so, and
// a tap on either gives that one the next.
func TestANumberTwiceIsSaidAndMended(t *testing.T) {
	p := newBench()
	p.send(app.Navigated{Hash: ""})
	p.settle()
	n := 0x300
	for _, id := range []string{"00000000-0000-7000-8000-0000000000a1", "00000000-0000-7000-8000-0000000000a2"} {
		items, err := book.ItemsOf(&build.Build{ID: id, Number: "2026-001", Name: id[34:]}, func() string { n++; return fmt.Sprintf("%s%03d", id[:33], n) })
		if err != nil {
			t.Fatal(err)
		}
		p.disk.keep(items, p.now)
	}
	p.send(app.OtherTab{})
	p.settle()
	said := func() (out []string) {
		for _, c := range view.Of(p.m).Book.Cards {
			if c.Twins != "" {
				out = append(out, c.Name+": "+c.Twins)
			}
		}
		slices.Sort(out)
		return out
	}
	if got := said(); !slices.Equal(got, []string{"a1: 2 builds have number 2026-001.", "a2: 2 builds have number 2026-001."}) {
		t.Fatalf("says %q", got)
	}
	const second = "00000000-0000-7000-8000-0000000000a2"
	for range 2 { // the second tap finds nothing to do
		p.send(app.BuildTask{Kind: app.TaskNumber, Build: second})
		p.settle()
	}
	if got := book.Fold(p.disk.of(second)); got.Build.Number != "2026-002" || len(got.Conflicts) > 0 || len(said()) > 0 {
		t.Errorf("number %q, conflicts %+v, says %q", got.Build.Number, got.Conflicts, said())
	}
	if got := book.Fold(p.disk.of("00000000-0000-7000-8000-0000000000a1")).Build.Number; got != "2026-001" {
		t.Errorf("the other has %q", got)
	}
}
