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
//     point (the linker's for every call, n counts up) stands as opResume and
//     how far n is from the one before, signed LEB128;
//   - the targets of a br_table stand as their distances from one more than the
//     one before, which is mostly 0.
//
// Both are numbers that no compressor can guess and that follow from what
// stands before: an eighth of what a phone fetches. static/shell/module.js puts
// them back.
//
// Source: WebAssembly Core Specification 2.0, 5.4 (instructions), and the Go
// source tree, cmd/internal/obj/wasm (resume points), Go 1.26.
const squeezed = "\x00pws"

// opResume is no instruction of the specification.
const opResume = 0x27

const (
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

// squeezeFunc squeezes one function, which addresses name number.
func squeezeFunc(body []byte, number int64) ([]byte, error) {
	r := reader{rest: body}
	for range r.unsigned() { // local variables: how many of a type
		r.skip()
		r.byte()
	}
	out := append([]byte(nil), body[:len(body)-len(r.rest)]...)
	last := int64(0)
	for len(r.rest) > 0 && r.err == nil {
		from := r.rest
		op := r.byte()
		switch immediates[op] {
		case immNone:
		case immOne:
			r.skip()
		case immTwo:
			r.skip()
			r.skip()
		case immTable:
			targets, err := r.table()
			if err != nil {
				return nil, err
			}
			out = append(out, op)
			out = append(out, targets...)
			continue
		case immLong:
			if v := r.signed(); v>>resumeBits == number {
				if !bytes.Equal(appendSigned(nil, v), from[1:len(from)-len(r.rest)]) {
					return nil, errors.New("an address is written longer than it need be")
				}
				point := v & (1<<resumeBits - 1)
				out = appendSigned(append(out, opResume), point-last)
				last = point
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

// table reads the targets of a br_table and returns them as squeezed has them.
func (r *reader) table() ([]byte, error) {
	n := r.unsigned()
	out := binary.AppendUvarint(nil, uint64(n))
	next := int64(0)
	for range n + 1 {
		from := r.rest
		v, _ := binary.Uvarint(from)
		if r.skip(); r.err != nil {
			return nil, r.err
		}
		if !bytes.Equal(binary.AppendUvarint(nil, v), from[:len(from)-len(r.rest)]) {
			return nil, errors.New("a target is written longer than it need be")
		}
		out = appendSigned(out, int64(v)-next)
		next = int64(v) + 1
	}
	return out, nil
}

// skip passes one LEB128 number over.
func (r *reader) skip() {
	for r.err == nil && r.byte()&0x80 != 0 {
	}
}
