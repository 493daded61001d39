package app

import (
	"strings"

	"portwright/engine/unit"
)

// mostTyped is the longest value that can be typed: "1145.5" thou is the
// longest that a depth needs.
const mostTyped = 6

// Type returns text after one key: a digit, "." or ",", "half", "erase". A key
// that would make no number leaves the text as it is.
func Type(text, key string) string {
	switch key {
	case "erase":
		if text != "" {
			return text[:len(text)-1]
		}
	case "half":
		whole, _, _ := strings.Cut(text, ".")
		if whole == "" {
			whole = "0"
		}
		return fits(whole+".5", text)
	case ".", ",":
		switch {
		case strings.Contains(text, "."):
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

func fits(text, before string) string {
	if len(text) > mostTyped {
		return before
	}
	return text
}

// typed reads a half-typed or whole text; ok is false while there is no number
// in it yet.
func typed(text string) (v float64, ok bool) {
	v, err := unit.ParseNumber(text)
	return v, err == nil
}
