//go:build !js

package sum

import "crypto/sha256"

// SHA256 returns SHA-256 of the parts, one after the other.
func SHA256(parts ...[]byte) (out [Size]byte) {
	h := sha256.New()
	for _, p := range parts {
		h.Write(p)
	}
	h.Sum(out[:0])
	return out
}
