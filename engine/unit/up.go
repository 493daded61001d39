package unit

import "math"

// Up writes an uncertainty with so many decimals, rounded up: what is shown is
// never less than what it stands for, float noise apart.
//
// Source: JCGM 100:2008, 7.2.6, which allows rounding up.
func Up(u float64, decimals int) string {
	p := math.Pow10(decimals)
	return Fixed(math.Ceil(u*p-1e-6)/p, decimals)
}
