package pack

import "encoding/binary"

// step makes what a step stands for; r holds what follows its code.
func (u *unsqueezer) step(code byte, r *reader) error {
	if u.left--; u.left < 0 {
		return errDamaged
	}
	if p, ok := u.phrases[code]; ok {
		for _, s := range p.of {
			from := r
			if s.rest != "" {
				from = &reader{rest: []byte(s.rest)}
			}
			if err := u.step(s.code, from); err != nil {
				return err
			}
		}
		return nil
	}
	switch code {
	case opCount:
		u.pc++
	case opJump:
		u.put(opI32Const)
		u.putSigned(u.pc + u.lane[laneJumps].signed())
		u.put(opSet, 0, opBr)
		u.branch(1)
	case opLeave:
		u.put(opBrIf)
		u.branch(1 + int(u.has&hasLoop))
	case opEnter:
		u.has, u.enters, u.ended = r.byte(), len(u.body), 1
	case opLast:
		l := layout{has: u.has}
		for _, in := range l.ending() {
			if u.put(in.op); in.op == opI32Const {
				u.putSigned(in.a)
			}
		}
		u.done = true
	case opFrame:
		u.put(opI32Const)
		u.putSigned(u.frame)
	case opGuard:
		u.put(opI32Const)
		u.putSigned(u.frame - stackSmall)
	case opSlot, opParam:
		u.base = code
	case opNextSlot:
		u.slot += 8
		u.put(opI64Const)
		u.putSigned(u.slot)
	case opAddress:
		u.put(opI64Const)
		i := u.lane[laneAddress].any()*256 + uint64(u.lane[laneAddress].byte())
		if i >= uint64(len(u.addresses)) {
			return errDamaged
		}
		u.putSigned(u.addresses[i])
	case opResume:
		u.put(opI64Const)
		u.putSigned(u.number<<resumeBits + u.pc + 1 + r.signed())
	default:
		return u.plain(code, r)
	}
	return r.err
}

// plain makes an instruction of the module.
func (u *unsqueezer) plain(code byte, r *reader) error {
	base := u.base
	u.base = 0
	u.put(code)
	switch kind := immediates[code]; {
	case code == opEnd:
		u.end()
	case kind == immOne && code >= opBlock && code <= opIf:
		u.inner++
		u.copied(r)
	case code == opI64Const && base == opParam:
		u.putSigned(u.frame + 8 + u.eighths(laneParam))
	case code == opI64Const && base == opSlot:
		u.slot = u.eighths(lanePlace)
		u.putSigned(u.slot)
	case code == opI64Const:
		u.copied(&u.lane[laneLong])
	case kind == immMemory:
		u.put(aligned[code-opLoad])
		switch base {
		case opParam:
			u.putUnsigned(u.frame + 8 + u.eighths(laneParam))
		case opSlot:
			u.putUnsigned(u.eighths(laneSlot))
		default:
			u.copied(r)
		}
	case kind == immNone:
	case kind == immOne:
		u.copied(r)
	case kind == immTwo:
		u.copied(r)
		u.copied(r)
	case kind == immTable:
		n := r.unsigned()
		u.putUnsigned(int64(n))
		for to := int64(0); n >= 0; n-- {
			to += r.signed()
			u.putUnsigned(to)
			to++
		}
	case kind == imm4:
		u.put(u.lane[laneFloat].bytes(4)...)
	case kind == imm8:
		u.put(u.lane[laneFloat].bytes(8)...)
	case kind == immMore:
		second := r.byte()
		n, _ := moreBytes(second)
		u.put(append([]byte{second}, r.bytes(n)...)...)
	default:
		return errDamaged
	}
	return r.err
}

func (u *unsqueezer) end() {
	if u.inner--; u.inner >= 0 {
		return
	}
	if u.ended == 0 { // a function of another layout
		u.done = true
		return
	}
	for int64(len(u.table)) <= u.pc {
		u.table = append(u.table, u.ended-1)
	}
	u.inner = 0
	u.ended++
	u.pc++
}

func (u *unsqueezer) branch(label int) {
	u.holes = append(u.holes, hole{len(u.body), u.inner - u.ended + label})
}

func (u *unsqueezer) eighths(lane int) int64 { return 8 * int64(u.lane[lane].any()) }
func (u *unsqueezer) put(data ...byte)       { u.body = append(u.body, data...) }
func (u *unsqueezer) putUnsigned(v int64)    { u.body = binary.AppendUvarint(u.body, uint64(v)) }
func (u *unsqueezer) putSigned(v int64)      { u.body = appendSigned(u.body, v) }

// copied copies one LEB128 number.
func (u *unsqueezer) copied(r *reader) {
	for r.err == nil {
		b := r.byte()
		if u.put(b); b&0x80 == 0 {
			return
		}
	}
}

// any reads unsigned LEB128 of any size.
func (r *reader) any() uint64 {
	v, n := binary.Uvarint(r.rest)
	if r.bytes(max(n, 0)); n <= 0 {
		r.err = errDamaged
	}
	return v
}
