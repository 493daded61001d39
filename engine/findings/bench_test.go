package findings_test

import (
	"testing"

	"portwright/engine/findings"
)

// BenchmarkRun times a full pass: five windows, ten events read three times
// each, stop checks before and after. Budget: 1 ms.
func BenchmarkRun(b *testing.B) {
	for _, c := range []struct {
		name  string
		moved float64
	}{{"healthy", 0}, {"slipped", 4}} {
		b.Run(c.name, func(b *testing.B) {
			doc := anEngine(seeded(1)).read(13, c.moved)
			b.ReportAllocs()
			for b.Loop() {
				if _, err := findings.Run(doc, findings.Options{}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
