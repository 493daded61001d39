package port

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// The height between the edges, summed over the openings, is the area that the
// closed form gives. Source: an area is the integral of its height.
func TestEdgesEncloseTheArea(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := Shape{Chord: rapid.Float64Range(10, 40).Draw(t, "chord"), Height: rapid.Float64Range(9, 20).Draw(t, "height"),
			CornerTop: rapid.Float64Range(0, 4).Draw(t, "top"), CornerBottom: rapid.Float64Range(0, 4).Draw(t, "bottom"),
			Bridges: rapid.IntRange(0, 2).Draw(t, "bridges"), BridgeWidth: rapid.Float64Range(0.5, 2).Draw(t, "bridge")}
		if rapid.Bool().Draw(t, "arched") {
			s.Arch = rapid.Float64Range(0, 1).Draw(t, "arch")
		}
		if s.Check() != nil {
			return
		}
		sum := 0.0
		for _, o := range s.Openings() {
			const n = 4000 // the midpoint rule; corners' steep ends leave an error of n^-1.5
			step := (o[1] - o[0]) / n
			for i := range n {
				roof, floor := s.Edge(o[0] + (float64(i)+0.5)*step)
				sum += (floor - roof) * step
			}
		}
		if want := s.FullArea(); math.Abs(sum-want) > 2e-4*want {
			t.Fatalf("%+v: %v between the edges, area %v", s, sum, want)
		}
	})
}

// A shape of straight lines and quarter circles. Source: plane geometry.
func TestEdgeOfRoundedCorners(t *testing.T) {
	s := Shape{Chord: 20, Height: 10, CornerTop: 4, CornerBottom: 2}
	for _, c := range [][3]float64{{0, 0, 10}, {6, 0, 10}, {10, 4, 8}, {-10, 4, 8}, {8, 4 - math.Sqrt(12), 10}, {9, 4 - math.Sqrt(7), 8 + math.Sqrt(3)}} {
		if roof, floor := s.Edge(c[0]); math.Abs(roof-c[1]) > 1e-9 || math.Abs(floor-c[2]) > 1e-9 {
			t.Errorf("at %v: %v and %v, want %v and %v", c[0], roof, floor, c[1], c[2])
		}
	}
}
