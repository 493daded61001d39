// Package unit holds the conversions at the engine's boundary. Inside the
// engine angles are radians after TDC and lengths millimetres; degrees, inches
// and thou appear only here, in JSON and in views.
package unit

import "math"

// MMPerInch is exact by definition (international inch, 1959).
const MMPerInch = 25.4

// Rad converts degrees to radians.
func Rad(deg float64) float64 { return deg * math.Pi / 180 }

// Deg converts radians to degrees.
func Deg(rad float64) float64 { return rad * 180 / math.Pi }

// Turn brings an angle in degrees into 0 <= a < 360.
func Turn(deg float64) float64 {
	a := math.Mod(deg, 360)
	if a < 0 {
		a += 360
	}
	if a >= 360 { // -1e-17 + 360 rounds to 360
		a = 0
	}
	return a
}

// Signed brings an angle in degrees into -180 < a <= 180: the short way round
// from zero.
func Signed(deg float64) float64 {
	a := Turn(deg)
	if a > 180 {
		a -= 360
	}
	return a
}
