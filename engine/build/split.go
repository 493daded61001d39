package build

import (
	"bytes"
	"encoding/json"
	"errors"
	"unicode/utf8"
)

// Split returns the fields of a JSON object as they stand in the text, in
// order, without reading their values.
func Split(raw json.RawMessage) ([]Field, error) {
	if !json.Valid(raw) {
		return nil, errors.New("is not JSON")
	}
	start := skipSpace(raw, 0)
	if raw[start] != '{' {
		return nil, errors.New("is not an object {...}")
	}
	fs, all := splitObject(raw[start:], maxElements)
	if !all {
		return nil, errors.New("has too many fields")
	}
	return fs, nil
}

// Text returns the text of a value that Split gave, and false when the value
// is no text.
func Text(raw json.RawMessage) (string, bool) {
	if len(raw) < 2 || raw[0] != '"' || raw[len(raw)-1] != '"' {
		return "", false
	}
	return textOf(raw), true
}

// kindOf names the JSON kind of a value by its first byte: one of
// { [ " t f n or 0 for a number.
func kindOf(raw []byte) byte {
	if len(raw) == 0 {
		return 'n'
	}
	switch c := raw[0]; c {
	case '{', '[', '"', 't', 'f', 'n':
		return c
	}
	return '0'
}

// splitObject returns at most limit fields of an object, in order, and whether
// there were no more. raw must be valid JSON that begins with "{".
func splitObject(raw []byte, limit int) (fields []Field, all bool) {
	fields = make([]Field, 0, 8)
	for i := skipSpace(raw, 1); raw[i] != '}'; {
		if len(fields) == limit {
			return fields, false
		}
		end := skipString(raw, i)
		key := textOf(raw[i:end])
		i = skipSpace(raw, end)
		i = skipSpace(raw, i+1) // past the colon
		end = skipValue(raw, i)
		fields = append(fields, Field{key, raw[i:end:end]})
		i = skipSpace(raw, end)
		if raw[i] == ',' {
			i = skipSpace(raw, i+1)
		}
	}
	return fields, true
}

// splitArray returns at most limit elements of an array and whether there were
// no more. raw must be valid JSON that begins with "[".
func splitArray(raw []byte, limit int) (elements []json.RawMessage, all bool) {
	for i := skipSpace(raw, 1); raw[i] != ']'; {
		if len(elements) == limit {
			return elements, false
		}
		end := skipValue(raw, i)
		elements = append(elements, raw[i:end:end])
		i = skipSpace(raw, end)
		if raw[i] == ',' {
			i = skipSpace(raw, i+1)
		}
	}
	return elements, true
}

func skipSpace(raw []byte, i int) int {
	for raw[i] == ' ' || raw[i] == '\n' || raw[i] == '\t' || raw[i] == '\r' {
		i++
	}
	return i
}

// skipString returns the place after the string that begins at i.
func skipString(raw []byte, i int) int {
	for i++; raw[i] != '"'; i++ {
		if raw[i] == '\\' {
			i++
		}
	}
	return i + 1
}

// skipValue returns the place after the value that begins at i.
func skipValue(raw []byte, i int) int {
	depth := 0
	for ; i < len(raw); i++ {
		switch raw[i] {
		case '"':
			i = skipString(raw, i) - 1
			if depth == 0 {
				return i + 1
			}
		case '{', '[':
			depth++
		case '}', ']':
			if depth == 0 { // ended a number or word inside a container
				return i
			}
			if depth--; depth == 0 {
				return i + 1
			}
		case ',', ' ', '\n', '\t', '\r':
			if depth == 0 {
				return i
			}
		}
	}
	return i
}

// textOf decodes a valid JSON string.
func textOf(raw []byte) string {
	if bytes.IndexByte(raw, '\\') >= 0 || !utf8.Valid(raw) {
		return unquote(raw)
	}
	return string(raw[1 : len(raw)-1])
}
