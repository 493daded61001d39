package port

import (
	"math"

	"portwright/engine/unit"
)

// The widest opening that a ring may run over, as shares of the bore: where
// widening should begin, and the limit, which needs an arched top and round
// corners. Bridges part an opening.
//
// Source: Jennings, Two-Stroke Tuner's Handbook, 1973, exhaust port widening.
const (
	WidthStart = 0.62
	WidthLimit = 0.70
)

// ChordAngle returns the angle in degrees that a chord spans in a bore; ok is
// false for a chord longer than the bore.
//
//	alpha = 2 asin(c/B)
//
// Source: plane geometry.
func ChordAngle(bore, chord float64) (deg float64, ok bool) {
	if !(math.Abs(chord) <= bore) {
		return 0, false
	}
	return unit.Deg(2 * math.Asin(chord/bore)), true
}

// ArcOf returns the length along the wall over a chord: what a paper rubbing
// shows of a window whose flow width is the chord.
//
//	a = B asin(c/B)
func ArcOf(bore, chord float64) (arc float64, ok bool) {
	if !(math.Abs(chord) <= bore) {
		return 0, false
	}
	return bore * math.Asin(chord/bore), true
}

// ChordOf returns the chord under a length along the wall, which must be no
// more than half way round.
//
//	c = B sin(a/B)
func ChordOf(bore, arc float64) (chord float64, ok bool) {
	if !(math.Abs(arc) <= math.Pi*bore/2) {
		return 0, false
	}
	return bore * math.Sin(arc/bore), true
}

// Sagitta returns how far the wall stands behind the middle of a chord.
//
//	f = B/2 - sqrt((B/2)^2 - (c/2)^2)
func Sagitta(bore, chord float64) (depth float64, ok bool) {
	if !(math.Abs(chord) <= bore) {
		return 0, false
	}
	r, c := bore/2, chord/2
	return c * c / (r + math.Sqrt((r-c)*(r+c))), true
}
