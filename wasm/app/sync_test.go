package app_test

import (
	"slices"
	"strings"
	"testing"

	"portwright/wasm/app"
	"portwright/wasm/view"
)

// What the Book says of the sync, as the sync goes on.
func TestSyncWords(t *testing.T) {
	const same = 1_790_000_000_000
	p := newPhone(newDisk())
	p.start("")
	says := func(told app.SyncTold, has, hasNot []string) {
		t.Helper()
		p.send(told)
		got := strings.Join(view.Of(p.m).Book.Sync, " ")
		for _, want := range has {
			if !strings.Contains(got, want) {
				t.Errorf("%+v\nsays %q\nwithout %q", told, got, want)
			}
		}
		for _, bad := range hasNot {
			if strings.Contains(got, bad) {
				t.Errorf("%+v\nsays %q\nwith %q", told, got, bad)
			}
		}
	}
	list := func(words ...string) []string { return words }
	says(app.SyncTold{SameMS: same}, list("Nothing is in the book yet."), list("On the shop PC", "as of"))
	says(app.SyncTold{SameMS: same, Code: "unreached"}, list("Nothing is in the book yet.", "not reached"), list("as of"))
	notYet := "not yet on the shop PC"
	says(app.SyncTold{Asking: true, Gets: true, Entries: 8000, SameMS: same}, list("Receiving"), list(notYet, "Sending"))
	says(app.SyncTold{Asking: true, Lacks: 3, Entries: 8000}, list("3 entries "+notYet, "Sending"), list("Receiving"))
	says(app.SyncTold{Asking: true, Lacks: 3, Others: 3, Entries: 8000}, list(notYet), list("Sending", "Receiving"))
	says(app.SyncTold{Lacks: 3, Others: 3, SameMS: same, Entries: 8000}, list("itself; not yet there 2"), nil)
	says(app.SyncTold{Lacks: 3, Code: "unreached", Entries: 8000}, list("3 entries "+notYet, "not reached"), nil)
	says(app.SyncTold{SameMS: same, Entries: 8000}, list("On the shop PC, "), list("know"))

	never := app.SyncTold{Code: "no_token", SameMS: same, Entries: 8000}
	says(never, list("is not paired"), list("does not know"))
	p.send(app.Paired{Token: "t"})
	if got := view.Of(p.m).Book.Sync; !slices.Equal(got, list("All on this device.")) {
		t.Errorf("just paired: %q", got)
	}
	says(never, list("All on this device.", "does not know this device", "is not known", "Pair again."), list("On the shop PC", "on the shop PC as of"))
	if !p.m.Unpaired() {
		t.Error("the code can't be typed")
	}
}
