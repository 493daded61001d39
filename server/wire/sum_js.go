package wire

// sum returns SHA-256 of the parts, one after the other.
func sum(parts ...[]byte) [sumSize]byte { return ownSum(parts...) }
