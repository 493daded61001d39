package pack

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
)

// The words of the runtime's record of the program that say where the facts
// are and how a function is found (moduledata in runtime/symtab.go, Go 1.26).
const (
	moduleHead  = 0 // address of the head of the tables
	moduleNames = 1 // address of the functions' names
	moduleFind  = 19
	moduleFrom  = 20 // the first program counter
	moduleTo    = 21
	moduleFacts = 40
	moduleEnd   = 41 // where the functions end; no fact lies beyond
	moduleWords = 42
)

// record is what the runtime's record of the program leads to.
type record struct {
	facts []byte // addresses in the functions count from its beginning
	find  []byte // a bucket for every findStep of the program counter
}

// A bucket says with which function to begin to look: a base and, for each
// sixteenth of it, what to add. The runtime goes on to the next function for as
// long as that begins no later.
//
// Source: the Go source tree, runtime/symtab.go (findfuncbucket, findfunc) and
// internal/abi/symtab.go (FuncTabBucketSize), Go 1.26.
const (
	findStep   = 4096
	findBucket = 4 + 16

	findCoarse = 16
)

// recordOf finds the runtime's record of the program, whose tables begin with
// head.
func recordOf(memory []segment, head []byte) (*record, error) {
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
		find, buckets := word(moduleFind)-home.at, (word(moduleTo)-word(moduleFrom))/findStep
		if from < 0 || find < from || buckets < 1 || buckets > to || to < find+buckets*findBucket || to > int64(len(home.data)) {
			return nil, fmt.Errorf("the functions' facts lie from %d to %d and %d buckets at %d, of %d", from, to, buckets, find, len(home.data))
		}
		return &record{facts: home.data[from:find:find], find: home.data[find : find+buckets*findBucket]}, nil
	}
	return nil, errors.New("the runtime's record of the program was not found: compare its source with record.go")
}

// coarsen makes the buckets begin to look at every findCoarse-th function, so
// that most are like the one before.
func (r *record) coarsen() error {
	last := uint32(0)
	for b := r.find; len(b) > 0; b = b[findBucket:] {
		base := binary.LittleEndian.Uint32(b)
		if base < last {
			return fmt.Errorf("the bucket of function %d comes after that of %d", base, last)
		}
		last = base
		clear(b[:findBucket])
		binary.LittleEndian.PutUint32(b, base-base%findCoarse)
	}
	return nil
}
