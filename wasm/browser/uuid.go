package browser

// uuid7 returns the UUID version 7 of a time in milliseconds since 1970 and 10
// random bytes.
//
//	48 bits ms | version 7 | 12 random bits | variant 10 | 62 random bits
//
// Source: RFC 9562 (2024), section 5.7.
func uuid7(ms int64, random [10]byte) string {
	var b [16]byte
	for i := range 6 {
		b[i] = byte(ms >> (40 - 8*i))
	}
	copy(b[6:], random[:])
	b[6] = b[6]&0x0f | 0x70
	b[8] = b[8]&0x3f | 0x80

	const hex = "0123456789abcdef"
	out := make([]byte, 0, 36)
	for i, v := range b {
		if i == 4 || i == 6 || i == 8 || i == 10 {
			out = append(out, '-')
		}
		out = append(out, hex[v>>4], hex[v&15])
	}
	return string(out)
}
