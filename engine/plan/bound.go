package plan

import (
	"slices"
	"strings"
)

// noMetalBack is what binds when only metal put back would help.
const noMetalBack = "no_metal_back"

const gasketsKey = "base_gaskets_mm"

// bounds returns the keys of what holds the moves: limits, rooms, and the
// gaskets where there is a choice. tight leaves out what no list of cuts touches
// with any gasket: taking that out can't help, as all is convex.
func (p *problem) bounds(tight bool) (out []string) {
	put := func(key string) {
		if !slices.Contains(out, key) {
			out = append(out, key)
		}
	}
	p.each(func(o *outcome) {
		for _, l := range p.limits(&o.end) {
			if l.name != sideToSide && (!tight || !o.ok || l.f(&o.end) > -missed) {
				put(l.name)
			}
		}
		for j := range p.vars {
			if v := &p.vars[j]; v.allowed && v.most < unbounded && (!tight || !o.ok || o.m[j] > v.most-missed) {
				put(v.key())
			}
		}
	})
	if p.choice {
		put(gasketsKey)
	}
	return out
}

// unbounded is more than any engine has, in mm.
const unbounded = 1e6

// without returns the problem as it would be if some keys did not count.
func (p *problem) without(keys ...string) *problem {
	q := *p
	q.dropped, q.vars = keys, slices.Clone(p.vars)
	for j := range p.vars {
		v := p.vars[j]
		q.vars[j].allowed = v.allowed || v.name != "" && slices.Contains(keys, gasketsKey)
		if v.allowed && slices.Contains(keys, noMetalBack) {
			v.sign, v.most = -1, 2*unbounded
			q.vars = append(q.vars, v)
		}
	}
	return &q
}

// allowing returns the problem with a move allowed that is not.
func (p *problem) allowing(name string) *problem {
	q := p.without()
	for j := range q.vars {
		if v := &q.vars[j]; v.named() == name {
			v.allowed = true
		}
	}
	return q
}

func (v *variable) named() string {
	if v.name != "" {
		return v.name
	}
	return Name(v.move)
}

// least returns a smallest set of keys without which a question is answered
// with yes: none of them can be left out of it. Nil when it never is.
func least(keys []string, yes func(without []string) bool) []string {
	if !yes(keys) {
		return nil
	}
	left := keys
	for _, key := range slices.Backward(keys) {
		if rest := slices.DeleteFunc(slices.Clone(left), func(k string) bool { return k == key }); yes(rest) {
			left = rest
		}
	}
	return left
}

// helps lists the moves that are not allowed of which one alone would do.
func (p *problem) helps(yes func(q *problem) bool) (out []string) {
	for j := range p.vars {
		v := &p.vars[j]
		if name := v.named(); !v.allowed && !(v.name != "" && p.choice) && !slices.Contains(out, name) && yes(p.allowing(name)) {
			out = append(out, name)
		}
	}
	return out
}

// binding returns the keys of what keeps a missed goal from coming nearer: each
// of which alone does, else the fewest that do so together; and the moves that
// are not allowed and would help.
func (p *problem) binding(o *outcome, goal int) (binds, help []string) {
	nearer := func(q *problem) bool {
		n := q.best()
		return n.ok && n.miss[goal] < o.miss[goal]-missed
	}
	keys := p.bounds(true)
	for _, w := range p.wanted[:goal] {
		if !w.others {
			keys = append(keys, w.key)
		}
	}
	for _, key := range keys {
		if nearer(p.without(key)) {
			binds = append(binds, key)
		}
	}
	if len(binds) == 0 {
		binds = least(append(keys, noMetalBack), func(without []string) bool { return nearer(p.without(without...)) })
	}
	return binds, p.helps(nearer)
}

// contradictions returns sets of keys that can't hold together, of each of which
// none can be left out: each has a limit that is crossed as it is, and all of them
// stand in the way. And the moves that are not allowed of which one would do.
func (p *problem) contradictions() (sets [][]string, help []string) {
	free := *p
	free.wanted = nil
	possible := func(q *problem) bool { o := q.best(); return o.ok }
	keys := append(free.bounds(false), noMetalBack)
	var out []string // what is crossed and named
	for !possible(free.without(out...)) {
		set := slices.DeleteFunc(slices.Clone(keys), func(k string) bool { return slices.Contains(out, k) })
		for _, key := range slices.Backward(slices.Clone(set)) {
			rest := slices.DeleteFunc(slices.Clone(set), func(k string) bool { return k == key })
			if !possible(free.without(slices.DeleteFunc(slices.Clone(keys), func(k string) bool { return slices.Contains(rest, k) })...)) {
				set = rest
			}
		}
		sets = append(sets, set)
		had := len(out)
		for _, l := range free.limits(&p.now) {
			if l.f(&p.now) > 0 && slices.Contains(set, l.name) {
				out = append(out, l.name)
			}
		}
		if len(out) == had {
			break
		}
	}
	return sets, free.helps(possible)
}

// boundName says a key of what binds for a person.
func boundName(key string) string {
	switch key {
	case noMetalBack:
		return "metal that can't be put back"
	case gasketsKey:
		return "the gaskets at hand"
	case contact:
		return "the crown against the head"
	case ringLand:
		return "the ring's groove under the crown"
	case ringInBore:
		return "the ring, which would come out of the cylinder"
	case portCloses:
		return "the piston, which must open and close every window"
	case metalThere:
		return "the metal that an engine has there"
	case exhaustFirst:
		return "the exhaust, which opens first"
	}
	if move, ok := strings.CutSuffix(key, "_mm"); ok && Name(move) != move {
		return "the bound of " + Name(move)
	}
	if name := nameOf(key); name != key {
		return "the target " + name
	}
	return "the limit " + key
}

func boundNames(keys []string) string {
	names := make([]string, len(keys))
	for i, key := range keys {
		names[i] = boundName(key)
	}
	return strings.Join(names, ", ")
}
