package sheet

import (
	"math"

	"portwright/engine/draw"
	"portwright/engine/unit"
)

// Number is one number of one state. Nil: not known; a value without U95 has a
// doubt that is not known.
type Number struct {
	Key, Name  string
	Unit       string // "°", "mm", "cc" or ""
	Decimals   int
	Kind       string // of window, where it is the angle of an event
	Steady     bool   // no work changes it: two states share one measurement
	Value, U95 *float64
	How        string // where the value is from, or why there is none
	Missing    string // what to say where there is no value; "": not known

	_ [0]func() // not compared: else the phone carries the code for it
}

// Group are the numbers of a window, or of the cylinder as a whole. How says
// how they were had.
type Group struct {
	Name, How string
	Numbers   []Number
}

// State is all numbers of a cylinder in one state.
type State struct {
	Name   string
	Short  string // in the small print; "": the name
	Groups []Group
}

// Text writes the number with its doubt.
func (n *Number) Text() string {
	if n.Value == nil {
		return orUnknown(n.Missing, notKnown)
	}
	unitOf := n.Unit
	if unitOf != "" && unitOf != "°" {
		unitOf = " " + unitOf
	}
	d := "± " + notKnown
	if n.U95 != nil {
		d = draw.Doubt(*n.U95, n.Decimals)
	}
	if draw.Before(n.Kind, *n.Value) {
		return unit.Fixed(360-*n.Value, n.Decimals) + " " + d + unitOf + " before TDC"
	}
	return unit.Fixed(*n.Value, n.Decimals) + " " + d + unitOf
}

// Difference is one number less another, with its doubt. Two states are two
// sets of readings, so their doubts are independent; the lengths that they share would
// make it smaller, never larger.
//
//	U^2 = U_a^2 + U_b^2
//
// Source: JCGM 100:2008, eq. (10), with the same coverage on both sides.
func Difference(from, to *Number) Number {
	out := Number{Key: to.Key, Name: to.Name, Unit: to.Unit, Decimals: to.Decimals}
	if from.Value == nil || to.Value == nil || to.Steady {
		return out
	}
	d := *to.Value - *from.Value
	if to.Kind != "" {
		d = unit.Signed(d)
	}
	out.Value = &d
	if from.U95 != nil && to.U95 != nil {
		u := math.Hypot(*from.U95, *to.U95)
		out.U95 = &u
	}
	return out
}

// Real says whether a difference is larger than its doubt.
func (n *Number) Real() bool {
	return n.Value != nil && n.U95 != nil && math.Abs(*n.Value) > *n.U95
}

// changeText writes a difference; of an event the way one says it.
func changeText(n *Number, event bool) string {
	if n.Value == nil {
		return ""
	}
	v, sign := *n.Value, "+"
	if v < 0 {
		v, sign = -v, "−"
	}
	unitOf, word := n.Unit, ""
	if unitOf != "" && unitOf != "°" {
		unitOf = " " + unitOf
	}
	if event {
		word, sign = " later", ""
		if *n.Value < 0 {
			word = " earlier"
		}
	}
	d := "± " + notKnown
	if n.U95 != nil {
		d = draw.Doubt(*n.U95, n.Decimals)
	}
	text := sign + unit.Fixed(v, n.Decimals) + " " + d + unitOf
	if !n.Real() {
		return text + ", within its doubt"
	}
	return text + word
}
