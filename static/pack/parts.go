package pack

import (
	"encoding/binary"
	"fmt"
	"slices"
)

// parts is memory that offsets in the functions lead into. A part ends where
// the next one begins; nothing says where the last one ends.
type parts struct {
	data  []byte
	begin []int
}

func newParts(data []byte) *parts { return &parts{data: data} }

func (p *parts) starts(offsets []int, none int) {
	for _, off := range offsets {
		if off != none {
			p.begin = append(p.begin, off)
		}
	}
}

// use is a place where the offset of a part is kept.
type use struct {
	get   int
	set   func(int)
	align int // 0: as all
}

// gather moves the parts that are used together, in the order of their uses. A
// part that began at a multiple of align does so again. The last one stays.
func (p *parts) gather(uses []use, align int) error {
	slices.Sort(p.begin)
	p.begin = slices.Compact(p.begin)
	if n := len(p.begin); n == 0 || p.begin[0] < 0 || p.begin[n-1] >= len(p.data) {
		return fmt.Errorf("the tables or facts of functions lie outside their %d bytes", len(p.data))
	}
	last := p.begin[len(p.begin)-1]
	was := slices.Clone(p.data[:last])
	out := was[:0:0]
	if p.begin[0] > 0 { // at 0 there is none
		out = append(out, was[0])
	}
	moved := map[int]int{last: last}
	for _, u := range uses {
		to, ok := moved[u.get]
		if !ok {
			i, found := slices.BinarySearch(p.begin, u.get)
			if !found {
				return fmt.Errorf("no table or fact begins at %d", u.get)
			}
			step := max(align, u.align)
			if u.get%step != 0 {
				step = 1
			}
			out = append(out, make([]byte, (step-len(out)%step)%step)...)
			to = len(out)
			moved[u.get] = to
			out = append(out, was[u.get:p.begin[i+1]]...)
		}
		u.set(to)
	}
	if len(out) > last {
		return fmt.Errorf("the tables or facts of functions grew from %d to %d bytes", last, len(out))
	}
	clear(p.data[:last])
	copy(p.data, out)
	return nil
}

// tablesOf returns the uses of tables, those of one kind together: offsets of
// one kind then grow slowly, and compress.
func tablesOf(list []*function) []use {
	var out []use
	for _, f := range list {
		if off := f.get(funcSP); off != noTable {
			out = append(out, use{off, func(to int) { binary.LittleEndian.PutUint32(f.head[funcSP:], uint32(to)) }, 0})
		}
	}
	return append(out, usesOf(list, func(f *function) []int { return f.tables }, noTable)...)
}

// factsOf returns the uses of facts in the same way. The objects of a frame
// begin with a word of 8 bytes.
func factsOf(list []*function) []use {
	return usesOf(list, func(f *function) []int { return f.facts }, noFact)
}

func usesOf(list []*function, of func(*function) []int, none int) []use {
	var out []use
	for k, more := 0, true; more; k++ {
		more = false
		for _, f := range list {
			offsets := of(f)
			more = more || k+1 < len(offsets)
			if k < len(offsets) && offsets[k] != none {
				u := use{get: offsets[k], set: func(to int) { offsets[k] = to }}
				if none == noFact && k == factObjects {
					u.align = 8
				}
				out = append(out, u)
			}
		}
	}
	return out
}
