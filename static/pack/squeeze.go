package pack

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
)

// squeezed is what a squeezed module begins with; a plain one has "\0asm". After
// it come three numbers of four bytes, least first: the length of the module, of
// the body of its code section, and the functions that it imports. The rest is
// the module, but that in the code section
//
//   - a constant that is the address of the function itself at its nth resume
//     point (the linker's for every call) stands as opResume and n;
//   - a jump to the nth resume point (n into local 0, which the loop round the
//     function's body reads, and a branch to that loop) stands as opJump, when
//     the loop is the outermost block, or opJump+1, and n;
//   - the branch behind a call that leaves the outermost block stands as opOut;
//   - the targets of a br_table stand as their distances from one more than the
//     one before, which is mostly 0.
//
// n counts from the first resume point behind the block in which it stands. These are
// numbers that no compressor can guess and that follow from what stands before:
// a quarter of what a phone fetches. static/shell/module.js puts them back.
//
// Source: WebAssembly Core Specification 2.0, 5.4 (instructions), and the Go
// source tree, cmd/internal/obj/wasm (resume points), Go 1.26.
const squeezed = "\x00pws"

// No instructions of the specification.
const (
	opJump   = 0x06
	opOut    = 0x08
	opResume = 0x27
)

const (
	opBlock    = 0x02
	opLoop     = 0x03
	opIf       = 0x04
	opBr       = 0x0c
	opBrIf     = 0x0d
	opLocalSet = 0x21

	sectionImport = 2
	sectionCode   = 10

	funcStartPC = 0x1000 // the number of the first function of the program in an address
	resumeBits  = 16     // of an address that say where in the function
)

// squeeze returns a module as squeezed has it.
func squeeze(module []byte) ([]byte, error) {
	head := make([]byte, len(squeezed)+12)
	copy(head, squeezed)
	out := append(head, module[:moduleHeader]...)
	imported, code := 0, 0
	for r := (reader{rest: module[moduleHeader:]}); len(r.rest) > 0; {
		kind := r.byte()
		body := r.bytes(r.unsigned())
		if r.err != nil {
			return nil, r.err
		}
		switch kind {
		case sectionImport:
			n, err := importedFuncs(body)
			if err != nil {
				return nil, err
			}
			imported = n
		case sectionCode:
			code = len(body)
			var err error
			if body, err = squeezeCode(body, imported); err != nil {
				return nil, err
			}
		}
		out = append(out, kind)
		out = binary.AppendUvarint(out, uint64(len(body)))
		out = append(out, body...)
	}
	for i, n := range [3]int{len(module), code, imported} {
		binary.LittleEndian.PutUint32(out[len(squeezed)+4*i:], uint32(n))
	}
	return out, nil
}

func importedFuncs(body []byte) (n int, err error) {
	r := reader{rest: body}
	for range r.unsigned() {
		r.bytes(r.unsigned()) // module
		r.bytes(r.unsigned()) // name
		if r.byte() != 0 {
			return 0, errors.New("the module imports something other than functions")
		}
		r.skip() // type
		n++
	}
	return n, r.err
}

func squeezeCode(body []byte, imported int) ([]byte, error) {
	r := reader{rest: body}
	n := r.unsigned()
	out := binary.AppendUvarint(nil, uint64(n))
	for i := range n {
		f := r.bytes(r.unsigned())
		if r.err != nil {
			return nil, r.err
		}
		small, err := squeezeFunc(f, int64(i)+funcStartPC)
		if err != nil {
			return nil, fmt.Errorf("function %d: %w", i+imported, err)
		}
		out = binary.AppendUvarint(out, uint64(len(small)))
		out = append(out, small...)
	}
	return out, nil
}

// place is where in a function's blocks an instruction stands.
type place struct {
	depth   int     // blocks that are open
	targets []int64 // of the function's table: the block to leave for each resume point
	around  int     // blocks round those that the table leaves
	left    int64   // of those, how many have ended
	point   int     // the first resume point behind the next one to end
}

func (p *place) end() {
	p.depth--
	if p.depth < p.around-int(p.left) {
		p.left++
		for p.point < len(p.targets) && p.targets[p.point] < p.left {
			p.point++
		}
	}
}

// squeezeFunc squeezes one function, which addresses name number.
func squeezeFunc(body []byte, number int64) ([]byte, error) {
	r := reader{rest: body}
	for range r.unsigned() { // local variables: how many of a type
		r.skip()
		r.byte()
	}
	out := append([]byte(nil), body[:len(body)-len(r.rest)]...)
	var at place
	for len(r.rest) > 0 && r.err == nil {
		from := r.rest
		op := r.byte()
		switch immediates[op] {
		case immNone:
			if op == opEnd {
				at.end()
			}
		case immOne:
			switch r.skip(); op {
			case opBlock, opLoop, opIf:
				at.depth++
			case opBrIf:
				if bytes.Equal(binary.AppendUvarint([]byte{op}, uint64(at.depth-1)), from[:len(from)-len(r.rest)]) {
					out = append(out, opOut)
					continue
				}
			case opI32Const:
				if to, code, ok := jump(from, at.depth); ok {
					out = appendSigned(append(out, code), to-int64(at.point))
					r.rest = from[len(appendJump(nil, to, at.depth, code)):]
					continue
				}
			}
		case immTwo:
			r.skip()
			r.skip()
		case immTable:
			targets, err := r.table()
			if err != nil {
				return nil, err
			}
			if at.targets == nil {
				at.targets, at.around = targets, at.depth
			}
			out = append(binary.AppendUvarint(append(out, op), uint64(len(targets)-1)), distances(targets)...)
			continue
		case immLong:
			if v := r.signed(); v>>resumeBits == number {
				if !bytes.Equal(appendSigned(nil, v), from[1:len(from)-len(r.rest)]) {
					return nil, errors.New("an address is written longer than it need be")
				}
				out = appendSigned(append(out, opResume), v&(1<<resumeBits-1)-int64(at.point))
				continue
			}
		case imm4:
			r.bytes(4)
		case imm8:
			r.bytes(8)
		case immMore:
			second := r.byte()
			n := moreBytes(second)
			if n == noMore {
				return nil, fmt.Errorf("the linker wrote instruction 0xfc %#x, which static/pack does not know", second)
			}
			r.bytes(n)
		default:
			return nil, fmt.Errorf("the linker wrote instruction %#x, which static/pack does not know", op)
		}
		out = append(out, from[:len(from)-len(r.rest)]...)
	}
	return out, r.err
}

// appendJump appends a jump to a resume point as the linker writes it.
func appendJump(out []byte, to int64, depth int, code byte) []byte {
	out = append(appendSigned(append(out, opI32Const), to), opLocalSet, 0, opBr)
	return binary.AppendUvarint(out, uint64(depth-1-int(code-opJump)))
}

// jump says whether a jump begins here, where it goes to and how it stands.
func jump(from []byte, depth int) (to int64, code byte, ok bool) {
	r := reader{rest: from[1:]}
	if to = r.signed(); r.err != nil || to < 0 {
		return 0, 0, false
	}
	for code = opJump; code <= opJump+1; code++ {
		if depth > int(code-opJump) && bytes.HasPrefix(from, appendJump(nil, to, depth, code)) {
			return to, code, true
		}
	}
	return 0, 0, false
}

// distances writes a table's targets as squeezed has them.
func distances(targets []int64) (out []byte) {
	next := int64(0)
	for _, v := range targets {
		out = appendSigned(out, v-next)
		next = v + 1
	}
	return out
}

// table reads the targets of a br_table.
func (r *reader) table() ([]int64, error) {
	var out []int64
	for range r.unsigned() + 1 {
		from := r.rest
		v, _ := binary.Uvarint(from)
		if r.skip(); r.err != nil {
			return nil, r.err
		}
		if !bytes.Equal(binary.AppendUvarint(nil, v), from[:len(from)-len(r.rest)]) {
			return nil, errors.New("a target is written longer than it need be")
		}
		out = append(out, int64(v))
	}
	return out, nil
}

// skip passes one LEB128 number over.
func (r *reader) skip() {
	for r.err == nil && r.byte()&0x80 != 0 {
	}
}
