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
