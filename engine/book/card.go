package book

import (
	"cmp"
	"strings"

	"portwright/engine/build"
	"portwright/engine/unit"
)

// CardOf returns the line that the Book shows of a build. The summary says what
// is known without computing findings: bore by stroke, windows and passes.
func CardOf(f Folded) Card {
	b := f.Build
	c := Card{Build: b.ID, Number: b.Number, Name: b.Name, State: b.State, Demo: b.Demo, Entries: f.Entries, TouchedMS: f.TouchedMS}
	for i := range b.Passes {
		for j := range b.Passes[i].Readings {
			if b.Passes[i].Readings[j].Struck == "" {
				c.Readings++
			}
		}
	}
	var say []string
	if e := b.Engine; e.Bore != nil && e.Stroke != nil {
		say = append(say, lengthsText(*e.Bore, *e.Stroke))
	} else if e.Stroke != nil {
		say = append(say, "stroke "+lengthsText(*e.Stroke))
	}
	if n := len(b.Windows); n > 0 {
		say = append(say, count(n, "window"))
	}
	if n := len(b.Passes); n > 0 {
		say = append(say, unit.Sprintf("%d %s", n, passWord(n)))
	}
	c.Summary = strings.Join(say, ", ")
	c.ScatterDeg2, c.ScatterDF = scatterOf(b)
	return c
}

func passWord(n int) string {
	if n == 1 {
		return "pass"
	}
	return "passes"
}

// lengthsText prints lengths as given where they share a unit, else in mm to
// 0.01, the unit behind the last.
func lengthsText(ls ...unit.Length) string {
	in := func(l unit.Length) unit.LengthUnit { return cmp.Or(l.Unit, unit.MM) }
	name := in(ls[0])
	for _, l := range ls {
		if in(l) != name {
			name = unit.MM
		}
	}
	var say []string
	for _, l := range ls {
		if in(l) == name {
			say = append(say, string(build.NumberJSON(l.Value)))
		} else {
			say = append(say, unit.Plain(l.MM(), 2))
		}
	}
	return strings.Join(say, " x ") + " " + string(name)
}
