package plan

// Row is one line of the table now, after, change.
type Row struct {
	Number
	Now, After, Change *float64 // nil: not known
}

// Table sets the numbers of two states side by side; what neither knows is
// left out.
func Table(now, after *Numbers) []Row {
	var out []Row
	for i, name := range NumberNames() {
		r := Row{name, tidied(now[i]), tidied(after[i]), tidied(after[i] - now[i])}
		if r.Now != nil || r.After != nil {
			out = append(out, r)
		}
	}
	return out
}
