//go:build !js

package wire

import "crypto/sha256"

// sum returns SHA-256 of the parts, one after the other.
func sum(parts ...[]byte) (out [sumSize]byte) {
	h := sha256.New()
	for _, p := range parts {
		h.Write(p)
	}
	h.Sum(out[:0])
	return out
}
