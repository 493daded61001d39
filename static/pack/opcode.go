package pack

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
)

// What follows an instruction's first byte.
const (
	immUnknown = iota
	immNone
	immOne    // one LEB128 number, or the type of a block
	immTwo    // two LEB128 numbers
	immMemory // two LEB128 numbers: alignment and offset
	immTable  // br_table: a count and one target more than it
	imm4      // f32.const
	imm8      // f64.const
	immMore   // another byte says which, see more
)

// immediates lists the instructions of one byte that Go's compiler and linker
// write, and the saturating conversions and bulk memory behind 0xfc.
//
// Source: WebAssembly Core Specification 2.0, 5.4 and the index of instructions.
var immediates = func() (of [256]byte) {
	set := func(kind byte, from, to int) {
		for op := from; op <= to; op++ {
			of[op] = kind
		}
	}
	set(immNone, 0x00, 0x01) // unreachable, nop
	set(immOne, 0x02, 0x04)  // block, loop, if
	set(immNone, 0x05, 0x05) // else
	set(immNone, 0x0b, 0x0b) // end
	set(immOne, 0x0c, 0x0d)  // br, br_if
	set(immTable, 0x0e, 0x0e)
	set(immNone, 0x0f, 0x0f) // return
	set(immOne, 0x10, 0x10)  // call
	set(immTwo, 0x11, 0x11)  // call_indirect
	set(immNone, 0x1a, 0x1b) // drop, select
	set(immOne, 0x20, 0x24)  // variables
	set(immMemory, 0x28, 0x3e)
	set(immOne, 0x3f, 0x42) // memory.size, memory.grow, i32.const, i64.const
	set(imm4, 0x43, 0x43)
	set(imm8, 0x44, 0x44)
	set(immNone, 0x45, 0xc4) // comparisons, arithmetic, conversions
	set(immMore, 0xfc, 0xfc)
	return of
}()

const (
	opUnreachable = 0x00
	opNop         = 0x01
	opBlock       = 0x02
	opLoop        = 0x03
	opIf          = 0x04
	opBr          = 0x0c
	opBrIf        = 0x0d
	opBrTable     = 0x0e
	opCall        = 0x10
	opCallBy      = 0x11
	opDrop        = 0x1a
	opSelect      = 0x1b
	opGet         = 0x20
	opSet         = 0x21
	opTee         = 0x22
	opGlobalGet   = 0x23
	opGlobalSet   = 0x24
	opLoad        = 0x28 // the first of the loads
	opI64Load     = 0x29
	opStore       = 0x36 // the first of the stores
	opI64Store    = 0x37
	opI64Const    = 0x42
	opF32Const    = 0x43
	opF64Const    = 0x44
	opI32Add      = 0x6a
	opI32Sub      = 0x6b
	opI64Add      = 0x7c
	opI32Wrap     = 0xa7
	opI64Extend   = 0xad // of an unsigned i32

	emptyBlock = 0x40 // the type of a block without a result
)

// aligned is the alignment, as a power of two, of each load and store from
// i32.load on: that of its size.
const aligned = "\x02\x03\x02\x03\x00\x00\x01\x01\x00\x00\x01\x01\x02\x02\x02\x03\x02\x03\x00\x01\x00\x01\x02"

// more says how many bytes follow the second one behind 0xfc; the first eight
// are conversions.
var more = [12]int{10: 2, 11: 1} // memory.copy, memory.fill

func moreBytes(second byte) (n int, ok bool) {
	if int(second) >= len(more) || second == 8 || second == 9 {
		return 0, false
	}
	return more[second], true
}

// instruction is one as it stands in a module.
type instruction struct {
	op      byte
	a       int64   // its number, or a load's or store's offset
	targets []int64 // of a br_table
	raw     []byte  // what follows op
}

// instruction reads one. Numbers that are longer than they need be are refused:
// the other end writes them as short as they can be.
func (r *reader) instruction() (in instruction, err error) {
	from := r.rest
	in.op = r.byte()
	switch immediates[in.op] {
	case immUnknown:
		err = fmt.Errorf("the linker wrote instruction %#x, which static/pack does not know", in.op)
	case immOne:
		if in.op == opI32Const || in.op == opI64Const || in.op <= opIf || in.op == opCall { // the linker writes calls so
			in.a, err = r.shortSigned()
		} else {
			in.a, err = r.short()
		}
	case immTwo:
		_, e1 := r.short()
		_, e2 := r.short()
		err = errors.Join(e1, e2)
	case immMemory:
		align, e1 := r.short()
		a, e2 := r.short()
		if err = errors.Join(e1, e2); err == nil && align != int64(aligned[in.op-opLoad]) {
			err = fmt.Errorf("the linker wrote instruction %#x aligned to 1<<%d, which static/pack does not know", in.op, align)
		}
		in.a = a
	case immTable:
		var n int64
		if n, err = r.short(); err == nil && n >= int64(len(r.rest)) {
			err = errors.New("a table of branches is longer than what follows")
		}
		for ; n >= 0 && err == nil; n-- {
			var to int64
			to, err = r.short()
			in.targets = append(in.targets, to)
		}
	case imm4:
		r.bytes(4)
	case imm8:
		r.bytes(8)
	case immMore:
		second := r.byte()
		n, ok := moreBytes(second)
		if !ok {
			err = fmt.Errorf("the linker wrote instruction 0xfc %#x, which static/pack does not know", second)
		}
		r.bytes(n)
	}
	if err = errors.Join(r.err, err); err != nil {
		return in, err
	}
	in.raw = from[1 : len(from)-len(r.rest)]
	return in, nil
}

var errLong = errors.New("a number is written longer than it need be")

// short reads unsigned LEB128 that is no longer than it need be.
func (r *reader) short() (int64, error) {
	from := r.rest
	v, n := binary.Uvarint(from)
	if r.bytes(max(n, 0)); n <= 0 || r.err != nil || int64(v) < 0 || !bytes.Equal(binary.AppendUvarint(nil, v), from[:n]) {
		return 0, errors.Join(r.err, errLong)
	}
	return int64(v), nil
}

// shortSigned reads signed LEB128 that is no longer than it need be.
func (r *reader) shortSigned() (int64, error) {
	from := r.rest
	v := r.signed()
	if r.err != nil || !bytes.Equal(appendSigned(nil, v), from[:len(from)-len(r.rest)]) {
		return 0, errors.Join(r.err, errLong)
	}
	return v, nil
}
