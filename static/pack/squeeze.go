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
// ends. Then come the phrases and the lanes (code.go), and the sections of the
// module, of the code section its first byte alone.
//
// static/shell/module.js makes the module of it again, byte for byte.
const squeezed = "\x00pws"

const (
	squeezedHead = len(squeezed) + 12

	sectionCode = 10
)

// squeeze returns a module as squeezed has it.
func squeeze(module []byte) ([]byte, error) {
	var rest, code []byte
	if len(module) < moduleHeader {
		return nil, errors.New("the WebAssembly ends early")
	}
	rest = append(rest, module[:moduleHeader]...)
	for r := (reader{rest: module[moduleHeader:]}); len(r.rest) > 0; {
		kind := r.byte()
		long, err := r.short()
		body := r.bytes(int(long))
		if err = errors.Join(err, r.err); err != nil {
			return nil, fmt.Errorf("section %d: %w", kind, err)
		}
		rest = append(rest, kind)
		if kind == sectionCode {
			if code != nil {
				return nil, errors.New("the WebAssembly has two code sections")
			}
			code = body
			continue
		}
		rest = binary.AppendUvarint(rest, uint64(len(body)))
		rest = append(rest, body...)
	}
	out := make([]byte, squeezedHead)
	copy(out, squeezed)
	out, err := appendCode(out, code)
	if err != nil {
		return nil, err
	}
	for i, n := range [3]int{len(module), len(code), len(out)} {
		binary.LittleEndian.PutUint32(out[len(squeezed)+4*i:], uint32(n))
	}
	out = append(out, rest...)
	if back, err := unsqueeze(out); err != nil || !bytes.Equal(back, module) {
		return nil, fmt.Errorf("squeezed, the WebAssembly does not come back as it was: %w", errors.Join(err, errDamaged))
	}
	return out, nil
}

// appendCode appends the phrases and lanes of a code section.
func appendCode(out, section []byte) ([]byte, error) {
	r := reader{rest: section}
	var c coder
	if section != nil {
		c.funcs = make([][]step, r.unsigned())
	}
	for i := range c.funcs {
		body := r.bytes(r.unsigned())
		if r.err != nil {
			return nil, r.err
		}
		if err := c.function(i, body); err != nil {
			return nil, fmt.Errorf("function %d of %d: %w", i, len(c.funcs), err)
		}
	}
	if len(r.rest) > 0 {
		return nil, fmt.Errorf("%d bytes follow the last function", len(r.rest))
	}
	return c.append(out), nil
}
