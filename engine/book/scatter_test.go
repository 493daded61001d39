package book_test

import (
	"math"
	"testing"

	"portwright/engine/book"
)

// The pooled sum of squares of 1, 2, 3 and 359, 1 is 2 + 2 at 2 + 1 degrees of
// freedom (JCGM 100:2008, 4.2.2: sum of squared distances from the mean, n - 1).
func TestScatterOfTheCard(t *testing.T) {
	p := newPhone("a")
	p.start()
	for _, x := range []float64{101, 102, 103} {
		p.read("p1", "w1", "opens", x)
	}
	p.read("p1", "w1", "closes", 359)
	p.read("p1", "w1", "closes", 1)
	p.write(book.StrikeItem("", theBuild, p.read("p1", "w1", "opens", 140), "misread"))
	c := book.CardOf(p.fold())
	if math.Abs(c.ScatterDeg2-4) > 1e-9 || c.ScatterDF != 3 {
		t.Errorf("squares %v at %v degrees of freedom, want 4 at 3", c.ScatterDeg2, c.ScatterDF)
	}
	p.read("p1", "w1", "closes", 20) // misread: no scatter of the hand
	if c := book.CardOf(p.fold()); math.Abs(c.ScatterDeg2-2) > 1e-9 || c.ScatterDF != 2 {
		t.Errorf("squares %v at %v degrees of freedom, want 2 at 2", c.ScatterDeg2, c.ScatterDF)
	}
}
