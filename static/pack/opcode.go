package pack

// What follows an instruction's first byte.
const (
	immUnknown = iota
	immNone
	immOne   // one LEB128 number, or the type of a block
	immTwo   // two LEB128 numbers
	immTable // br_table: a count and one target more than it
	immLong  // i64.const
	imm4     // f32.const
	imm8     // f64.const
	immMore  // another byte says which, see more
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
	set(immTwo, 0x28, 0x3e)  // loads and stores
	set(immOne, 0x3f, 0x41)  // memory.size, memory.grow, i32.const
	set(immLong, 0x42, 0x42)
	set(imm4, 0x43, 0x43)
	set(imm8, 0x44, 0x44)
	set(immNone, 0x45, 0xc4) // comparisons, arithmetic, conversions
	set(immMore, 0xfc, 0xfc)
	return of
}()

// more says how many bytes follow the second one behind 0xfc; the first eight
// are conversions.
var more = [12]int{10: 2, 11: 1} // memory.copy, memory.fill

// noMore stands for instructions that Go does not write.
const noMore = -1

func moreBytes(second byte) int {
	if int(second) >= len(more) || second == 8 || second == 9 {
		return noMore
	}
	return more[second]
}
