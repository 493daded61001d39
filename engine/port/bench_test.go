package port_test

import (
	"testing"

	"portwright/engine/stat"
)

func BenchmarkTravelAt(b *testing.B) {
	g := known(b, 34, 60, 1)
	a := stat.Estimate{Value: 100, Parts: []stat.Component{{Name: "reading", U: 0.3, DF: 10, C: 1}}}
	b.ReportAllocs()
	for b.Loop() {
		if g.TravelAt(a).Value == 0 {
			b.Fatal("no travel")
		}
	}
}
