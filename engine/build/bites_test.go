package build_test

import (
	"slices"
	"testing"

	"portwright/engine/build"
)

// A bite belongs after the pass of its own cylinder that it names, or before all;
// what is struck out counts nowhere.
func TestBitesBelongToPasses(t *testing.T) {
	b := &build.Build{Passes: []build.Pass{{Name: "one"}, {Name: "one", Cylinder: 2}, {Name: "two"}}}
	b.Bites = []build.Bite{{Pass: "two"}, {}, {Pass: "one"}, {Pass: "one", Cylinder: 2}, {Pass: "one", Struck: "no"}, {Pass: "one", Cylinder: 1}, {Cylinder: 2}}
	for _, c := range []struct {
		cylinder, from, pass int
		want                 []int
	}{
		{1, -1, 0, []int{1}}, {0, 0, 1, []int{2, 5}}, {1, 1, 2, nil}, {1, -1, 2, []int{1, 2, 5}}, {1, -1, 3, []int{1, 2, 5, 0}},
		{2, -1, 1, []int{6}}, {2, -1, 3, []int{6, 3}},
	} {
		if got := b.BitesBefore(c.cylinder, c.from, c.pass); !slices.Equal(got, c.want) {
			t.Errorf("cylinder %d, passes %d to %d: %v, want %v", c.cylinder, c.from, c.pass, got, c.want)
		}
	}
}
