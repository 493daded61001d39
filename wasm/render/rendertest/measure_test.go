//go:build !js

package rendertest

import "testing"

// TestMeasure checks that the measurement measures: the taps counted, and no
// time is zero. How long it takes is for the bench command to say.
func TestMeasure(t *testing.T) {
	b := open(t, "list") // Measure opens the table itself
	m := Measure(b.Page, shared.url, 5)
	t.Logf("%+v", m)
	if m.FirstMS <= 0 || m.UpdateMS <= 0 || m.UpdateWorstMS < m.UpdateMS || m.UpdateCPUMS <= 0 || m.Nodes < 12_000 || m.ProgramBytesFirst < 100_000 {
		t.Errorf("measured %+v", m)
	}
	shows(t, b, "#count", "5")
}
