package sheet

import (
	"errors"
	"strings"
	"testing"

	"portwright/engine/unit"
)

// A pass against itself differs by nothing, and against another the other way
// round by the opposite.
func TestCompareIsFair(t *testing.T) {
	b := finished(t)
	compare := func(p, q int) *Table {
		c, err := Compare(Side{Build: b, Pass: p}, Side{Build: b, Pass: q})
		if err != nil {
			t.Fatal(err)
		}
		return &c.Table
	}
	for _, r := range compare(1, 1).Rows {
		if r.Cells != nil && r.Cells[2] != "" && !strings.HasPrefix(strings.TrimPrefix(r.Cells[2], "+"), "0.0") {
			t.Errorf("%s against itself: %q", r.Name, r.Cells)
		}
	}
	there, back := row(t, compare(1, 2), "exhaust", "Duration").Cells, row(t, compare(2, 0), "exhaust", "Duration").Cells
	if !strings.HasPrefix(there[2], "+3.0 ±") || !strings.HasPrefix(back[2], "+0.0 ±") {
		t.Errorf("%q, %q", there, back) // 0 is the last, the second
	}
	if back = row(t, compare(2, 1), "exhaust", "Duration").Cells; back[2] != strings.Replace(there[2], "+", "−", 1) || back[0] != there[1] {
		t.Errorf("%q the other way round is %q", there, back)
	}
}

// Two builds: named apart, sizes side by side, displacement compared as well.
func TestCompareTwoBuilds(t *testing.T) {
	a, b := finished(t), finished(t)
	b.Number, b.Engine.Bore = "DEMO-4", &unit.Length{Value: 46}
	c, err := Compare(Side{Build: a}, Side{Build: b})
	if err != nil {
		t.Fatal(err)
	}
	if c.Names[0] == c.Names[1] || !c.Demo {
		t.Errorf("names %q", c.Names)
	}
	// pi/4 (46^2 - 44^2) 32.5/1000 = 4.595 cm3
	if r := row(t, &c.Table, "Cylinder", "Displacement"); !strings.HasPrefix(r.Cells[2], "+4.59 ±") && !strings.HasPrefix(r.Cells[2], "+4.60 ±") {
		t.Errorf("%q", r.Cells)
	}
	if r := c.Engine.Rows[0]; r.Cells[0] != "44 mm ±0.04 mm, doubt assumed" || r.Cells[1] != "46 mm ±0.04 mm, doubt assumed" {
		t.Errorf("%q", r.Cells)
	}
	page := CompareHTML(c)
	if strings.Count(page, `class="portmap"`) != 2 || !strings.Contains(page, `class="areas"`) || !strings.Contains(page, `class="ring"`) {
		t.Error("a picture is missing")
	}
}

func TestCompareRefuses(t *testing.T) {
	var in *unit.InputError
	if _, err := Compare(Side{Build: finished(t)}, Side{Build: finished(t), Pass: 3}); !errors.As(err, &in) || in.Field != "second pass" {
		t.Errorf("%v", err)
	}
	none := finished(t)
	none.Passes, none.Bites = nil, nil
	if _, err := Compare(Side{Build: none}, Side{Build: finished(t)}); !errors.As(err, &in) || in.Field != "first pass" {
		t.Errorf("%v", err)
	}
}
