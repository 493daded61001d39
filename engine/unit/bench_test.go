package unit_test

import (
	"encoding/json"
	"testing"

	"portwright/engine/unit"
)

func BenchmarkParseNumber(b *testing.B) {
	for _, s := range []string{"104.5", "104½"} {
		b.Run(s, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := unit.ParseNumber(s); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkLengthJSON(b *testing.B) {
	in := []byte(`{"in":1.145}`)
	b.ReportAllocs()
	for b.Loop() {
		var l unit.Length
		if err := json.Unmarshal(in, &l); err != nil {
			b.Fatal(err)
		}
	}
}
