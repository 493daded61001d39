package plan

import (
	"slices"
	"strings"
)

// noMetalBack is what binds when only metal put back would help.
const noMetalBack = "no_metal_back"

// binding returns the names of what keeps the first missed goal from coming
// nearer, and the moves that are not allowed and would help.
func (p *problem) binding(o *outcome) (binds, help []string) {
	if o.first < 0 {
		return nil, nil
	}
	put := func(list *[]string, name string) {
		if !slices.Contains(*list, name) {
			*list = append(*list, name)
		}
	}
	for i, name := range o.program.names {
		if c := o.slackOf[i]; c >= 0 && o.price[c] > costLeast && !ofTarget(name) {
			put(&binds, key(name))
		}
	}
	for i, cols := range o.program.parts[:o.first] {
		for c := cols[0]; c < cols[1]; c++ {
			if o.price[c] < -costLeast {
				put(&binds, p.wanted[i].key)
			}
		}
	}
	for g := range gasketColumns {
		switch c := len(p.vars) + g; {
		case o.price[c] > -costLeast:
		case p.choice:
			put(&binds, "base_gaskets_mm")
		case g == 0:
			put(&help, "a thinner base gasket")
		default:
			put(&help, "a thicker base gasket")
		}
	}
	back := false
	for j := range p.vars {
		switch v := &p.vars[j]; {
		case !v.allowed && o.price[j] < -costLeast:
			put(&help, Name(v.move))
		case v.allowed && o.m[j] == 0 && o.price[j] > costLeast:
			back = true
		}
	}
	if len(binds) == 0 && back {
		binds = append(binds, noMetalBack)
	}
	return binds, help
}

// ofTarget says whether a row is there to reach a target, and so no limit.
func ofTarget(name string) bool { return strings.HasPrefix(name, "targets.") }

// key is a row's name as its key stands in the file.
func key(name string) string { return name[strings.IndexByte(name, '.')+1:] }

// contradiction returns a smallest set of limits that can't hold together, with
// the gasket that is in now: none of them can be left out of it.
func (p *problem) contradiction() []string {
	pr := p.program(&p.now, &p.now, false)
	names := []string{}
	for i := range pr.rows {
		if !pr.rows[i].equal && !ofTarget(pr.names[i]) && !slices.Contains(names, pr.names[i]) {
			names = append(names, pr.names[i])
		}
	}
	n := pr.cols
	without := func(left []string, back bool) bool {
		var rows []row
		for i, r := range pr.rows {
			if !r.equal && slices.Contains(left, pr.names[i]) {
				if back { // metal put back: every move both ways
					r.k = append(append([]float64(nil), r.k...), negative(r.k)...)
				}
				rows = append(rows, r)
			}
		}
		out := p.unused()
		for c := len(p.vars) + gasketColumns; c < n; c++ {
			out = append(out, c)
		}
		cols := n
		if back {
			for _, c := range out {
				out = append(out, n+c)
			}
			cols = 2 * n
		}
		_, ok := newTableau(cols, rows, out...)
		return !ok
	}
	left := names
	for _, name := range names {
		rest := slices.DeleteFunc(slices.Clone(left), func(s string) bool { return s == name })
		if without(rest, false) {
			left = rest
		}
	}
	var keys []string
	for _, name := range left {
		keys = append(keys, key(name))
	}
	if !without(left, true) {
		keys = append(keys, noMetalBack)
	}
	return keys
}

func negative(k []float64) []float64 {
	out := make([]float64, len(k))
	for i, v := range k {
		out[i] = -v
	}
	return out
}
