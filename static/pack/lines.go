package pack

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
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
	factObjects = 2 // what its frame holds that is pointed to
	factInline  = 3 // the functions that were copied into it
	factArgs    = 5 // how a stack trace shows its arguments
	factLive    = 6

	noTable = 0
	noFact  = 0xffffffff
)

// magic stands at the head: the version, two bytes of zero, the least step of
// an address and the size of a pointer.
var magic = []byte{0xf1, 0xff, 0xff, 0xff, 0, 0, 1, 8}

// dropLines takes out of the memory what the runtime reads for stack traces
// alone, but for the functions' names (dropNames takes those): source lines,
// which then show as "?:0", arguments and functions copied into their callers;
// and what only signals need. The tables of stack depths, of live pointers and
// of panics stay; they move together, and so do the functions, which lose the
// ends of their lists where there is nothing.
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
	rec, err := recordOf(memory, head)
	if err != nil {
		return err
	}
	list, err := readFuncs(head, n, at)
	if err != nil {
		return err
	}
	t, f := newParts(head[tables:at]), newParts(rec.facts)
	for _, fn := range list {
		t.starts(append([]int{fn.get(funcSP), fn.get(funcFile), fn.get(funcLine)}, fn.tables...), noTable)
		f.starts(fn.facts, noFact)
	}
	for _, fn := range list {
		fn.dropIdle()
	}
	if err := t.gather(tablesOf(list), 1); err != nil {
		return err
	}
	if err := f.gather(factsOf(list), 4); err != nil {
		return err
	}
	clear(head[units:tables])
	return errors.Join(writeFuncs(head, at, list), rec.coarsen())
}

// idleTable and idleFact say which of a function's tables and facts nothing
// reads here but a stack trace or a signal.
func idleTable(k int) bool { return k == tableUnsafe || k == tableInline || k == tableLive }
func idleFact(k int) bool  { return k == factInline || k == factArgs || k == factLive }

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
