package unit

import "math"

// Tidy takes float noise out of a number that is shown or written: it is
// rounded to a millionth, and there is no minus zero.
func Tidy(v float64) float64 {
	if math.Abs(v) > 1e10 { // its last place is no finer, and v*1e6 may be too large for a float
		return v
	}
	return math.Round(v*1e6)/1e6 + 0
}
