package app

import (
	"strings"

	"portwright/engine/unit"
)

// The longest values that can be typed: "1145.5" thou is the longest that a
// depth needs, "12 13/16" in the longest fraction.
const (
	mostTyped    = 6
	mostFraction = 8
)

// Type returns text after one key: a digit, "." or ",", "half", "/", "erase". A
// key that would make no number leaves the text as it is. Whole inches and a
// fraction are typed with a point between: 1 . 1 3 / 1 6 is "1 13/16".
func Type(text, key string) string {
	switch key {
	case "erase":
		if text != "" {
			return strings.Replace(text[:len(text)-1], " ", cut(text), 1)
		}
	case "/":
		whole, part, point := strings.Cut(text, ".")
		switch {
		case text == "" || strings.Contains(text, "/") || point && part == "":
			return text
		case point && whole != "0":
			return whole + " " + part + "/"
		}
		return strings.TrimPrefix(text, "0.") + "/"
	case "half":
		if strings.Contains(text, "/") {
			return text
		}
		whole, _, _ := strings.Cut(text, ".")
		if whole == "" {
			whole = "0"
		}
		return fits(whole+".5", text)
	case ".", ",":
		switch {
		case strings.ContainsAny(text, "./"):
			return text
		case text == "":
			return "0."
		}
		return fits(text+".", text)
	case "0", "1", "2", "3", "4", "5", "6", "7", "8", "9":
		if text == "0" {
			return key
		}
		return fits(text+key, text)
	}
	return text
}

// cut is what stands between whole inches and the rest once the stroke of a
// fraction is wiped out: the point that was typed.
func cut(text string) string {
	if strings.HasSuffix(text, "/") {
		return "."
	}
	return " "
}

func fits(text, before string) string {
	if len(text) > mostTyped && !(strings.Contains(text, "/") && len(text) <= mostFraction) {
		return before
	}
	return text
}

// typed reads the half-typed or whole text in hand, in the unit in hand; ok is
// false while there is no number in it yet.
func (m *Model) typed() (v float64, ok bool) {
	l, err := unit.ParseLength(m.Bench.Text, m.lengthUnit())
	return l.Value, err == nil
}
