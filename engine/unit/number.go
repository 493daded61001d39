package unit

import (
	"math"
	"strconv"
	"strings"
)

// maxNumberRunes bounds what is looked at as a number: no reading or length
// of this trade needs more.
const maxNumberRunes = 32

// fractions are the fraction signs that a keyboard or a keypad can give.
var fractions = [...]struct {
	sign  string
	value float64
}{
	{"½", 0.5}, {"¼", 0.25}, {"¾", 0.75},
	{"⅛", 0.125}, {"⅜", 0.375}, {"⅝", 0.625}, {"⅞", 0.875},
}

// ParseNumber reads a number as a person types it: "104.5", "104,5", "104½",
// "½", "-2", "−2", ".5", "104." and the same with spaces around. A comma is a
// decimal comma, so "1,145" is a little over one; a number that holds both
// marks, or one mark twice, is refused rather than guessed at, and so are
// powers of ten, hexadecimal and anything else that is not plain.
//
// The error is an *InputError without a field; see ParseField.
func ParseNumber(s string) (float64, error) { return parseNumber(s, like{"104.5", "104½"}) }

// like are examples of what is wanted, for the messages: an angle's differ from
// a length's.
type like struct{ number, fraction string }

func parseNumber(s string, as like) (float64, error) {
	refuse := func(reason string) (float64, error) {
		return 0, &InputError{Value: clip(s), Reason: reason}
	}
	t := strings.TrimSpace(s)
	if t == "" {
		return refuse("a number is wanted, for example " + as.number)
	}
	if len([]rune(t)) > maxNumberRunes {
		return refuse("too long for a number")
	}
	sign := 1.0
	for _, minus := range []string{"-", "−"} {
		if rest, ok := strings.CutPrefix(t, minus); ok {
			sign, t = -1, rest
			break
		}
	}
	if sign > 0 {
		t = strings.TrimPrefix(t, "+")
	}
	whole, part := t, 0.0
	for _, f := range fractions {
		if rest, ok := strings.CutSuffix(t, f.sign); ok {
			whole, part = strings.TrimRight(rest, " \u00a0\u202f"), f.value
			break
		}
	}
	if part > 0 && strings.ContainsAny(whole, ".,") {
		return refuse("a fraction follows whole numbers only, for example " + as.fraction)
	}
	if part > 0 && whole == "" {
		return sign * part, nil
	}
	if reason := plainDecimal(whole, as); reason != "" {
		return refuse(reason)
	}
	v, err := strconv.ParseFloat(strings.Replace(whole, ",", ".", 1), 64)
	if err != nil || math.IsInf(v, 0) || math.IsNaN(v) {
		return refuse("a plain number is wanted, for example " + as.number)
	}
	v = sign * (v + part)
	if v == 0 {
		v = 0 // no negative zero
	}
	return v, nil
}

// plainDecimal says why t is not digits with at most one decimal mark, or "".
func plainDecimal(t string, as like) string {
	digits, points, commas := 0, 0, 0
	for _, r := range t {
		switch {
		case r >= '0' && r <= '9':
			digits++
		case r == '.':
			points++
		case r == ',':
			commas++
		default:
			return "a plain number is wanted, for example " + as.number + " or " + as.fraction
		}
	}
	switch {
	case points > 0 && commas > 0:
		return "holds both a comma and a point: use one decimal mark and nothing between thousands"
	case points > 1 || commas > 1:
		return "holds more than one decimal mark"
	case digits == 0:
		return "a number is wanted, for example " + as.number
	}
	return ""
}

// ParseField reads a number as ParseNumber does and names the field, and the
// unit the number stands in, when it is refused.
func ParseField(field, unit, s string) (float64, error) {
	v, err := ParseNumber(s)
	return v, Name(err, field, unit)
}

// Name puts the field, and the unit where none is given, into an *InputError
// that lacks them; other errors and nil come back as they are.
func Name(err error, field, unit string) error {
	e, ok := err.(*InputError)
	if !ok {
		return err
	}
	named := *e
	if named.Field == "" {
		named.Field = field
	}
	if named.Unit == "" {
		named.Unit = unit
	}
	return &named
}

// clip shortens a wrong value for a message.
func clip(s string) string {
	const most = 40
	r := []rune(s)
	if len(r) <= most {
		return s
	}
	return string(r[:most]) + "…"
}

// Fixed writes v with so many decimals: 104.5 with 2 is "104.50". A value
// that rounds to nothing carries no minus sign. NaN and infinities read
// "unknown".
func Fixed(v float64, decimals int) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return "unknown"
	}
	if decimals < 9 { // half of the last place goes away from 0, float noise or not: 0.975 is 0.98, as 0.775 is 0.78
		v *= 1 + 1e-13
	}
	s := strconv.FormatFloat(v, 'f', decimals, 64)
	if strings.HasPrefix(s, "-") && strings.Trim(s, "-0.") == "" {
		s = s[1:]
	}
	return s
}

// Plain writes v with at most so many decimals and without trailing zeros:
// 104.50000000000001 with 2 is "104.5".
func Plain(v float64, decimals int) string {
	s := Fixed(v, decimals)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	return s
}
