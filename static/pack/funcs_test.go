package pack

import (
	"bytes"
	"encoding/binary"
	"testing"
)

// program reads the tables of functions as the runtime does.
type program struct {
	memory []byte
	at     int // of the head
	module int // of the runtime's record
}

func programOf(t *testing.T, memory []byte) program {
	t.Helper()
	head, err := header([]segment{{0, memory}})
	if err != nil {
		t.Fatal(err)
	}
	p := program{memory: memory, at: len(memory) - len(head)}
	mark := binary.LittleEndian.AppendUint64(nil, uint64(p.at))
	mark = binary.LittleEndian.AppendUint64(mark, uint64(p.word(wordNames)+p.at))
	if p.module = bytes.Index(memory, mark); p.module < 0 {
		t.Fatal("no record of the program")
	}
	return p
}

func (p program) long(at int) int  { return int(binary.LittleEndian.Uint64(p.memory[at:])) }
func (p program) short(at int) int { return int(binary.LittleEndian.Uint32(p.memory[at:])) }
func (p program) word(k int) int   { return p.long(p.at + 8 + 8*k) }
func (p program) modWord(k int) int {
	return p.long(p.module + 8*k)
}

// function returns where the function is that the list has at place i.
func (p program) function(i int) int {
	list := p.at + p.word(wordFuncAt)
	return list + p.short(list+8*i+4)
}

func (p program) name(i int) string {
	names := p.memory[p.at+p.word(wordNames)+p.short(p.function(i)+funcName):]
	return string(names[:bytes.IndexByte(names, 0)])
}

// table returns a table to its end as runtime.pcvalue reads it: pairs of
// numbers, until the first of a pair is zero, but not in the first pair. Nil:
// there is none.
func (p program) table(off int) []byte {
	if off == 0 {
		return nil
	}
	rest := p.memory[p.at+p.word(wordTables)+off:]
	n := 0
	for first := true; ; first = false {
		v, size := binary.Uvarint(rest[n:])
		n += size
		if v == 0 && !first {
			return rest[:n]
		}
		_, size = binary.Uvarint(rest[n:])
		n += size
	}
}

// own returns the offset of the function's k-th table past that of its stack
// depths; 0 past the end of the list (runtime.pcdatastart, pcdatavalue).
func (p program) own(f, k int) int {
	if k >= p.short(f+funcTables) {
		return 0
	}
	return p.short(f + funcOwn + 4*k)
}

// fact returns a fact as the runtime reads it; nil: there is none
// (runtime.funcdata).
//
// Source: the Go source tree, runtime/symtab.go (stackmapdata), runtime/stack.go
// (stackObjectRecord) and runtime/panic.go (nextFrame), Go 1.26.
func (p program) fact(t *testing.T, f, k int) []byte {
	t.Helper()
	if k >= int(p.memory[f+funcValues]) {
		return nil
	}
	off := p.short(f + funcOwn + 4*p.short(f+funcTables) + 4*k)
	if off == noFact {
		return nil
	}
	at := p.modWord(moduleFacts) + off
	switch k {
	case 0, 1: // maps of pointers: how many, bits of each, then the bits
		if at%4 != 0 {
			t.Errorf("a map lies at %d", at)
		}
		return p.memory[at : at+8+p.short(at)*((p.short(at+4)+7)/8)]
	case factObjects: // how many, then 16 bytes each
		if at%8 != 0 {
			t.Errorf("objects lie at %d", at)
		}
		return p.memory[at : at+8+16*p.long(at)]
	case 4: // two numbers
		_, n := binary.Uvarint(p.memory[at:])
		_, m := binary.Uvarint(p.memory[at+n:])
		return p.memory[at : at+n+m]
	case 7: // a function
		return p.memory[at : at+4]
	}
	if !idleFact(k) {
		t.Fatalf("fact %d is unknown", k)
	}
	return p.memory[at : at+1]
}

// find returns the place of the function with that number in the list, and how
// many it went past, as runtime.findfunc does.
func (p program) find(number, block int) (place, past int) {
	list := p.at + p.word(wordFuncAt)
	x := number<<funcShift + block - p.modWord(moduleFrom)
	bucket := p.modWord(moduleFind) + x/findStep*findBucket
	place = p.short(bucket) + int(p.memory[bucket+4+x%findStep/(findStep/16)])
	for ; p.short(list+8*(place+1)) <= number; place++ {
		past++
	}
	return place, past
}

// checkFuncs compares what the runtime reads of every function.
func checkFuncs(t *testing.T, was, is []byte) {
	t.Helper()
	a, b := programOf(t, was), programOf(t, is)
	if a.at != b.at || a.module != b.module {
		t.Fatal("the tables have moved")
	}
	if names := a.word(wordNames); !bytes.Equal(was[:a.at+names], is[:b.at+names]) {
		t.Error("the memory before the functions' names has changed")
	}
	if end := a.modWord(moduleFind) + (a.modWord(moduleTo)-a.modWord(moduleFrom))/findStep*findBucket; !bytes.Equal(was[end:], is[end:]) {
		t.Error("the memory after the functions has changed")
	}
	n, far := a.word(wordFuncs), 0
	seen := map[int]int{} // facts and tables compared, by number
	for i := range n {
		f, g := a.function(i), b.function(i)
		checkHead(t, i, was[f:f+funcOwn], is[g:g+funcOwn])
		if got, want := b.table(b.short(g+funcSP)), a.table(a.short(f+funcSP)); !bytes.Equal(got, want) {
			t.Fatalf("function %d: the table of stack depths has changed", i)
		}
		for k := range 6 {
			got, want := b.table(b.own(g, k)), a.table(a.own(f, k))
			if idleTable(k) {
				want = nil
			}
			if !bytes.Equal(got, want) {
				t.Fatalf("function %d: table %d was %x and is %x", i, k, want, got)
			}
			if want != nil {
				seen[k]++
			}
		}
		for k := range 9 {
			got, want := b.fact(t, g, k), a.fact(t, f, k)
			if idleFact(k) {
				want = nil
			}
			if !bytes.Equal(got, want) {
				t.Fatalf("function %d: fact %d was %x and is %x", i, k, want, got)
			}
			if want != nil {
				seen[100+k]++
			}
		}
		number := a.short(a.at + a.word(wordFuncAt) + 8*i)
		for _, block := range []int{0, 1, 255, 4095, 4096, 20000, 65535} {
			if i == n-1 && block > 0 {
				continue // past the program's end
			}
			place, past := b.find(number, block)
			if place != i {
				t.Fatalf("function %d is found at %d for %x", i, place, number<<funcShift+block)
			}
			far = max(far, past)
		}
	}
	if seen[1] < 500 || seen[100] < 500 || seen[101] < 500 || seen[102] < 50 || seen[104] < 5 {
		t.Errorf("tables and facts compared: %v", seen)
	}
	if n < 1000 || far >= findCoarse || far == 0 {
		t.Errorf("%d functions, the search goes past %d", n, far)
	}
}

// checkHead compares the fields that stand in the function itself.
func checkHead(t *testing.T, i int, was, is []byte) {
	t.Helper()
	for _, part := range []struct{ from, to int }{{0, funcName}, {funcName + 4, funcSP}, {funcStart + 4, funcValues}} {
		if !bytes.Equal(was[part.from:part.to], is[part.from:part.to]) {
			t.Fatalf("function %d: the bytes from %d have changed", i, part.from)
		}
	}
	for _, off := range []int{funcFile, funcLine, funcUnit, funcStart} {
		if !bytes.Equal(is[off:off+4], make([]byte, 4)) {
			t.Fatalf("function %d still has lines", i)
		}
	}
}
