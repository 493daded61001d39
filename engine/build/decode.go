package build

import (
	"bytes"
	"encoding/json"
	"io"
	"sort"
	"strconv"
	"unicode/utf8"

	"portwright/engine/unit"
)

// Decode reads a build file. The error joins everything that is wrong as
// *unit.InputError, at most 20 at once; fields are named by their path with
// places counted from 0, e.g. passes[0].readings[2].value. Whether the numbers
// make sense is asked by Check.
func Decode(data []byte) (*Build, error) {
	data = bytes.TrimSpace(bytes.TrimPrefix(data, []byte("\ufeff")))
	switch {
	case len(data) > MaxBytes:
		return nil, tooLarge()
	case len(data) == 0:
		return nil, fileError("is empty; must be JSON that begins with {\"format\":\"" + Format + "\"")
	case !utf8.Valid(data):
		return nil, fileError("is not UTF-8 text; save it as UTF-8")
	case !json.Valid(data):
		return nil, syntaxError(data)
	case data[0] != '{':
		return nil, &unit.InputError{Field: "build file", Value: clip(data), Reason: "must be an object {...}"}
	}
	var b Build
	r := &reader{problems: &problems{}, place: -1}
	data, err := upToDate(data, r)
	if err != nil {
		return nil, err
	}
	r.readPart(data, &b)
	if err := r.problems.err(); err != nil {
		return nil, err
	}
	return &b, nil
}

// Read reads a build file from r and refuses one larger than MaxBytes without
// reading it to its end.
func Read(r io.Reader) (*Build, error) {
	data, err := io.ReadAll(io.LimitReader(r, MaxBytes+1))
	if err != nil {
		return nil, err
	}
	if len(data) > MaxBytes {
		return nil, tooLarge()
	}
	return Decode(data)
}

// SetField sets one field of a part from its JSON value, as if it stood in the
// file: null clears it, and a key that this version does not know goes to
// Extra. Lists of parts and parts within parts are no single fields.
func SetField(p Part, key string, value json.RawMessage) error {
	value = bytes.TrimSpace(value)
	if !json.Valid(value) || !utf8.Valid(value) {
		return &unit.InputError{Field: key, Reason: "must be a JSON value"}
	}
	r := &reader{problems: &problems{}, place: -1, single: true}
	r.give([]Field{{key, value}})
	if holds(p, key) {
		return &unit.InputError{Field: key, Value: clip(value), Reason: "is not a single field"}
	}
	p.fields(r)
	if !r.used[0] {
		keep(p, key, value)
	}
	return r.problems.err()
}

// ReadValue reads a reading's value: a bare number, whose unit is "", or
// {"mm":x}, {"in":x} or {"thou":x}. raw must be a value that Split gave.
func ReadValue(raw json.RawMessage) (unit.Length, error) {
	if kindOf(raw) == '0' {
		if f, err := floatOf(raw); err == nil {
			return unit.Length{Value: f}, nil
		}
	}
	var r Reading
	err := SetField(&r, "value", raw)
	if err == nil && kindOf(raw) == 'n' {
		err = &unit.InputError{Field: "value", Reason: "must be given"}
	}
	return r.Value, err
}

// DecodePart reads one part from a JSON object, as it stands in a file.
func DecodePart(raw json.RawMessage, p Part) error {
	raw = bytes.TrimSpace(raw)
	if !json.Valid(raw) || !utf8.Valid(raw) {
		return &unit.InputError{Field: "part", Reason: "must be a JSON object"}
	}
	r := &reader{problems: &problems{}, place: -1}
	r.readPart(raw, p)
	return r.problems.err()
}

// holds says whether a key of a part holds other parts.
func holds(p Part, key string) bool {
	switch p.(type) {
	case *Build:
		switch key {
		case "engine", "windows", "wheel", "passes", "targets", "moves_allowed", "limits", "rules", "bites":
			return true
		}
	case *Pass:
		return key == "stops" || key == "readings" || key == "corrections"
	}
	return false
}

// upToDate looks at format and version and brings a file of an older version
// up to Version. Older files open for ever.
func upToDate(data []byte, r *reader) ([]byte, error) {
	var head struct {
		format  string
		version *float64
	}
	h := &reader{problems: r.problems, place: -1}
	fs, _ := splitObject(data, maxElements)
	h.give(fs)
	h.text("format", &head.format)
	h.number("version", &head.version)
	if err := r.problems.err(); err != nil {
		return nil, err
	}
	switch head.format {
	case Format:
	case "portwright-book":
		return nil, &unit.InputError{Field: "format", Value: strconv.Quote(head.format),
			Reason: `must be "` + Format + `"; this is a whole book, whose builds "portwright book extract" takes out`}
	case "":
		return nil, &unit.InputError{Field: "format", Reason: `must be given: "` + Format + `"`}
	default:
		return nil, &unit.InputError{Field: "format", Value: strconv.Quote(head.format), Reason: `must be "` + Format + `"`}
	}
	if head.version == nil {
		return nil, &unit.InputError{Field: "version", Reason: unit.Sprintf("must be given; this program reads up to %d", Version)}
	}
	v, text := *head.version, strconv.FormatFloat(*head.version, 'f', -1, 64)
	if v > Version {
		return nil, &unit.InputError{Field: "version", Value: text, Reason: unit.Sprintf("this program reads up to %d; get a newer one", Version)}
	}
	if v < 1 || v != float64(int(v)) {
		return nil, &unit.InputError{Field: "version", Value: text, Reason: unit.Sprintf("must be a whole number from 1 to %d", Version)}
	}
	for _, up := range upgrades()[int(v)-1:] {
		var err error
		if data, err = up(data); err != nil {
			return nil, err
		}
	}
	return data, nil
}

// upgrades returns the steps from each version to the next: the first makes
// version 2 of version 1, and so on. There are always Version-1 of them.
func upgrades() []func(data []byte) ([]byte, error) {
	return nil
}

func fileError(reason string) error {
	return &unit.InputError{Field: "build file", Reason: reason}
}

func tooLarge() error {
	return fileError(unit.Sprintf("is larger than %d MB; a build file is far smaller, so this is another kind of file", MaxBytes>>20))
}

// syntaxError says where the text stops being JSON and, for the usual slips of
// a hand-written file, what would be right.
func syntaxError(data []byte) error {
	if line, _, _ := bytes.Cut(data, []byte{'\n'}); len(line) > 0 && line[0] == '{' && json.Valid(line) {
		if _, err := upToDate(line, &reader{problems: &problems{}, place: -1}); err != nil {
			return err // a file of one value a line, and of another format
		}
	}
	said := jsonFault(data)
	if said == cutShort {
		return fileError("is cut short: the JSON ends before its last bracket")
	}
	// The fault is the last byte of the shortest beginning that has one.
	at := sort.Search(len(data), func(n int) bool {
		fault := jsonFault(data[:n+1])
		return fault != "" && fault != cutShort
	})
	line := 1 + bytes.Count(data[:at], []byte{'\n'})
	column := utf8.RuneCount(data[bytes.LastIndexByte(data[:at], '\n')+1:at]) + 1
	return fileError(unit.Sprintf("is not JSON at line %d, column %d: %s%s", line, column, said, slip(data, at)))
}

// cutShort is what encoding/json says of a text that goes on well as far as it
// goes.
const cutShort = "unexpected end of JSON input"

// jsonFault is what encoding/json says of a text, "" when it is JSON. Compact
// asks its scanner alone; the decoder would bring reflection with it.
func jsonFault(data []byte) string {
	if err := json.Compact(new(bytes.Buffer), data); err != nil {
		return err.Error()
	}
	return ""
}

// slip recognises a decimal comma and a number that JSON does not have.
func slip(data []byte, at int) string {
	before := bytes.TrimRight(data[:at], " \t\r\n")
	rest := data[at:]
	digit := func(c byte) bool { return c >= '0' && c <= '9' }
	if n := len(before); n >= 2 && before[n-1] == ',' && digit(before[n-2]) && digit(rest[0]) {
		return "; a decimal is written with a point, as in 104.5"
	}
	for _, word := range []string{"NaN", "nan", "Infinity", "-Infinity", "inf", "None", "undefined"} {
		if bytes.HasPrefix(rest, []byte(word)) || (at > 0 && bytes.HasPrefix(data[at-1:], []byte(word))) {
			return "; a value that is not known is null"
		}
	}
	return ""
}
