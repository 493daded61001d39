package wheel_test

import (
	"testing"

	"portwright/engine/stat"
	"portwright/engine/wheel"
)

func BenchmarkResolve(b *testing.B) {
	for _, n := range []wheel.Numbering{wheel.To360, wheel.To180, wheel.To90} {
		b.Run(string(n), func(b *testing.B) {
			w := wheel.Wheel{Numbering: n}
			b.ReportAllocs()
			for b.Loop() {
				if _, err := w.Resolve(80, 2, wheel.Hint{}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkFindZero(b *testing.B) {
	w := wheel.Wheel{Numbering: wheel.To360}
	checks := []wheel.Check{{Pair: wheel.Pair{First: 341, Second: 23}}, {Pair: wheel.Pair{First: 341, Second: 23}, After: true}}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := w.FindZero(checks, stat.Pool{SD: 0.3, DF: 20}, 0.5, nil); err != nil {
			b.Fatal(err)
		}
	}
}
