package timearea

import (
	"portwright/engine/crank"
	"portwright/engine/port"
	"portwright/engine/unit"
)

// TimeArea returns the time-area in m2 s of an angle-area in mm2 deg at a speed
// in rpm above 0.
//
//	TA = Theta/(6 N) 1e-6
func TimeArea(angleArea, rpm float64) float64 { return angleArea / (6 * rpm) * 1e-6 }

// Specific returns the specific time-area in s/m, displacement in cm3.
//
//	STA = TA/V_s
func Specific(angleArea, rpm, displacement float64) float64 {
	return TimeArea(angleArea, rpm) / (displacement * 1e-6)
}

// SpeedFor returns the speed in rpm at which a specific time-area in s/m is
// met.
//
//	N = Theta/(6 STA V_s)
//
// Source: Jennings, Two-Stroke Tuner's Handbook, 1973, time-area, as quoted,
// arranged for the speed.
func SpeedFor(angleArea, sta, displacement float64) float64 {
	return angleArea / (6 * sta * displacement)
}

// PerCM is one s cm2/cm3, the unit of older books, in s/m.
const PerCM = 100

// Range is a range of specific time-areas in s/m; the high end is for high
// speeds.
type Range struct{ Low, High float64 }

// Jennings returns the ranges that Jennings gives for engines with tuned
// pipes, by kind of window ("intake", "transfer", "exhaust"); ok is false for
// other kinds.
//
// Source: Jennings, Two-Stroke Tuner's Handbook, 1973, as quoted: 0.00014 to
// 0.00016, 0.00008 to 0.00010 and 0.00014 to 0.00015 s cm2/cm3.
func Jennings(kind string) (r Range, ok bool) {
	switch kind {
	case "intake":
		r = Range{0.00014, 0.00016}
	case "transfer":
		r = Range{0.00008, 0.00010}
	case "exhaust":
		r = Range{0.00014, 0.00015}
	default:
		return Range{}, false
	}
	return Range{r.Low * PerCM, r.High * PerCM}, true
}

// Mean positions, as shares of a window's height below its roof, at which the
// mean area of the short method is taken.
//
// Source: workshop page on altering port timing, after Jennings.
const (
	MeanOfExhaust  = 0.70
	MeanOfTransfer = 0.75
)

// MeanArea returns the specific time-area in s/m by the short method: the whole
// open time times the area open at one mean position, a share of the height. It
// is no integral and does not compare with one.
//
//	STA = D/(6 N) A(share H)/V_s
//
// Source: Jennings, Two-Stroke Tuner's Handbook, 1973, as quoted.
func (w Window) MeanArea(m crank.Mechanism, share, rpm, displacement float64) (float64, error) {
	from, to, err := w.Span(m)
	if err != nil {
		return 0, err
	}
	return port.OpenSeconds(to-from, rpm) * w.Area(share*w.Height) / displacement, nil
}

// StreamSpeed returns the mean gas speed in m/s through a window over the time
// that it is open, for a delivery ratio and a specific time-area in s/m.
//
//	v = DR/STA
//
// Source: continuity, at ambient density.
func StreamSpeed(deliveryRatio, sta float64) float64 { return deliveryRatio / sta }

// At returns the angle in degrees after TDC that a share of a window's height
// is uncovered at; 0 gives its opening, 1 where it is wide open.
func (w Window) At(m crank.Mechanism, share float64) (float64, error) {
	x := w.Travel + share*w.Height
	if w.Skirt {
		x = w.Travel - share*w.Height
	}
	down, up, err := m.Angles(x)
	if err != nil {
		return 0, ErrNeverOpen
	}
	if w.Skirt {
		return unit.Turn(unit.Deg(up)), nil
	}
	return unit.Deg(down), nil
}
