package sheet

import (
	"strconv"
	"strings"
)

// Table sets states side by side, or the parts of a move.
type Table struct {
	Of    string // what a row is; "": a number
	Heads []string
	Rows  []Row
	Note  string
}

// Row is one number in every state, or, where Cells is nil, the head of what
// follows.
type Row struct {
	Name, How string
	Cells     []string
	Struck    bool
}

// sideBySide sets states in columns; where change is not "", the second less the
// first stands in a third under that head. What no state knows stays as "not known".
func sideBySide(states []State, change string) Table {
	var t Table
	for i, s := range states {
		t.Heads = append(t.Heads, s.Name)
		if i == 1 && change != "" {
			t.Heads = append(t.Heads, change)
		}
	}
	for _, head := range groupsOf(states) {
		t.Rows = append(t.Rows, Row{Name: head, How: hows(states, func(s *State) string { return groupOf(s, head).How })})
		for _, n := range numbersOf(states, head) {
			row := Row{Name: n.Name, How: hows(states, func(s *State) string { return s.find(head, n.Key).How })}
			var first Number
			for i := range states {
				v := states[i].find(head, n.Key)
				row.Cells = append(row.Cells, v.Text())
				switch {
				case i == 0:
					first = v
				case i == 1 && change != "":
					d := Difference(&first, &v)
					row.Cells = append(row.Cells, changeText(&d, n.Kind != ""))
				}
			}
			t.Rows = append(t.Rows, row)
		}
	}
	return t
}

// hows says once what holds for all states, else state by state.
func hows(states []State, of func(*State) string) string {
	var parts []string
	same, first := true, ""
	for i := range states {
		h := of(&states[i])
		if h == "" {
			continue
		}
		if first == "" {
			first = h
		}
		same = same && h == first
		parts = append(parts, orUnknown(states[i].Short, states[i].Name)+": "+h)
	}
	if same {
		return first
	}
	return strings.Join(parts, "; ")
}

func groupsOf(states []State) (out []string) {
	seen := map[string]bool{}
	for i := range states {
		for _, g := range states[i].Groups {
			if !seen[g.Name] {
				seen[g.Name] = true
				out = append(out, g.Name)
			}
		}
	}
	return
}

func groupOf(s *State, name string) Group {
	for _, g := range s.Groups {
		if g.Name == name {
			return g
		}
	}
	return Group{Name: name}
}

func numbersOf(states []State, group string) (out []Number) {
	seen := map[string]bool{}
	for i := range states {
		for _, n := range groupOf(&states[i], group).Numbers {
			if !seen[n.Key] {
				seen[n.Key] = true
				out = append(out, n)
			}
		}
	}
	return
}

// find returns a number, not known where the state has none.
func (s *State) find(group, key string) Number {
	for _, n := range groupOf(s, group).Numbers {
		if n.Key == key {
			return n
		}
	}
	return Number{Key: key}
}

const angles = "Angles are crank degrees after TDC unless it says before. ± is the doubt at 95 %."

// cylinder collects what is known of one cylinder.
func (w *work) cylinder(n int) Cylinder {
	out := Cylinder{Number: n}
	passes := w.passesOf(n)
	if len(passes) == 0 {
		return out
	}
	first, last := passes[0], passes[len(passes)-1]
	states := []State{w.state(first)}
	if last != first {
		states = append(states, w.state(last))
	}
	from := w.from(n)
	if from >= 0 {
		states = append(states, w.planned(from))
	}
	change := ""
	if last != first {
		change = "change"
	}
	out.States = states
	out.Table = sideBySide(states, change)
	out.Table.Note = angles
	if from >= 0 {
		out.Table.Note += " An aim is worked out, not read: it holds if the cuts are made exactly, with the doubt of the readings that it starts from."
	}
	for _, i := range passes {
		r := &w.results[i]
		if note := w.b.Passes[i].Note; note != "" {
			out.Notes = append(out.Notes, Pair{r.Name, note})
		}
		if i != first && i != last {
			out.Table.Note += " Pass “" + r.Name + "” between them is in the build file."
		}
		for _, p := range r.Problems {
			out.Problems = append(out.Problems, Problem{Pass: r.Name, Title: p.Title, Text: p.Text})
		}
		for _, a := range r.Applied {
			out.Applied = append(out.Applied, r.Name+": "+a.Text)
		}
	}
	for _, need := range w.results[last].Needs {
		out.Needs = append(out.Needs, need.Text)
	}
	out.Pictures = w.pictures(first, last, from)
	if w.b.Engine.Cylinders > 1 { // a table or a picture on a page of its own still says whose it is
		of := "Cylinder " + strconv.Itoa(n)
		out.Table.Of = of
		for i := range out.Pictures {
			out.Pictures[i].Caption = of + ". " + out.Pictures[i].Caption
		}
	}
	return out
}
