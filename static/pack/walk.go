package pack

import "encoding/binary"

// walk goes through one function and makes its steps.
type walk struct {
	*coder
	layout
	code   []instruction
	number int64 // that addresses name it by
	at     int   // in code

	steps []step
	inner int    // blocks that are open inside those of the layout
	ended int    // blocks of the layout that have ended
	pc    int64  // program counter
	slot  int64  // of the last opSlot with i64.const
	stack []bool // of the machine: which values are the stack pointer
}

func (w *walk) put(code byte, rest ...byte) { w.steps = append(w.steps, step{code, string(rest)}) }

func (w *walk) lane(lane int, data []byte) { w.coder.put(lane, data...) }

// next makes steps of one instruction, or of a few that belong together.
func (w *walk) next() {
	in, rest := w.code[w.at], w.code[w.at:]
	onStack := w.effect(in)
	w.at++
	switch {
	case w.at-1 == w.enter:
		w.put(opEnter, w.has)
		w.at, w.ended = w.first+1, 1
		w.stack = nil
	case w.last > 0 && w.at-1 == w.last:
		w.put(opLast)
		w.at = len(w.code)
	case in.op >= opBlock && in.op <= opIf:
		w.inner++
		w.put(in.op, in.raw...)
	case in.op == opEnd:
		w.end()
	case in.op == opBrIf && w.has&hasOut != 0 && w.leaves(in.a) == 0:
		w.put(opLeave)
	case w.jumps(rest):
		w.put(opJump)
		w.lane(laneJumps, appendSigned(nil, in.a-w.pc))
		w.effect(rest[1])
		w.at += 2
	case in.op == opBrTable:
		w.put(in.op, distances(in.targets)...)
	case in.op == opI32Const && w.frame > 0 && in.a == w.frame && w.moves(rest):
		w.put(opFrame)
	case in.op == opI32Const && w.frame > stackSmall && in.a == w.frame-stackSmall && len(rest) > 1 && rest[1].op == opI32Add:
		w.put(opGuard)
	case in.op >= opLoad && in.op < opLoad+byte(len(aligned)):
		w.memory(in, onStack)
	case in.op == opI64Const:
		w.long(in, rest)
	case in.op == opF32Const || in.op == opF64Const:
		w.put(in.op)
		w.lane(laneFloat, in.raw)
	default:
		w.put(in.op, in.raw...)
	}
	if w.counts() {
		w.count(1)
	}
}

// count lets the program counter grow by up to n, as the table has it.
func (w *walk) count(n int64) {
	for ; n > 0 && w.ended > 0 && w.ended <= w.points && w.pc < int64(w.table[w.ended-1]); n-- {
		w.put(opCount)
		w.pc++
	}
}

// counts says whether the instruction before is one where the program counter
// grows: a nop, a call that can't resume, the taking of the frame.
func (w *walk) counts() bool {
	i := w.at - 1
	switch w.code[i].op {
	case opNop:
		return true
	case opUnreachable:
		return i > 0 && w.code[i-1].op == opIf
	case opGlobalSet:
		return i >= 3 && takes(w.code[i-3:], opI32Sub) && !leavesAddress(w.code[i-3:], w.number)
	}
	return false
}

func (w *walk) end() {
	if w.inner > 0 || w.last == 0 {
		w.inner--
		w.put(opEnd)
		return
	}
	w.count(1 << resumeBits)
	w.put(opEnd)
	w.ended++
	w.pc++
}

// leaves returns how many blocks are open outside the one that a branch leaves.
func (w *walk) leaves(label int64) int64 {
	return w.outside() + int64(w.points+1-w.ended+w.inner) - 1 - label
}

// outside is how many blocks are round those of the layout.
func (w *walk) outside() (n int64) {
	if w.has&hasLoop != 0 {
		n++
	}
	if w.has&hasOut != 0 {
		n++
	}
	return n
}

func (w *walk) jumps(code []instruction) bool {
	return w.has&hasLoop != 0 && len(code) > 2 && code[0].op == opI32Const && code[0].a >= 0 && code[1].op == opSet && code[1].a == 0 &&
		code[2].op == opBr && w.leaves(code[2].a) == w.outside()-1
}

// moves says whether the stack pointer is moved by the frame. A return address
// may be as large.
func (w *walk) moves(code []instruction) bool {
	if takes(code, opI32Sub) {
		return !leavesAddress(code, w.number)
	}
	return takes(code, opI32Add) && len(code) > 4 && code[4].op == opGet
}

func (w *walk) memory(in instruction, onStack bool) {
	offset := binary.AppendUvarint(nil, uint64(in.a))
	behind := in.a - w.frame - 8
	switch {
	case !onStack || len(w.steps) > 0 && w.steps[len(w.steps)-1].code == opResume:
		w.put(in.op, offset...)
	case in.a%8 != 0 || in.a >= addressTo:
		w.put(in.op, offset...)
	case behind >= 0:
		w.put(opParam)
		w.put(in.op)
		w.lane(laneParam, binary.AppendUvarint(nil, uint64(behind/8)))
	default:
		w.put(opSlot)
		w.put(in.op)
		w.lane(laneSlot, binary.AppendUvarint(nil, uint64(in.a/8)))
	}
}

func (w *walk) long(in instruction, code []instruction) {
	behind := in.a - w.frame - 8
	place := in.a >= 0 && in.a%8 == 0 && in.a < addressTo && len(w.steps) > 1 && w.steps[len(w.steps)-1].code == opI64Extend && w.steps[len(w.steps)-2] == step{opGet, "\x01"} &&
		len(code) > 1 && code[1].op == opI64Add
	switch {
	case in.a>>resumeBits == w.number:
		w.put(opResume, appendSigned(nil, in.a&(1<<resumeBits-1)-w.pc-1)...)
	case place && behind >= 0:
		w.put(opParam)
		w.put(in.op)
		w.lane(laneParam, binary.AppendUvarint(nil, uint64(behind/8)))
	case place && in.a == w.slot+8:
		w.put(opNextSlot)
		w.slot += 8
	case place:
		w.put(opSlot)
		w.put(in.op)
		w.slot = in.a
		w.lane(lanePlace, binary.AppendUvarint(nil, uint64(in.a/8)))
	case in.a >= addressFrom && in.a < addressTo:
		w.put(opAddress)
		w.addresses = append(w.addresses, in.a)
	default:
		w.put(in.op)
		w.lane(laneLong, in.raw)
	}
}

// effect follows the machine's stack and says whether a load's or store's
// address is the stack pointer. Where it errs, nothing but size is lost.
func (w *walk) effect(in instruction) (onStack bool) {
	pop, push := 0, 0
	is := false // what is pushed is the stack pointer
	switch op := in.op; {
	case op == opGet:
		push, is = 1, in.a == 1
	case op == opTee:
		pop, push, is = 1, 1, in.a == 1
	case op == opGlobalGet || op >= 0x41 && op <= opF64Const || op == 0x3f:
		push = 1
	case op == opSet || op == opGlobalSet || op == opDrop || op == opBrIf || op == opIf || op == opBrTable:
		pop = 1
	case op >= opLoad && op < opStore:
		pop, push = 1, 1
	case op >= opStore && op < opStore+9:
		pop = 2
	case op == opSelect:
		pop, push = 3, 1
	case op == 0xfc && in.raw[0] >= 10:
		pop = 3
	case op == opCallBy:
		pop, push = 2, 1
	case op == opCall || op == 0xfc || op == 0x40:
		pop, push = 1, 1
	case op == 0x45 || op == 0x50 || op >= 0x67 && op <= 0x69 || op >= 0x79 && op <= 0x7b || op >= 0x8b && op <= 0x91 || op >= 0x99 && op <= 0x9f || op >= 0xa7:
		pop, push = 1, 1
	case op >= 0x46:
		pop, push = 2, 1
	}
	for ; pop > 0 && len(w.stack) > 0; pop-- {
		onStack = w.stack[len(w.stack)-1]
		w.stack = w.stack[:len(w.stack)-1]
	}
	if push > 0 {
		w.stack = append(w.stack, is)
	}
	return onStack
}

// distances writes a table's targets: how many, and of each how far it is from
// one more than the one before.
func distances(targets []int64) []byte {
	out := binary.AppendUvarint(nil, uint64(len(targets)-1))
	next := int64(0)
	for _, v := range targets {
		out = appendSigned(out, v-next)
		next = v + 1
	}
	return out
}
