package pack

import (
	"encoding/binary"
	"slices"
)

// The code section travels as steps. A step is an instruction without what
// follows from the steps before it, or one of the codes below; what can't be
// foreseen of it follows in the same lane, or in a lane of its kind, where like
// follows like.
//
// Go's linker lays a function out like this: a block to leave it by, a loop to
// come back to, and as many blocks as it has points where it may resume, each of
// which ends at its point. Its first instruction in there is a br_table, which
// leads from a program counter to the point. The program counter also counts
// what the runtime's tables tell apart. So the blocks, the table, the address
// that a call leaves, the number behind a jump and how many blocks a branch
// leaves all follow from where the points are and where the program counter
// grows. A function of another layout travels as it is.
//
// Source: WebAssembly Core Specification 2.0, 5.4 (instructions), and the Go
// source tree, cmd/internal/obj/wasm (preprocess, assemble), Go 1.26.
const (
	opCount    = 0x06 // the program counter grows by one
	opJump     = 0x07 // to a program counter: i32.const, local.set 0, br to the loop
	opLeave    = 0x08 // br_if to the outermost block
	opEnter    = 0x09 // the blocks and the br_table; a byte says hasLoop and hasOut
	opLast     = 0x0a // the end of the function
	opFrame    = 0x12 // i32.const of the frame's size
	opGuard    = 0x13 // i32.const of the frame's size less stackSmall
	opSlot     = 0x14 // before a load, store or i64.const: its offset counts from the stack pointer
	opParam    = 0x15 // and here from the parameters, which are behind the frame
	opNextSlot = 0x16 // i64.const of eight more than that of opSlot before
	opAddress  = 0x17 // i64.const of an address in the memory
	opResume   = 0x27 // i64.const of the function and the program counter behind the next point

	hasLoop = 1
	hasOut  = 2

	stackSmall = 128 // bytes of a frame that are not asked for. Source: internal/abi/stack.go

	funcStartPC = 0x1000 // the number of the first function of the program in an address
	resumeBits  = 16     // of an address that say where in the function

	addressFrom, addressTo = 1 << 13, 1 << 24
)

// Lanes.
const (
	laneSteps   = iota
	laneLocals  // of each function, as in the module
	laneFrames  // eighths of each function's frame
	laneJumps   // signed: to where, counted from the program counter here
	laneAddress // which of the addresses: how many 256s, and a byte
	laneLong    // i64.const
	laneFloat   // f32.const, f64.const
	laneSlot    // eighths of an offset
	laneParam   // the same
	lanePlace   // the same, of i64.const
	laneRows    // of the table of functions, see rows.go
	laneNew
	laneGaps // the addresses in order: of each how far it is from the one before
	lanes
)

// step is a code and what follows it in the lane of steps.
type step struct {
	code byte
	rest string
}

// coder makes steps and lanes of a code section.
type coder struct {
	funcs     [][]step
	lanes     [lanes][]byte
	addresses []int64 // of every opAddress
}

// layout is what a function is like.
type layout struct {
	enter, first, last int // the instructions of the blocks' beginning, behind them, and the end's beginning
	has                byte
	points             int   // that it may resume at
	table              []int // the last program counter before each of them
	frame              int64
}

func (c *coder) function(i int, body []byte) error {
	r := reader{rest: body}
	for range r.unsigned() { // local variables: how many of a type
		if _, err := r.short(); err != nil {
			return err
		}
		r.byte()
	}
	c.put(laneLocals, body[:len(body)-len(r.rest)]...)
	var code []instruction
	for len(r.rest) > 0 {
		in, err := r.instruction()
		if err != nil {
			return err
		}
		code = append(code, in)
	}
	w := walk{coder: c, code: code, number: int64(i) + funcStartPC}
	w.layout = layoutOf(code)
	w.frame = frameOf(code, w.number)
	c.put(laneFrames, binary.AppendUvarint(nil, uint64(w.frame/8))...)
	for w.at < len(code) {
		w.next()
	}
	c.funcs[i] = w.steps
	return nil
}

// put appends to a lane.
func (c *coder) put(lane int, data ...byte) { c.lanes[lane] = append(c.lanes[lane], data...) }

// layoutOf returns a function's layout; last is 0 when it is not the one above.
func layoutOf(code []instruction) layout {
	none := layout{enter: -1}
	enter := slices.IndexFunc(code, func(in instruction) bool { return in.op <= opIf && in.op >= opBlock || in.op == opBr || in.op == opEnd })
	if enter < 0 {
		return none
	}
	l, at := layout{enter: enter}, enter
	run := func(op byte) (n int) {
		for ; at < len(code) && code[at].op == op && code[at].raw[0] == emptyBlock; at++ {
			n++
		}
		return n
	}
	blocks := run(opBlock)
	if at < len(code) && code[at].op == opLoop {
		at++
		l.has = hasLoop
		if blocks > 1 {
			return none
		}
		if blocks == 1 {
			l.has |= hasOut
		}
		blocks = run(opBlock)
	}
	if at+3 > len(code) || code[at].op != opGet || code[at].a != 0 || code[at+1].op != opBrTable || code[at+2].op != opEnd {
		return none
	}
	table := code[at+1].targets
	l.points = int(table[len(table)-1])
	if l.has&hasLoop == 0 && blocks == l.points+2 {
		l.has |= hasOut
		blocks--
	}
	if blocks != l.points+1 || len(table) <= l.points {
		return none
	}
	for pc, point := range table[:len(table)-1] {
		if int(point) == len(l.table)-1 {
			l.table[point] = pc
		} else if int(point) == len(l.table) {
			l.table = append(l.table, pc)
		} else {
			return none
		}
	}
	if len(l.table) != l.points {
		return none
	}
	l.first = at + 2
	end := l.ending()
	l.last = len(code) - len(end)
	if l.last < l.first {
		return none
	}
	for i, in := range end {
		if code[l.last+i].op != in.op || code[l.last+i].a != in.a {
			return none
		}
	}
	// Every block but those of the ending ends before it.
	ends, inner := 0, 0
	for _, in := range code[l.first:l.last] {
		switch {
		case in.op >= opBlock && in.op <= opIf:
			inner++
		case in.op == opEnd && inner > 0:
			inner--
		case in.op == opEnd:
			ends++
		}
	}
	if inner != 0 || ends != l.points+1 {
		return none
	}
	return l
}

// ending is how a function ends.
func (l *layout) ending() (out []instruction) {
	if l.has&hasLoop != 0 {
		out = append(out, instruction{op: opEnd})
	}
	out = append(out, instruction{op: opUnreachable})
	if l.has&hasOut != 0 {
		out = append(out, instruction{op: opEnd}, instruction{op: opI32Const, a: 1})
	}
	return append(out, instruction{op: opEnd})
}

// frameOf returns the size of a function's frame: what is first taken off the
// stack pointer but for a return address. 0: there is none.
func frameOf(code []instruction, number int64) int64 {
	for i := range code {
		if takes(code[i:], opI32Sub) && !leavesAddress(code[i:], number) {
			if size := code[i].a; size > 0 && size%8 == 0 && size < addressTo {
				return size
			}
			return 0
		}
	}
	return 0
}

// takes says whether code begins to add a constant to the stack pointer (or to
// take it off).
func takes(code []instruction, op byte) bool {
	return len(code) > 3 && code[0].op == opI32Const && code[1].op == op &&
		code[2].op == opTee && code[2].a == 1 && code[3].op == opGlobalSet && code[3].a == 0
}

func leavesAddress(code []instruction, number int64) bool {
	return len(code) > 5 && code[4].op == opGet && code[5].op == opI64Const && code[5].a>>resumeBits == number
}

// index fills the lanes of addresses.
func (c *coder) index() {
	list := slices.Clone(c.addresses)
	slices.Sort(list)
	list = slices.Compact(list)
	last := int64(0)
	for _, a := range list {
		c.put(laneGaps, binary.AppendUvarint(nil, uint64(a-last))...)
		last = a
	}
	for _, a := range c.addresses {
		i, _ := slices.BinarySearch(list, a)
		c.put(laneAddress, append(binary.AppendUvarint(nil, uint64(i/256)), byte(i))...)
	}
}
