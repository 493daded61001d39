package pack

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
)

// squeezed is what a squeezed module begins with; a plain one has "\0asm". After
// it come three numbers of four bytes, least first: the length of the module, of
// the body of its code section, and where in the squeezed module the last lane
// ends. Then come the phrases and the lanes (code.go), and the module without
// what is in them:
//
//   - of the code section, its first byte alone;
//   - of the elements, the length, how many bytes come before a run of numbers
//     that fills the rest, those bytes, and the run's first number;
//   - of the data, the length, how many bytes come before the table of functions,
//     how many functions it has, how many bytes its gap (rows.go), and the bytes
//     without the table, but with the gap.
//
// static/shell/module.js makes the module of it again, byte for byte.
const squeezed = "\x00pws"

const (
	squeezedHead = len(squeezed) + 12

	sectionElements = 9
	sectionCode     = 10
)

// squeeze returns a module as squeezed has it.
func squeeze(module []byte) ([]byte, error) {
	if len(module) < moduleHeader {
		return nil, errors.New("the WebAssembly ends early")
	}
	var c coder
	rest := append([]byte(nil), module[:moduleHeader]...)
	code := 0
	for r := (reader{rest: module[moduleHeader:]}); len(r.rest) > 0; {
		kind := r.byte()
		long, err := r.short()
		body := r.bytes(int(long))
		if err = errors.Join(err, r.err); err != nil {
			return nil, fmt.Errorf("section %d: %w", kind, err)
		}
		rest = append(rest, kind)
		switch kind {
		case sectionCode:
			if c.funcs != nil {
				return nil, errors.New("the WebAssembly has two code sections")
			}
			code = len(body)
			if err := c.section(body); err != nil {
				return nil, err
			}
		case sectionElements:
			rest = appendElements(rest, body)
		case sectionData:
			rows, at := rowsOf(body)
			c.rows(rows)
			rest = appendNumbers(rest, len(body), at, len(rows.list), len(rows.gap))
			rest = append(append(append(rest, body[:at]...), rows.gap...), body[at+len(rows.bytes()):]...)
		default:
			rest = append(appendNumbers(rest, len(body)), body...)
		}
	}
	out := make([]byte, squeezedHead)
	copy(out, squeezed)
	out = c.append(out)
	for i, n := range [3]int{len(module), code, len(out)} {
		binary.LittleEndian.PutUint32(out[len(squeezed)+4*i:], uint32(n))
	}
	out = append(out, rest...)
	if back, err := unsqueeze(out); err != nil || !bytes.Equal(back, module) {
		return nil, fmt.Errorf("squeezed, the WebAssembly does not come back as it was: %w", errors.Join(err, errDamaged))
	}
	return out, nil
}

func appendNumbers(out []byte, n ...int) []byte {
	for _, n := range n {
		out = binary.AppendUvarint(out, uint64(n))
	}
	return out
}

// section makes steps and lanes of a code section.
func (c *coder) section(body []byte) error {
	r := reader{rest: body}
	c.funcs = make([][]step, r.unsigned())
	for i := range c.funcs {
		body := r.bytes(r.unsigned())
		if r.err != nil {
			return r.err
		}
		if err := c.function(i, body); err != nil {
			return fmt.Errorf("function %d of %d: %w", i, len(c.funcs), err)
		}
	}
	if len(r.rest) > 0 {
		return fmt.Errorf("%d bytes follow the last function", len(r.rest))
	}
	return r.err
}

// appendElements appends the elements. Go's linker writes all functions in
// order.
//
// Source: the Go source tree, cmd/link/internal/wasm/asm.go (writeElementSec), Go 1.26.
func appendElements(out, body []byte) []byte {
	before, first := len(body), int64(0)
	r := reader{rest: body}
	r.skip() // segments
	r.skip() // kind
	r.byte() // i32.const
	r.skip()
	r.byte() // end
	r.skip() // numbers
	at := len(body) - len(r.rest)
	if n, err := r.short(); err == nil && bytes.Equal(body[at:], run(n, len(body)-at)) {
		before, first = at, n
	}
	out = append(appendNumbers(out, len(body), before), body[:before]...)
	return binary.AppendUvarint(out, uint64(first))
}

// run is numbers that count up from first, until they fill as many bytes.
func run(first int64, long int) (out []byte) {
	for ; len(out) < long; first++ {
		out = binary.AppendUvarint(out, uint64(first))
	}
	return out
}

// skip passes one LEB128 number over.
func (r *reader) skip() {
	for r.err == nil && r.byte()&0x80 != 0 {
	}
}
