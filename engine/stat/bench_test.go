package stat_test

import (
	"fmt"
	"testing"

	"portwright/engine/stat"
)

func BenchmarkWild(b *testing.B) {
	for _, n := range []int{3, 10, 100} {
		b.Run(fmt.Sprintf("events=%d", n), func(b *testing.B) {
			groups := make([][]float64, n)
			for g := range groups {
				groups[g] = []float64{100, 100.5, 101}
			}
			b.ReportAllocs()
			for b.Loop() {
				if _, err := stat.Wild(groups, 0.5); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkU95(b *testing.B) {
	e := stat.Estimate{Value: 102.5, Parts: []stat.Component{{Name: "scatter", U: 0.2, DF: 10, C: 1}, {Name: "step", U: 0.144, C: 1}, {Name: "zero", U: 0.15, C: -1}}}
	d := e.Minus(stat.Estimate{Value: 20, Parts: []stat.Component{{Name: "zero", U: 0.15, C: -1}}})
	b.ReportAllocs()
	for b.Loop() {
		if _, err := d.U95(); err != nil {
			b.Fatal(err)
		}
	}
}
