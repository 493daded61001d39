package wire

import (
	"strconv"
	"unicode/utf16"
	"unicode/utf8"
)

// unquote returns the text of a JSON string that is known to be valid. Half a
// surrogate pair and bytes that are no UTF-8 become U+FFFD, as in encoding/json.
func unquote(quoted []byte) string {
	out := make([]byte, 0, len(quoted))
	for b := quoted[1 : len(quoted)-1]; len(b) > 0; {
		r, n := utf8.DecodeRune(b)
		if r == '\\' {
			r, n = escaped(b)
		}
		out = utf8.AppendRune(out, r)
		b = b[n:]
	}
	return string(out)
}

// escaped returns the character of the escape that b begins with, and how many
// bytes it takes.
func escaped(b []byte) (rune, int) {
	switch c := b[1]; c {
	case 'b':
		return '\b', 2
	case 'f':
		return '\f', 2
	case 'n':
		return '\n', 2
	case 'r':
		return '\r', 2
	case 't':
		return '\t', 2
	case 'u':
	default:
		return rune(c), 2
	}
	r := hex4(b[2:])
	if utf16.IsSurrogate(r) {
		if len(b) >= 12 && b[6] == '\\' && b[7] == 'u' {
			if pair := utf16.DecodeRune(r, hex4(b[8:])); pair != utf8.RuneError {
				return pair, 12
			}
		}
		return utf8.RuneError, 6
	}
	return r, 6
}

func hex4(b []byte) rune {
	n, _ := strconv.ParseUint(string(b[:4]), 16, 32) // the JSON is valid
	return rune(n)
}
