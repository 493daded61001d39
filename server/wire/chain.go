package wire

import (
	"bytes"
	"errors"
	"slices"
	"strconv"

	"portwright/engine/sum"
)

// Chain is the hash over a device's entries in order; the zero value is
// chain(0).
type Chain [sum.Size]byte

// Next returns the chain after one more entry:
//
//	chain(n) = SHA-256(chain(n-1) || bytes of entry n)
func (c Chain) Next(entry []byte) Chain { return sum.SHA256(c[:], entry) }

// String returns 64 hexadecimal digits.
func (c Chain) String() string { return hexOf(c[:]) }

// ParseChain reads what String writes, and nothing else.
func ParseChain(s string) (Chain, error) {
	var c Chain
	if len(s) != 2*len(c) {
		return Chain{}, errors.New("has " + strconv.Itoa(len(s)) + " characters; a chain is 64 hexadecimal digits")
	}
	for i := range c {
		c[i] = nibble(s[2*i])<<4 | nibble(s[2*i+1])&15
	}
	if c.String() != s {
		return Chain{}, errors.New(strconv.Quote(s) + " is not a chain: 64 digits 0-9 and a-f")
	}
	return c, nil
}

// Digest returns the hash over everything that is held without a gap, in hex:
//
//	SHA-256(for each device in order of its name: name "\n" seq "\n" chain "\n")
//
// with the sequence number in decimal and the chain in hex. Two ends with one
// digest hold the same entries.
func Digest(have Have) string {
	names := make([]string, 0, len(have))
	for name := range have {
		names = append(names, name)
	}
	slices.Sort(names)
	var b bytes.Buffer
	for _, name := range names {
		tip := have[name]
		if tip.Seq == 0 {
			continue
		}
		b.WriteString(name)
		b.WriteByte('\n')
		b.WriteString(strconv.FormatUint(tip.Seq, 10))
		b.WriteByte('\n')
		b.WriteString(tip.Chain)
		b.WriteByte('\n')
	}
	s := sum.SHA256(b.Bytes())
	return hexOf(s[:])
}

// Mark names the entry that stands at a cursor: the first 16 hexadecimal
// digits of SHA-256(device "\n" seq "\n" bytes of the entry). A store that went
// back to an earlier state and grew again has the same cursors with other
// marks.
func Mark(device string, seq uint64, entry []byte) string {
	s := sum.SHA256(addressLines(nil, device, seq), entry)
	return hexOf(s[:8])
}

// addressLines appends device and sequence number, a line each.
func addressLines(dst []byte, device string, seq uint64) []byte {
	dst = append(append(dst, device...), '\n')
	return append(strconv.AppendUint(dst, seq, 10), '\n')
}

// Package encoding/hex brings fmt with it.
const hexDigits = "0123456789abcdef"

func hexOf(b []byte) string {
	out := make([]byte, 0, 2*len(b))
	for _, c := range b {
		out = append(out, hexDigits[c>>4], hexDigits[c&15])
	}
	return string(out)
}

// nibble is the value of a digit; of what is none, any.
func nibble(c byte) byte {
	if c >= 'a' {
		return c - 'a' + 10
	}
	return c - '0'
}
