package port

import "portwright/engine/unit"

// Duration returns for how many degrees of crank a window stays open when it
// opens and closes at the given degrees after TDC:
//
//	D = (closes - opens) mod 360, 0 <= D < 360
//
// Source: definition; Jennings, Two-Stroke Tuner's Handbook, 1973, uses it for
// all of its timings.
func Duration(opens, closes float64) float64 { return unit.Turn(closes - opens) }

// Blowdown returns the degrees from exhaust opening to transfer opening, both
// in degrees after TDC; negative when the transfer opens first.
//
//	B = TO - EO; (D_E - D_T)/2 where both are symmetric
func Blowdown(exhaustOpens, transferOpens float64) float64 {
	return unit.Signed(transferOpens - exhaustOpens)
}

// OpenSeconds returns the time that a duration in degrees takes at a speed in
// revolutions per minute. The speed must be above zero.
//
//	t = (60/N)(D/360) = D/(6 N)
//
// Source: Jennings, Two-Stroke Tuner's Handbook, 1973, time-area chapter.
func OpenSeconds(durationDeg, rpm float64) float64 { return durationDeg / (6 * rpm) }
