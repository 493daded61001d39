package wheel

import (
	"math"
	"strconv"

	"portwright/engine/unit"
)

// Numbering is how the numbers run round a wheel.
type Numbering string

// The numberings that wheels are sold with. The zero value means To360.
const (
	To360 Numbering = "0-360"
	To180 Numbering = "0-180-0"
	To90  Numbering = "0-90-0-90"
)

// Wheel is a timing wheel's scale.
type Wheel struct {
	Numbering Numbering
	Falls     bool // the numbers of a 0-360 wheel fall as the engine turns its running way
}

// New returns the wheel that a build file describes: numbering "0-360",
// "0-180-0" or "0-90-0-90" ("" is "0-360"), numbers "rise" or "fall" ("" is
// "rise"). The error is an *unit.InputError.
func New(numbering, numbers string) (Wheel, error) {
	w := Wheel{Numbering: Numbering(numbering)}
	switch w.Numbering {
	case "":
		w.Numbering = To360
	case To360, To180, To90:
	default:
		return Wheel{}, &unit.InputError{Field: "wheel.numbering", Value: strconv.Quote(numbering),
			Reason: `must be "0-360", "0-180-0" or "0-90-0-90"`}
	}
	switch numbers {
	case "", "rise":
	case "fall":
		w.Falls = true
	default:
		return Wheel{}, &unit.InputError{Field: "wheel.numbers", Value: strconv.Quote(numbers),
			Reason: `must be "rise" or "fall", as the engine turns its running way`}
	}
	return w, nil
}

// Repeats says whether a number stands on the wheel more than once.
func (w Wheel) Repeats() bool { return w.Numbering == To180 || w.Numbering == To90 }

// Top returns the largest number on the wheel; 360 is the same mark as 0.
func (w Wheel) Top() float64 {
	switch w.Numbering {
	case To180:
		return 180
	case To90:
		return 90
	}
	return 360
}

// CheckLabel says whether a number can stand under the pointer. The error is
// an *unit.InputError without a field.
func (w Wheel) CheckLabel(label float64) error {
	if label >= 0 && label <= w.Top() {
		return nil
	}
	return &unit.InputError{Value: unit.Plain(label, 4), Unit: "deg",
		Reason: "must be a number on the wheel, 0 to " + unit.Plain(w.Top(), 0)}
}

// Places returns the places at which a label stands, in order from the 0 mark,
// and how many there are: one on a 0-360 wheel, two or four on the others.
// A label at the end of a quarter or half is given twice.
func (w Wheel) Places(label float64) (places [4]float64, n int) {
	switch w.Numbering {
	case To180:
		return [4]float64{label, unit.Turn(360 - label)}, 2
	case To90:
		return [4]float64{label, 180 - label, 180 + label, unit.Turn(360 - label)}, 4
	}
	return [4]float64{unit.Turn(label)}, 1
}

// Label returns the number that stands at a place.
func (w Wheel) Label(place float64) float64 {
	p := unit.Turn(place)
	switch w.Numbering {
	case To180:
		return math.Min(p, 360-p)
	case To90:
		p = math.Min(p, 360-p)
		return math.Min(p, 180-p)
	}
	return p
}

// Sense is s: +1 where places grow as the engine turns its running way, -1
// where they fall.
func (w Wheel) Sense() float64 {
	if w.Falls && !w.Repeats() {
		return -1
	}
	return 1
}

// Angle returns the angle after TDC at a place of the wheel.
//
//	a = s (p - tdc) mod 360
func (w Wheel) Angle(place, tdc float64) float64 { return unit.Turn(w.Sense() * (place - tdc)) }

// Place returns the place under the pointer at an angle after TDC.
//
//	p = tdc + s a mod 360
func (w Wheel) Place(angle, tdc float64) float64 { return unit.Turn(tdc + w.Sense()*angle) }

// Shows returns the number that the wheel will show at an angle after TDC:
// what the pointer has to come to when a window is cut to that angle.
func (w Wheel) Shows(angle, tdc float64) float64 { return w.Label(w.Place(angle, tdc)) }
