package build

import (
	"bytes"
	"encoding/json"
	"errors"
	"math"
	"strconv"
	"strings"
	"unicode/utf8"

	"portwright/engine/unit"
)

// Bounds on what one file may hold.
const (
	MaxBytes    = 32 << 20 // of a build file
	maxElements = 100_000  // list elements, fields of an object, unknown fields
	maxErrors   = 20       // told at once
)

// problems collects what is wrong in one document.
type problems struct {
	errs     []error
	more     int
	elements int // list elements and unknown fields so far
}

func (ps *problems) add(path, value, reason string) {
	if len(ps.errs) >= maxErrors {
		ps.more++
		return
	}
	ps.errs = append(ps.errs, &unit.InputError{Field: path, Value: value, Reason: reason})
}

func (ps *problems) err() error {
	if ps.more > 0 {
		return errors.Join(append(ps.errs, unit.Errorf("and %d more of the kind", ps.more))...)
	}
	return errors.Join(ps.errs...)
}

// floatOf reads a JSON number. The error says what would be right.
func floatOf(raw []byte) (float64, error) {
	if kindOf(raw) != '0' {
		return 0, errors.New("must be a number")
	}
	f, err := strconv.ParseFloat(string(raw), 64)
	if err != nil || math.IsInf(f, 0) || math.IsNaN(f) {
		return 0, errors.New("is out of range; must be a number that was measured")
	}
	return f, nil
}

// hint tells the writer of "104,5" in quotes how the number is written.
func hint(raw []byte) string {
	if kindOf(raw) != '"' {
		return ""
	}
	s := strings.Replace(strings.TrimSpace(textOf(raw)), ",", ".", 1)
	if s == "" || strings.Trim(s, "+-.0123456789") != "" {
		return ""
	}
	f, err := strconv.ParseFloat(s, 64)
	if err != nil {
		return ""
	}
	return "; write " + strconv.FormatFloat(f, 'f', -1, 64) + ", with a point and without quotes"
}

// clip returns a value as given, cut to what fits in a message.
func clip(raw []byte) string {
	const most = 40
	s := string(raw)
	if b := new(bytes.Buffer); len(raw) < 4*most && json.Compact(b, raw) == nil {
		s = b.String()
	}
	if utf8.RuneCountInString(s) <= most {
		return s
	}
	if len(s) > 4*most {
		s = s[:4*most]
	}
	return string([]rune(s)[:most-3]) + "..."
}
