package pack

import (
	"encoding/binary"
	"fmt"
)

// function is one of the program's functions as the runtime knows it.
type function struct {
	head   [funcOwn]byte
	tables []int // offsets among the tables
	facts  []int // offsets among the facts
}

func (f *function) get(off int) int { return int(binary.LittleEndian.Uint32(f.head[off:])) }

const mostTables = 64 // of a function, far more than the runtime knows

// readFuncs reads n functions; their list begins at offset at.
func readFuncs(head []byte, n, at int) ([]*function, error) {
	out := make([]*function, n)
	for i := range out {
		from := at + int(binary.LittleEndian.Uint32(head[at+8*i+4:]))
		if from+funcOwn > len(head) {
			return nil, fmt.Errorf("function %d of %d lies outside the memory", i, n)
		}
		f := &function{}
		copy(f.head[:], head[from:])
		tables, facts := f.get(funcTables), int(f.head[funcValues])
		if tables > mostTables || from+funcOwn+4*(tables+facts) > len(head) {
			return nil, fmt.Errorf("function %d of %d has %d tables and %d facts", i, n, tables, facts)
		}
		own := head[from+funcOwn:]
		for k := range tables + facts {
			v := int(binary.LittleEndian.Uint32(own[4*k:]))
			if k < tables {
				f.tables = append(f.tables, v)
			} else {
				f.facts = append(f.facts, v)
			}
		}
		out[i] = f
	}
	return out, nil
}

// dropIdle forgets what a function does not need, and shortens its lists: past
// the end of a list there is no table and no fact either.
func (f *function) dropIdle() {
	for _, off := range []int{funcFile, funcLine, funcUnit, funcStart} {
		clear(f.head[off : off+4])
	}
	for k := range f.tables {
		if idleTable(k) {
			f.tables[k] = noTable
		}
	}
	for k := range f.facts {
		if idleFact(k) {
			f.facts[k] = noFact
		}
	}
	f.tables, f.facts = shorten(f.tables, noTable), shorten(f.facts, noFact)
}

func shorten(list []int, none int) []int {
	for len(list) > 0 && list[len(list)-1] == none {
		list = list[:len(list)-1]
	}
	return list
}

// writeFuncs writes the functions one after the other from where the first was.
func writeFuncs(head []byte, at int, list []*function) error {
	first := int(binary.LittleEndian.Uint32(head[at+4:]))
	end := first
	for i := range list { // where the last one ended
		from := int(binary.LittleEndian.Uint32(head[at+8*i+4:]))
		if from < end {
			return fmt.Errorf("function %d of %d lies at %d, before the end of another at %d", i, len(list), from, end)
		}
		h := head[at+from:]
		end = from + funcOwn + 4*(int(binary.LittleEndian.Uint32(h[funcTables:]))+int(h[funcValues]))
	}
	var out []byte
	for i, f := range list {
		binary.LittleEndian.PutUint32(head[at+8*i+4:], uint32(first+len(out)))
		binary.LittleEndian.PutUint32(f.head[funcTables:], uint32(len(f.tables)))
		f.head[funcValues] = byte(len(f.facts))
		out = append(out, f.head[:]...)
		for _, list := range [][]int{f.tables, f.facts} {
			for _, v := range list {
				out = binary.LittleEndian.AppendUint32(out, uint32(v))
			}
		}
	}
	room := head[at+first : at+end]
	clear(room)
	copy(room, out)
	return nil
}
