package unit

// LengthUnit names the unit in which a length was given.
type LengthUnit string

// The units a length can be given in. A thou is a thousandth of an inch.
const (
	MM   LengthUnit = "mm"
	Inch LengthUnit = "in"
	Thou LengthUnit = "thou"
)

// Length is a length as it was given, so that a file written again shows what
// the person typed.
type Length struct {
	Value float64
	Unit  LengthUnit
}

// MM returns the length in millimetres.
func (l Length) MM() float64 {
	switch l.Unit {
	case Inch:
		return l.Value * MMPerInch
	case Thou:
		return l.Value * MMPerInch / 1000
	}
	return l.Value
}

// In returns the same length expressed in unit u.
func (l Length) In(u LengthUnit) Length {
	mm := l.MM()
	switch u {
	case Inch:
		return Length{mm / MMPerInch, u}
	case Thou:
		return Length{mm / MMPerInch * 1000, u}
	}
	return Length{mm, MM}
}
