package build

import (
	"bytes"
	"encoding/json"
)

// What fits on a line stays on one, so that a reading is one line.
const (
	lineWidth = 200
	maxIndent = 8       // deeper values stay on one line whatever their length
	maxLayout = 4 << 20 // so do larger ones: nobody reads them
)

// layout sets out compact JSON for people.
func layout(raw json.RawMessage) []byte {
	var b bytes.Buffer
	layoutValue(&b, raw, 0)
	b.WriteByte('\n')
	return b.Bytes()
}

func layoutValue(b *bytes.Buffer, raw json.RawMessage, depth int) {
	kind := kindOf(raw)
	if (kind != '{' && kind != '[') || depth >= maxIndent || (depth > 0 && len(raw) > maxLayout) || (depth > 0 && len(raw)+2*depth <= lineWidth) {
		b.Write(raw)
		return
	}
	if kind == '{' {
		b.WriteByte('{')
		fs, _ := splitObject(raw, len(raw))
		for i, f := range fs {
			newLine(b, i, depth+1)
			b.Write(TextJSON(f.Key))
			b.WriteString(": ")
			layoutValue(b, f.Value, depth+1)
		}
		closeWith(b, '}', len(fs), depth)
		return
	}
	b.WriteByte('[')
	elements, _ := splitArray(raw, len(raw))
	for i, e := range elements {
		newLine(b, i, depth+1)
		layoutValue(b, e, depth+1)
	}
	closeWith(b, ']', len(elements), depth)
}

func newLine(b *bytes.Buffer, i, depth int) {
	if i > 0 {
		b.WriteByte(',')
	}
	b.WriteByte('\n')
	for range depth {
		b.WriteString("  ")
	}
}

func closeWith(b *bytes.Buffer, bracket byte, n, depth int) {
	if n > 0 {
		newLine(b, 0, depth)
	}
	b.WriteByte(bracket)
}
