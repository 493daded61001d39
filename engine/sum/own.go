// Package sum is SHA-256 (NIST FIPS 180-4), by which entries and files are
// known to be the same.
package sum

import (
	"encoding/binary"
	"math/bits"
)

// The phone's SHA-256 is our own: crypto/sha256 brings the whole of FIPS 140
// with it, 30 KB of what a phone fetches. Everywhere else SHA256 is the library's.

// Size is the bytes of the sum.
const Size = 32

const blockSize = 64

// ownSum returns SHA-256 of the parts, one after the other.
//
// Source: NIST FIPS 180-4 (2015), 5.1.1 (padding) and 6.2.2 (computation).
func ownSum(parts ...[]byte) (out [Size]byte) {
	h := [8]uint32{0x6a09e667, 0xbb67ae85, 0x3c6ef372, 0xa54ff53a, 0x510e527f, 0x9b05688c, 0x1f83d9ab, 0x5be0cd19} // 5.3.3
	var block [blockSize]byte
	used, length := 0, uint64(0)
	for _, p := range parts {
		length += uint64(len(p))
		for len(p) > 0 {
			n := copy(block[used:], p)
			p = p[n:]
			if used += n; used == blockSize {
				hashBlock(&h, &block)
				used = 0
			}
		}
	}
	block[used] = 0x80
	clear(block[used+1:])
	if used+1 > blockSize-8 {
		hashBlock(&h, &block)
		clear(block[:])
	}
	binary.BigEndian.PutUint64(block[blockSize-8:], 8*length)
	hashBlock(&h, &block)
	for i, v := range h {
		binary.BigEndian.PutUint32(out[4*i:], v)
	}
	return out
}

// hashBlock is steps 1 to 4 of 6.2.2.
func hashBlock(h *[8]uint32, block *[blockSize]byte) {
	var w [64]uint32
	for t := range 16 {
		w[t] = binary.BigEndian.Uint32(block[4*t:])
	}
	for t := 16; t < 64; t++ {
		a, b := w[t-15], w[t-2]
		s0 := bits.RotateLeft32(a, -7) ^ bits.RotateLeft32(a, -18) ^ a>>3
		s1 := bits.RotateLeft32(b, -17) ^ bits.RotateLeft32(b, -19) ^ b>>10
		w[t] = s1 + w[t-7] + s0 + w[t-16]
	}
	v := *h
	for t := range 64 {
		a, b, c, d, e, f, g := v[0], v[1], v[2], v[3], v[4], v[5], v[6]
		S1 := bits.RotateLeft32(e, -6) ^ bits.RotateLeft32(e, -11) ^ bits.RotateLeft32(e, -25)
		t1 := v[7] + S1 + (e&f ^ ^e&g) + roundConstants[t] + w[t]
		S0 := bits.RotateLeft32(a, -2) ^ bits.RotateLeft32(a, -13) ^ bits.RotateLeft32(a, -22)
		v = [8]uint32{t1 + S0 + (a&b ^ a&c ^ b&c), a, b, c, d + t1, e, f, g}
	}
	for i := range h {
		h[i] += v[i]
	}
}

// roundConstants are the first 32 bits of the fractional parts of the cube roots
// of the first 64 primes (4.2.2).
var roundConstants = [64]uint32{
	0x428a2f98, 0x71374491, 0xb5c0fbcf, 0xe9b5dba5, 0x3956c25b, 0x59f111f1, 0x923f82a4, 0xab1c5ed5,
	0xd807aa98, 0x12835b01, 0x243185be, 0x550c7dc3, 0x72be5d74, 0x80deb1fe, 0x9bdc06a7, 0xc19bf174,
	0xe49b69c1, 0xefbe4786, 0x0fc19dc6, 0x240ca1cc, 0x2de92c6f, 0x4a7484aa, 0x5cb0a9dc, 0x76f988da,
	0x983e5152, 0xa831c66d, 0xb00327c8, 0xbf597fc7, 0xc6e00bf3, 0xd5a79147, 0x06ca6351, 0x14292967,
	0x27b70a85, 0x2e1b2138, 0x4d2c6dfc, 0x53380d13, 0x650a7354, 0x766a0abb, 0x81c2c92e, 0x92722c85,
	0xa2bfe8a1, 0xa81a664b, 0xc24b8b70, 0xc76c51a3, 0xd192e819, 0xd6990624, 0xf40e3585, 0x106aa070,
	0x19a4c116, 0x1e376c08, 0x2748774c, 0x34b0bcb5, 0x391c0cb3, 0x4ed8aa4a, 0x5b9cca4f, 0x682e6ff3,
	0x748f82ee, 0x78a5636f, 0x84c87814, 0x8cc70208, 0x90befffa, 0xa4506ceb, 0xbef9a3f7, 0xc67178f2,
}
