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
	tableInline = 2 // which function that was copied into it an address is of
	tableLive   = 3 // which arguments a stack trace may show
	factInline  = 3 // the functions that were copied into it
	factArgs    = 5 // how a stack trace shows its arguments
	factLive    = 6

	noFact = 0xffffffff
)

// magic stands at the head: the version, two bytes of zero, the least step of
// an address and the size of a pointer.
var magic = []byte{0xf1, 0xff, 0xff, 0xff, 0, 0, 1, 8}

// dropLines takes out of the memory what the runtime reads for stack traces
// alone, but for the functions' names (dropNames takes those): source lines,
// which then show as "?:0", arguments and functions copied into their callers;
// and what only signals need. Offset 0 and address noFact are the linker's own
// way to say that a function has none. The tables of stack depths, of live
// pointers and of panics stay.
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
	lines, kept, dropped := map[int]bool{}, map[int]bool{}, map[int]bool{}
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
			if idleTable(k) {
				lines[get(off)] = true
				clear(head[f+off : f+off+4])
			}
			needed[get(off)] = true
		}
		for k := range facts {
			off := funcOwn + 4*(more+k)
			switch v := get(off); {
			case v == noFact:
			case idleFact(k):
				dropped[v] = true
				binary.LittleEndian.PutUint32(head[f+off:], noFact)
			default:
				kept[v] = true
			}
		}
		lines[get(funcFile)], lines[get(funcLine)] = true, true
		for _, off := range []int{funcFile, funcLine, funcUnit, funcStart} {
			clear(head[f+off : f+off+4])
		}
	}
	clear(head[units:tables])
	if err := blank(head[tables:at], needed, lines); err != nil {
		return err
	}
	facts, err := factsOf(memory, head)
	if err != nil {
		return err
	}
	return blank(facts, kept, dropped)
}

// idleTable and idleFact say which of a function's tables and facts nothing
// reads here but a stack trace or a signal.
func idleTable(k int) bool { return k == tableUnsafe || k == tableInline || k == tableLive }
func idleFact(k int) bool  { return k == factInline || k == factArgs || k == factLive }

// The words of the runtime's record of the program that say where the facts
// are (moduledata in runtime/symtab.go, Go 1.26).
const (
	moduleHead  = 0 // address of the head of the tables
	moduleNames = 1 // address of the functions' names
	moduleFacts = 40
	moduleEnd   = 41 // where the functions end; no fact lies beyond
	moduleWords = 42
)

// factsOf returns the memory that holds the functions' facts. Addresses in the
// functions count from its beginning.
func factsOf(memory []segment, head []byte) ([]byte, error) {
	var home segment
	for _, s := range memory {
		if n := len(s.data) - len(head); n >= 0 && &s.data[n] == &head[0] {
			home = s
		}
	}
	if home.data == nil {
		return nil, errors.New("the table of functions is in no data segment")
	}
	at := home.at + int64(len(home.data)-len(head))
	var mark [16]byte
	binary.LittleEndian.PutUint64(mark[8*moduleHead:], uint64(at))
	binary.LittleEndian.PutUint64(mark[8*moduleNames:], uint64(at)+binary.LittleEndian.Uint64(head[8+8*wordNames:]))
	for _, s := range memory {
		i := bytes.Index(s.data, mark[:])
		if i < 0 || i+8*moduleWords > len(s.data) {
			continue
		}
		word := func(k int) int64 { return int64(binary.LittleEndian.Uint64(s.data[i+8*k:])) }
		from, to := word(moduleFacts)-home.at, word(moduleEnd)-home.at
		if from < 0 || to < from || to > int64(len(home.data)) {
			return nil, fmt.Errorf("the functions' facts lie from %d to %d of %d", from, to, len(home.data))
		}
		return home.data[from:to:to], nil
	}
	return nil, errors.New("the runtime's record of the program was not found: compare its source with lines.go")
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

// blank zeroes every part that begins at an offset in dropped and not in kept. A
// part ends where the next one begins; the last stays, for nothing says where it
// ends.
func blank(parts []byte, kept, dropped map[int]bool) error {
	var starts []int
	for _, set := range []map[int]bool{kept, dropped} {
		for off := range set {
			if off < 0 || off > len(parts) {
				return fmt.Errorf("a function's table or fact lies at %d of %d", off, len(parts))
			}
			starts = append(starts, off)
		}
	}
	slices.Sort(starts)
	starts = slices.Compact(starts)
	for i := 0; i+1 < len(starts); i++ {
		if !kept[starts[i]] {
			clear(parts[starts[i]:starts[i+1]])
		}
	}
	return nil
}
