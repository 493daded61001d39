package unit

import (
	"bytes"
	"encoding/json"
	"math"
	"strconv"
	"strings"
)

// lengthForm is what a wrong length in a file is told.
const lengthForm = `a length is a number of mm, {"in":1.145} or {"thou":20}`

// MarshalJSON gives back the form that the length was given in: a plain number
// when it has no unit, else {"mm":x}, {"in":x} or {"thou":x}.
func (l Length) MarshalJSON() ([]byte, error) {
	if math.IsNaN(l.Value) || math.IsInf(l.Value, 0) {
		return nil, &InputError{Value: Fixed(l.Value, 0), Unit: string(l.Unit), Reason: "a length must be a finite number"}
	}
	num, err := json.Marshal(l.Value)
	if err != nil {
		return nil, err
	}
	switch l.Unit {
	case "":
		return num, nil
	case MM, Inch, Thou:
		return []byte(`{"` + string(l.Unit) + `":` + string(num) + `}`), nil
	}
	return nil, &InputError{Value: Plain(l.Value, 6), Unit: string(l.Unit), Reason: "the unit of a length is mm, in or thou"}
}

// UnmarshalJSON reads a plain number (mm, Unit "") or an object with exactly
// one of "mm", "in" and "thou". The error is an *InputError without a field.
func (l *Length) UnmarshalJSON(data []byte) error {
	data = bytes.TrimSpace(data)
	if string(data) == "null" {
		return nil // as encoding/json does: null leaves the value alone
	}
	if len(data) > 0 && data[0] != '{' {
		v, err := jsonNumber(data)
		if err != nil {
			return err
		}
		*l = Length{Value: v}
		return nil
	}
	var object map[string]json.RawMessage
	if err := json.Unmarshal(data, &object); err != nil {
		return &InputError{Value: clip(string(data)), Reason: lengthForm}
	}
	if len(object) != 1 {
		return &InputError{Value: clip(string(data)), Reason: "one unit is wanted: " + lengthForm}
	}
	for key, raw := range object {
		switch u := LengthUnit(key); u {
		case MM, Inch, Thou:
			v, err := jsonNumber(raw)
			if err != nil {
				return Name(err, "", key)
			}
			*l = Length{Value: v, Unit: u}
		default:
			return &InputError{Value: clip(string(data)), Reason: "unknown unit " + clip(key) + ": " + lengthForm}
		}
	}
	return nil
}

func jsonNumber(raw []byte) (float64, error) {
	var v float64
	if len(raw) == 0 || raw[0] == 'n' || json.Unmarshal(raw, &v) != nil {
		return 0, &InputError{Value: clip(string(raw)), Reason: "a number without quotes is wanted; " + lengthForm}
	}
	return v, nil
}

// ParseLength reads a length as a person types it: a number as ParseNumber
// takes it, alone (then in unit given) or followed by mm, in, ", ″, inch,
// inches, thou or thousandths. Inches may end in a fraction as rules have it,
// "13/16", "1 13/16" or "1-13/16". The error is an *InputError without a field.
func ParseLength(s string, given LengthUnit) (Length, error) {
	t := strings.ToLower(strings.TrimSpace(s))
	u := given
	for _, suffix := range lengthSuffixes {
		if rest, ok := strings.CutSuffix(t, suffix.text); ok {
			t, u = rest, suffix.unit
			break
		}
	}
	as := like{"32.5", "32½"}
	switch u {
	case Inch:
		if v, ok := inchFraction(t); ok {
			return Length{Value: v, Unit: u}, nil
		}
		as = like{"1.26", "1 13/16"}
	case Thou:
		as = like{"20", "20½"}
	}
	v, err := parseNumber(t, as)
	if err != nil {
		e := *err.(*InputError)
		e.Value = clip(s)
		if strings.Contains(t, "/") {
			e.Reason = "fractions are taken in inches, from 1/2 to 1/64, for example 13/16 or 1 13/16"
		}
		if strings.ContainsAny(t, "abcdefghijklmnopqrstuvwxyz") {
			e.Reason = "a length is a number, with mm, in or thou behind it where it is not in the unit shown"
		}
		return Length{}, &e
	}
	return Length{Value: v, Unit: u}, nil
}

// inchFraction reads "13/16", "1 13/16" and "1-13/16": proper fractions of a
// half to a sixty-fourth, which is what rules and drills are divided in.
func inchFraction(t string) (v float64, ok bool) {
	t, sign := strings.TrimSpace(t), 1.0
	for _, minus := range []string{"-", "−"} {
		if rest, cut := strings.CutPrefix(t, minus); cut {
			t, sign = rest, -1
			break
		}
	}
	above, below, ok := strings.Cut(t, "/")
	whole := "0"
	if i := strings.LastIndexAny(above, " -"); i >= 0 {
		whole, above = strings.TrimSpace(above[:i]), above[i+1:]
	}
	w, err1 := strconv.ParseUint(whole, 10, 16)
	n, err2 := strconv.ParseUint(above, 10, 8)
	d, err3 := strconv.ParseUint(below, 10, 8)
	if !ok || err1 != nil || err2 != nil || err3 != nil || n == 0 || n >= d || d > 64 || d&(d-1) != 0 {
		return 0, false
	}
	return sign * (float64(w) + float64(n)/float64(d)), true
}

// lengthSuffixes stand longest first, so that "thousandths" is not cut short.
var lengthSuffixes = [...]struct {
	text string
	unit LengthUnit
}{
	{"thousandths", Thou}, {"inches", Inch}, {"inch", Inch}, {"thou", Thou},
	{"mm", MM}, {"in", Inch}, {`"`, Inch}, {"″", Inch},
}

// String writes the length with its unit and no float noise: "34 mm",
// "1.145 in", "20 thou".
func (l Length) String() string {
	switch l.Unit {
	case Inch:
		return Plain(l.Value, 4) + " in"
	case Thou:
		return Plain(l.Value, 1) + " thou"
	}
	return Plain(l.Value, 3) + " mm"
}
