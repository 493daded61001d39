package build

import (
	"encoding/json"
	"math"
	"strconv"

	"portwright/engine/unit"
)

// TextJSON returns s as a JSON string. Bytes that are no UTF-8 become U+FFFD.
func TextJSON(s string) json.RawMessage {
	return appendQuoted(nil, s, "")
}

// FlagJSON returns true or false.
func FlagJSON(v bool) json.RawMessage { return strconv.AppendBool(nil, v) }

// WholeJSON returns n as a JSON number.
func WholeJSON(n int) json.RawMessage { return strconv.AppendInt(nil, int64(n), 10) }

// NumberJSON returns the shortest JSON number that reads back as f, and null
// when f is not finite.
func NumberJSON(f float64) json.RawMessage {
	a := math.Abs(f)
	switch {
	case math.IsNaN(f) || math.IsInf(f, 0):
		return json.RawMessage("null")
	case a != 0 && (a < 1e-6 || a >= 1e15):
		return strconv.AppendFloat(nil, f, 'e', -1, 64)
	}
	return strconv.AppendFloat(nil, f, 'f', -1, 64)
}

// LengthJSON returns a length as it stands in a file: a number of mm, {"in":x}
// or {"thou":x}.
func LengthJSON(l unit.Length) json.RawMessage {
	if l.Unit == unit.MM {
		l.Unit = ""
	}
	return ValueJSON(l)
}

// ValueJSON returns a reading's value: a bare number when it has no unit.
func ValueJSON(l unit.Length) json.RawMessage {
	n := NumberJSON(l.Value)
	if l.Unit == "" || string(n) == "null" {
		return n
	}
	return object([]Field{{string(l.Unit), n}})
}

// LengthsJSON returns a list of lengths.
func LengthsJSON(s []unit.Length) json.RawMessage { return listJSON(s, LengthJSON) }

func listJSON[T any](s []T, one func(T) json.RawMessage) json.RawMessage {
	b := []byte{'['}
	for i, v := range s {
		if i > 0 {
			b = append(b, ',')
		}
		b = append(b, one(v)...)
	}
	return append(b, ']')
}
