package stat

import "math"

// Rectangular returns the standard uncertainty of a value that lies anywhere
// within -a to +a: a/sqrt(3). Source: JCGM 100:2008, 4.3.7.
func Rectangular(a float64) float64 { return math.Abs(a) / math.Sqrt(3) }

// Triangular returns the standard uncertainty of a value within -a to +a that
// is likelier near the middle: a/sqrt(6). Source: JCGM 100:2008, 4.3.9.
func Triangular(a float64) float64 { return math.Abs(a) / math.Sqrt(6) }

// Arcsine returns the standard uncertainty of a sine of amplitude a at a phase
// that is not known, as a wheel off centre gives: a/sqrt(2).
// Source: the mean square of a sine is half the square of its amplitude.
func Arcsine(a float64) float64 { return math.Abs(a) / math.Sqrt2 }

// Resolution returns the standard uncertainty of one reading of a scale with
// step q: q/sqrt(12), the rectangular half-width q/2. Repeats that all read
// the same have no scatter and still this doubt.
// Source: JCGM 100:2008, F.2.2.1.
func Resolution(q float64) float64 { return math.Abs(q) / math.Sqrt(12) }
