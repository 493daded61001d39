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
	u := &unsqueezer{lane: [lanes]reader{{rest: small[squeezedHead:]}}, left: 100 * len(small)}
	head := func(i int) int { return int(binary.LittleEndian.Uint32(small[len(squeezed)+4*i:])) }
	if head(2) > len(small) {
		return nil, errDamaged
	}
	r := reader{rest: small[head(2):]}
	module = append(module, r.bytes(moduleHeader)...)
	for len(r.rest) > 0 {
		kind := r.byte()
		module = append(module, kind)
		body := []byte(nil)
		if kind == sectionCode {
			if body, err = u.section(); err != nil {
				return nil, err
			}
		} else {
			body = r.bytes(r.unsigned())
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
	phrases map[byte]phrase
	lane    [lanes]reader
	left    int // steps that may still come: phrases of damaged ones have no end

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

func (u *unsqueezer) section() (out []byte, err error) {
	r := &u.lane[laneSteps]
	n := r.unsigned()
	u.phrases = map[byte]phrase{}
	for range r.byte() {
		p := phrase{code: r.byte()}
		for k := range p.of {
			p.of[k].code = r.byte()
			p.of[k].rest = string(r.bytes(int(r.byte())))
		}
		u.phrases[p.code] = p
	}
	all := reader{rest: r.bytes(4 * lanes)}
	rest := *r
	if r.err != nil {
		return nil, r.err
	}
	for i := range u.lane {
		u.lane[i] = reader{rest: rest.bytes(int(binary.LittleEndian.Uint32(all.bytes(4))))}
	}
	if rest.err != nil {
		return nil, rest.err
	}
	out = binary.AppendUvarint(out, uint64(n))
	for i := range n {
		body, err := u.function(int64(i) + funcStartPC)
		if err != nil {
			return nil, fmt.Errorf("function %d of %d: %w", i, n, err)
		}
		out = append(binary.AppendUvarint(out, uint64(len(body))), body...)
	}
	return out, nil
}

func (u *unsqueezer) function(number int64) ([]byte, error) {
	*u = unsqueezer{phrases: u.phrases, lane: u.lane, left: u.left, number: number}
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
