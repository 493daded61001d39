package sum

// SHA256 returns SHA-256 of the parts, one after the other.
func SHA256(parts ...[]byte) [Size]byte { return ownSum(parts...) }
