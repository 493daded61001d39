package app_test

import (
	"strings"

	"pgregory.net/rapid"

	"portwright/engine/book"
	"portwright/engine/findings"
	"portwright/wasm/app"
)

// sameFindings: what is on the screen is what the entries say, or the reason
// why nothing can be said.
func sameFindings(t *rapid.T, m *app.Model) {
	if strings.HasPrefix(m.Open.Err, app.ComputingFailed) {
		t.Fatal(m.Open.Err)
	}
	want, err := findings.Run(book.Fold(m.Open.Entries).Build, findings.Options{})
	switch {
	case err != nil && (m.Open.Results != nil || m.Open.Err != err.Error()):
		t.Fatalf("findings refuse with %q, the app says %q", err, m.Open.Err)
	case err == nil && m.Open.Err != "":
		t.Fatalf("findings are there, the app says %q", m.Open.Err)
	case err == nil && asJSON(t, m.Open.Results) != asJSON(t, want):
		t.Fatalf("findings are not what the entries say:\n got %s\nwant %s", asJSON(t, m.Open.Results), asJSON(t, want))
	}
}

// sameCuts: the plan on the screen is what it would be if it were made now, and
// a nudge never makes two values of one device.
func sameCuts(t *rapid.T, m *app.Model) {
	if m.Station != app.AtCuts {
		return
	}
	if strings.HasPrefix(m.Cuts.Plan.Err, app.PlanFailed) {
		t.Fatal(m.Cuts.Plan.Err)
	}
	if got, want := asJSON(t, m.Cuts.Plan), asJSON(t, m.CutsFresh()); got != want {
		t.Fatalf("the plan is not what the numbers say:\n got %s\nwant %s", got, want)
	}
}
