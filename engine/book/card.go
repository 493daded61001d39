package book

import (
	"fmt"
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
		say = append(say, lengthText(*e.Bore)+" x "+lengthText(*e.Stroke))
	} else if e.Stroke != nil {
		say = append(say, "stroke "+lengthText(*e.Stroke))
	}
	if n := len(b.Windows); n > 0 {
		say = append(say, count(n, "window"))
	}
	if n := len(b.Passes); n > 0 {
		say = append(say, fmt.Sprintf("%d %s", n, passWord(n)))
	}
	c.Summary = strings.Join(say, ", ")
	return c
}

func passWord(n int) string {
	if n == 1 {
		return "pass"
	}
	return "passes"
}

// lengthText prints a length as given, mm without the unit.
func lengthText(l unit.Length) string {
	n := string(build.NumberJSON(l.Value))
	if l.Unit == "" || l.Unit == unit.MM {
		return n
	}
	return n + " " + string(l.Unit)
}
