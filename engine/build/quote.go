package build

import (
	"unicode/utf16"
	"unicode/utf8"
)

const hexDigits = "0123456789abcdef"

// AppendText appends s as a JSON string in which < > & are escaped too. Bytes
// that are no UTF-8 become U+FFFD.
func AppendText(dst []byte, s string) []byte { return appendQuoted(dst, s, "<>&") }

// appendQuoted appends s as a JSON string and escapes what JSON asks for, the
// line ends of JavaScript (U+2028, U+2029), and the characters in also.
//
// Source: RFC 8259, section 7.
func appendQuoted(dst []byte, s, also string) []byte {
	dst = append(dst, '"')
	for _, r := range s {
		switch {
		case r == '"' || r == '\\':
			dst = append(dst, '\\', byte(r))
		case r == '\b':
			dst = append(dst, `\b`...)
		case r == '\f':
			dst = append(dst, `\f`...)
		case r == '\n':
			dst = append(dst, `\n`...)
		case r == '\r':
			dst = append(dst, `\r`...)
		case r == '\t':
			dst = append(dst, `\t`...)
		case r < ' ' || r == '\u2028' || r == '\u2029' || among(also, r):
			dst = append(dst, '\\', 'u', hexDigits[r>>12&15], hexDigits[r>>8&15], hexDigits[r>>4&15], hexDigits[r&15])
		default:
			dst = utf8.AppendRune(dst, r)
		}
	}
	return append(dst, '"')
}

func among(chars string, r rune) bool {
	for _, c := range chars {
		if c == r {
			return true
		}
	}
	return false
}

// unquote returns the text of a valid JSON string that has escapes. Half a
// surrogate pair and bytes that are no UTF-8 become U+FFFD.
func unquote(raw []byte) string {
	out := make([]byte, 0, len(raw))
	for i := 1; i < len(raw)-1; {
		c := raw[i]
		if c != '\\' {
			r, n := utf8.DecodeRune(raw[i:])
			out = utf8.AppendRune(out, r)
			i += n
			continue
		}
		c = raw[i+1]
		i += 2
		switch c {
		case 'b':
			c = '\b'
		case 'f':
			c = '\f'
		case 'n':
			c = '\n'
		case 'r':
			c = '\r'
		case 't':
			c = '\t'
		case 'u':
			r := hexRune(raw, i)
			i += 4
			if utf16.IsSurrogate(r) {
				pair := rune(utf8.RuneError)
				if raw[i] == '\\' && raw[i+1] == 'u' {
					pair = utf16.DecodeRune(r, hexRune(raw, i+2))
				}
				if r = pair; r != utf8.RuneError {
					i += 6
				}
			}
			out = utf8.AppendRune(out, r)
			continue
		}
		out = append(out, c)
	}
	return string(out)
}

// hexRune reads four hexadecimal digits at i.
func hexRune(raw []byte, i int) rune {
	var r rune
	for _, c := range raw[i : i+4] {
		switch {
		case c >= 'a':
			c -= 'a' - 10
		case c >= 'A':
			c -= 'A' - 10
		default:
			c -= '0'
		}
		r = r<<4 | rune(c)
	}
	return r
}
