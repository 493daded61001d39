package pack

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"slices"
)

// The tables of functions that Go's linker writes into the memory.
//
// Source: the Go source tree, cmd/link/internal/ld/pcln.go and runtime/symtab.go
// (pcHeader) and runtime/runtime2.go (_func), Go 1.20 to 1.26.
const (
	headerLen = 8 + 8*8 // magic number, sizes, then eight words of 8 bytes

	wordFuncs  = 0 // number of functions
	wordNames  = 3 // offset of their names
	wordUnits  = 4 // offset of the files of each unit compiled; their names follow
	wordTables = 6 // offset of the tables by address (pctab)
	wordFuncAt = 7 // offset of the functions; the tables end there

	funcSP     = 16 // offset in a function: its table of stack depths
	funcFile   = 20 // of source files
	funcLine   = 24 // of lines
	funcTables = 28 // how many tables more it has
	funcUnit   = 32 // its unit's files
	funcStart  = 36 // its first line
	funcValues = 43 // how many addresses of other facts it has, one byte
	funcOwn    = 44 // where the tables' offsets begin; those addresses follow

	// Of a function's own tables and facts, by number (internal/abi/symtab.go).
	tableUnsafe = 0 // where a signal may not stop it: this system has no signals
	tableLive   = 3 // which arguments a stack trace may show
	factArgs    = 5 // how a stack trace shows its arguments
	factLive    = 6

	noFact = 0xffffffff
)

// magic stands at the head: the version, two bytes of zero, the least step of
// an address and the size of a pointer.
var magic = []byte{0xf1, 0xff, 0xff, 0xff, 0, 0, 1, 8}

// dropLines takes out of the memory what the runtime reads for stack traces
// alone, but for the functions' names: source lines, which then show as "?:0",
// and arguments; and what only signals need. Offset 0 and address noFact are the
// linker's own way to say that a function has none. The tables of stack depths,
// of live pointers and of panics stay. Names of generic functions are written
// as a trace prints them.
func dropLines(memory []segment) error {
	head, err := header(memory)
	if err != nil {
		return err
	}
	word := func(i int) int { return int(binary.LittleEndian.Uint64(head[8+8*i:])) }
	n, names, units, tables, at := word(wordFuncs), word(wordNames), word(wordUnits), word(wordTables), word(wordFuncAt)
	if n <= 0 || names < headerLen || units < names || tables < units || at < tables || at+8*n > len(head) {
		return fmt.Errorf("the table of functions has %d functions at %d and %d of %d", n, tables, at, len(head))
	}
	needed := map[int]bool{0: true}
	lines := map[int]bool{}
	for i := range n {
		f := at + int(binary.LittleEndian.Uint32(head[at+8*i+4:]))
		if f+funcOwn > len(head) {
			return fmt.Errorf("function %d of %d lies outside the memory", i, n)
		}
		get := func(off int) int { return int(binary.LittleEndian.Uint32(head[f+off:])) }
		more := get(funcTables)
		facts := int(head[f+funcValues])
		if more > 64 || f+funcOwn+4*(more+facts) > len(head) {
			return fmt.Errorf("function %d of %d has %d tables and %d facts", i, n, more, facts)
		}
		needed[get(funcSP)] = true
		for k := range more {
			off := funcOwn + 4*k
			if k == tableUnsafe || k == tableLive {
				lines[get(off)] = true
				clear(head[f+off : f+off+4])
			}
			needed[get(off)] = true
		}
		for k := range facts {
			if k == factArgs || k == factLive {
				binary.LittleEndian.PutUint32(head[f+funcOwn+4*(more+k):], noFact)
			}
		}
		lines[get(funcFile)], lines[get(funcLine)] = true, true
		for _, off := range []int{funcFile, funcLine, funcUnit, funcStart} {
			clear(head[f+off : f+off+4])
		}
	}
	shortNames(head[names:units])
	clear(head[units:tables])
	return blank(head[tables:at], needed, lines)
}

// shortNames puts [...] in place of the types of generic functions; the runtime
// does so before it prints a name.
func shortNames(names []byte) {
	for len(names) > 0 {
		name, rest, _ := bytes.Cut(names, []byte{0})
		open, shut := bytes.IndexByte(name, '['), bytes.LastIndexByte(name, ']')
		if short := "[...]"; open >= 0 && shut-open+1 > len(short) {
			tail := name[shut+1:]
			n := open + copy(name[open:], short)
			n += copy(name[n:], tail)
			clear(name[n:])
		}
		names = rest
	}
}

// header returns the memory from the head of the tables on.
func header(memory []segment) ([]byte, error) {
	var found []byte
	for _, s := range memory {
		for from := 0; ; {
			i := bytes.Index(s.data[from:], magic)
			if i < 0 {
				break
			}
			from += i
			if len(s.data)-from >= headerLen && binary.LittleEndian.Uint64(s.data[from+24:]) == 0 && s.data[from+32] == headerLen {
				if found != nil {
					return nil, errors.New("two tables of functions: which one is Go's?")
				}
				found = s.data[from:]
			}
			from += len(magic)
		}
	}
	if found == nil {
		return nil, errors.New("no table of functions as this Go's linker is known to write it: compare its source with lines.go")
	}
	return found, nil
}

// blank zeroes every table that only lines need; a table ends where the next
// one begins.
func blank(tables []byte, needed, lines map[int]bool) error {
	var starts []int
	for _, set := range []map[int]bool{needed, lines} {
		for off := range set {
			if off < 0 || off > len(tables) {
				return fmt.Errorf("a table by address lies at %d of %d", off, len(tables))
			}
			starts = append(starts, off)
		}
	}
	slices.Sort(starts)
	starts = append(slices.Compact(starts), len(tables))
	for i, off := range starts[:len(starts)-1] {
		if !needed[off] {
			clear(tables[off:starts[i+1]])
		}
	}
	return nil
}
