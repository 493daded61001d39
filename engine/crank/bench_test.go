package crank_test

import (
	"fmt"
	"testing"

	"portwright/engine/crank"
	"portwright/engine/unit"
)

func BenchmarkAngles(b *testing.B) {
	m, err := crank.New(34, 60, 1)
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, _, err := m.Angles(22.335056); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkTravel(b *testing.B) {
	m, err := crank.New(34, 60, 1)
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		m.Travel(1.7453)
	}
}

func BenchmarkFit(b *testing.B) {
	m, err := crank.New(34, 60, 0)
	if err != nil {
		b.Fatal(err)
	}
	for _, n := range []int{4, 12, 40} {
		b.Run(fmt.Sprintf("pairs=%d", n), func(b *testing.B) {
			s := crank.Setup{Stroke: known(34), Rod: free, Deck: free, Zero: free}
			for i := range n {
				a := unit.Rad(20 + 320*float64(i)/float64(n-1))
				s.Pairs = append(s.Pairs, crank.Pair{Depth: 0.3 + m.Travel(a) + 0.01*float64(i%3-1), Angle: a + 0.05, UDepth: 0.02, UAngle: 0.003})
			}
			b.ReportAllocs()
			for b.Loop() {
				if _, err := crank.Fit(s); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
