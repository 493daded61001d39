package pack

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"slices"
)

// Sections of a WebAssembly module that slim reads or leaves out.
//
// Source: WebAssembly Core Specification 2.0, 5.5.
const (
	sectionCustom = 0
	sectionData   = 11
	moduleHeader  = 8 // magic number and version
)

// joinGap is the longest run of zero bytes that is written out to keep two
// data segments one. The linker starts a new segment at every eighth zero byte;
// a hundred thousand offsets compress far worse than the zeros they save.
const joinGap = 1024

// segment is a part of the memory that the module starts with.
type segment struct {
	at   int64
	data []byte
}

// slim returns a linked module that starts with the same memory and runs the
// same code, and compresses better: its data segments are joined, the line
// tables are gone and the functions' names are beside it, not in it.
func slim(module []byte) (*App, error) {
	if len(module) < moduleHeader || !bytes.HasPrefix(module, []byte("\x00asm\x01\x00\x00\x00")) {
		return nil, errors.New("this is not a WebAssembly module of version 1")
	}
	app := &App{}
	out := append([]byte(nil), module[:moduleHeader]...)
	for r := (reader{rest: module[moduleHeader:]}); len(r.rest) > 0; {
		kind := r.byte()
		body := r.bytes(r.unsigned())
		if r.err != nil {
			return nil, r.err
		}
		switch kind {
		case sectionCustom: // names the compiler; the browser reads none
			continue
		case sectionData:
			segments, err := readSegments(body)
			if err != nil {
				return nil, err
			}
			if segments, err = join(segments); err != nil {
				return nil, err
			}
			whole(segments)
			if err := dropLines(segments); err != nil {
				return nil, err
			}
			if app.Names, err = dropNames(segments); err != nil {
				return nil, err
			}
			body = writeSegments(segments)
		}
		out = append(out, kind)
		out = binary.AppendUvarint(out, uint64(len(body)))
		out = append(out, body...)
	}
	app.Module = out
	return app, nil
}

// readSegments reads active segments of memory 0 at constant addresses: the
// only ones that Go's linker writes.
func readSegments(body []byte) ([]segment, error) {
	r := reader{rest: body}
	out := make([]segment, r.unsigned())
	for i := range out {
		if r.byte() != 0 || r.byte() != opI32Const {
			return nil, fmt.Errorf("data segment %d of %d is not one that Go's linker writes", i, len(out))
		}
		out[i].at = r.signed()
		if r.byte() != opEnd {
			return nil, fmt.Errorf("data segment %d has an address that is not constant", i)
		}
		out[i].data = r.bytes(r.unsigned())
		if r.err != nil {
			return nil, r.err
		}
	}
	if len(r.rest) > 0 {
		return nil, fmt.Errorf("%d bytes follow the last data segment", len(r.rest))
	}
	return out, nil
}

const (
	opI32Const = 0x41
	opEnd      = 0x0b
)

// join puts the segments in order of their addresses and makes one of those
// that lie close together.
func join(in []segment) ([]segment, error) {
	slices.SortStableFunc(in, func(a, b segment) int { return int(a.at - b.at) })
	var out []segment
	for _, s := range in {
		if len(out) == 0 {
			out = append(out, segment{s.at, slices.Clone(s.data)})
			continue
		}
		last := &out[len(out)-1]
		switch gap := s.at - last.at - int64(len(last.data)); {
		case gap < 0:
			return nil, fmt.Errorf("data segments overlap at %d", s.at)
		case gap <= joinGap:
			last.data = append(append(last.data, make([]byte, gap)...), s.data...)
		default:
			out = append(out, segment{s.at, slices.Clone(s.data)})
		}
	}
	return out, nil
}

// whole gives joined segments the zero bytes of their first and last word, which
// the linker leaves out: a record that begins with an address like 0x21e00 can
// then be found by its words. Joined segments lie far enough apart for it.
func whole(joined []segment) {
	for i := range joined {
		s := &joined[i]
		before := s.at % wordLen
		after := -(s.at + int64(len(s.data))) & (wordLen - 1)
		s.at -= before
		s.data = slices.Concat(make([]byte, before), s.data, make([]byte, after))
	}
}

const wordLen = 8

func writeSegments(in []segment) []byte {
	out := binary.AppendUvarint(nil, uint64(len(in)))
	for _, s := range in {
		out = appendSigned(append(out, 0, opI32Const), s.at)
		out = binary.AppendUvarint(append(out, opEnd), uint64(len(s.data)))
		out = append(out, s.data...)
	}
	return out
}

// appendSigned appends v as signed LEB128.
func appendSigned(out []byte, v int64) []byte {
	for {
		b := byte(v & 0x7f)
		v >>= 7
		if v == 0 && b&0x40 == 0 || v == -1 && b&0x40 != 0 {
			return append(out, b)
		}
		out = append(out, b|0x80)
	}
}

// reader reads the parts of a module; the first fault stays.
type reader struct {
	rest []byte
	err  error
}

func (r *reader) bytes(n int) []byte {
	if n < 0 || n > len(r.rest) {
		r.err = errors.New("the WebAssembly ends early")
		r.rest = nil
		return nil
	}
	out := r.rest[:n]
	r.rest = r.rest[n:]
	return out
}

func (r *reader) byte() byte {
	if b := r.bytes(1); b != nil {
		return b[0]
	}
	return 0
}

// unsigned reads unsigned LEB128: a count or a length, never more than what is
// left to read.
func (r *reader) unsigned() int {
	v, n := binary.Uvarint(r.rest)
	if r.bytes(n); n <= 0 || v > uint64(len(r.rest)) {
		r.err = errors.New("a length in the WebAssembly is longer than what follows")
		r.rest = nil
		return 0
	}
	return int(v)
}

// signed reads signed LEB128.
func (r *reader) signed() int64 {
	var v int64
	for shift := 0; shift < 64; shift += 7 {
		b := r.byte()
		v |= int64(b&0x7f) << shift
		if b&0x80 == 0 {
			if b&0x40 != 0 && shift+7 < 64 {
				v -= 1 << (shift + 7)
			}
			break
		}
	}
	return v
}
