package pack

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
)

// unsqueeze makes the module again, as static/shell/module.js does it. Nothing
// is packed that does not come back as it was.
func unsqueeze(small []byte) (module []byte, err error) {
	if len(small) < squeezedHead || !bytes.HasPrefix(small, []byte(squeezed)) {
		return nil, errors.New("this is no squeezed module")
	}
	u := &unsqueezer{left: 100 * len(small)}
	if err := u.open(reader{rest: small[squeezedHead:]}); err != nil {
		return nil, err
	}
	head := func(i int) int { return int(binary.LittleEndian.Uint32(small[len(squeezed)+4*i:])) }
	if head(2) > len(small) {
		return nil, errDamaged
	}
	r := reader{rest: small[head(2):]}
	module = append(module, r.bytes(moduleHeader)...)
	for len(r.rest) > 0 {
		kind := r.byte()
		module = append(module, kind)
		var body []byte
		switch kind {
		case sectionCode:
			body, err = u.section()
		case sectionElements:
			long := int(r.any())
			body = append(body, r.bytes(r.unsigned())...)
			if first := r.any(); long < head(0) {
				body = append(body, run(int64(first), long-len(body))...)
			}
		case sectionData:
			long, before, n, gap := int(r.any()), r.unsigned(), r.unsigned(), r.unsigned()
			body = append(body, r.bytes(before)...)
			rows, e := u.rows(n)
			rows.gap, err = r.bytes(gap), errors.Join(e, r.err)
			body = append(body, rows.bytes()...)
			body = append(body, r.bytes(long-len(body))...)
		default:
			body = r.bytes(r.unsigned())
		}
		if err != nil {
			return nil, err
		}
		module = append(binary.AppendUvarint(module, uint64(len(body))), body...)
	}
	if r.err != nil || len(module) != head(0) {
		return nil, errors.Join(r.err, errDamaged)
	}
	return module, nil
}

var errDamaged = errors.New("the squeezed module is damaged")

type unsqueezer struct {
	funcs     int
	phrases   map[byte]phrase
	lane      [lanes]reader
	addresses []int64
	left      int // steps that may still come: phrases of damaged ones have no end

	// Of the function that is made:
	body         []byte
	number       int64
	frame        int64
	has          byte
	inner, ended int
	enters       int
	pc, slot     int64
	base         byte
	done         bool
	table        []int
	holes        []hole
}

// hole is a place in a body where a branch misses its label, and the label less
// the number of points.
type hole struct{ at, label int }

// open reads what stands before the lanes, and finds these.
func (u *unsqueezer) open(r reader) error {
	u.funcs = r.unsigned()
	u.phrases = map[byte]phrase{}
	for range r.byte() {
		p := phrase{code: r.byte()}
		for k := range p.of {
			p.of[k].code = r.byte()
			p.of[k].rest = string(r.bytes(int(r.byte())))
		}
		u.phrases[p.code] = p
	}
	sizes := r.bytes(4 * lanes)
	for i := range u.lane {
		if r.err == nil {
			u.lane[i] = reader{rest: r.bytes(int(binary.LittleEndian.Uint32(sizes[4*i:])))}
		}
	}
	last := int64(0)
	for gaps := &u.lane[laneGaps]; len(gaps.rest) > 0; {
		last += int64(gaps.any())
		u.addresses = append(u.addresses, last)
	}
	return r.err
}

// section makes the code section.
func (u *unsqueezer) section() ([]byte, error) {
	out := binary.AppendUvarint(nil, uint64(u.funcs))
	for i := range u.funcs {
		body, err := u.function(int64(i) + funcStartPC)
		if err != nil {
			return nil, fmt.Errorf("function %d of %d: %w", i, u.funcs, err)
		}
		out = append(binary.AppendUvarint(out, uint64(len(body))), body...)
	}
	return out, nil
}

func (u *unsqueezer) function(number int64) ([]byte, error) {
	*u = unsqueezer{funcs: u.funcs, phrases: u.phrases, lane: u.lane, addresses: u.addresses, left: u.left, number: number}
	r := &u.lane[laneLocals]
	from := r.rest
	for range r.unsigned() {
		_, _ = r.short()
		r.byte()
	}
	out := append([]byte(nil), from[:len(from)-len(r.rest)]...)
	u.frame = u.eighths(laneFrames)
	steps := &u.lane[laneSteps]
	for !u.done && steps.err == nil {
		if err := u.step(steps.byte(), steps); err != nil {
			return nil, err
		}
	}
	for i := range u.lane {
		if err := u.lane[i].err; err != nil {
			return nil, err
		}
	}
	points, at := u.ended-1, 0
	if u.ended > 0 {
		out = append(append(out, u.body[:u.enters]...), u.blocks(points)...)
		at = u.enters
	}
	for _, h := range u.holes {
		out = append(out, u.body[at:h.at]...)
		out = binary.AppendUvarint(out, uint64(points+h.label))
		at = h.at
	}
	return append(out, u.body[at:]...), nil
}

func (u *unsqueezer) blocks(points int) (out []byte) {
	if u.has&hasOut != 0 {
		out = append(out, opBlock, emptyBlock)
	}
	if u.has&hasLoop != 0 {
		out = append(out, opLoop, emptyBlock)
	}
	out = append(out, bytes.Repeat([]byte{opBlock, emptyBlock}, points+1)...)
	out = binary.AppendUvarint(append(out, opGet, 0, opBrTable), uint64(len(u.table)))
	for _, point := range u.table {
		out = binary.AppendUvarint(out, uint64(point))
	}
	return append(binary.AppendUvarint(out, uint64(points)), opEnd)
}
