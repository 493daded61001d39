package crank

import (
	"errors"
	"math"

	"portwright/engine/unit"
)

// ErrTravel says that a travel lies outside 0 to the actual stroke: the piston
// never stands there.
var ErrTravel = errors.New("crank: travel outside 0 to the stroke")

// ErrDeadCentre says that at a dead centre a small travel spans any angle, so
// that an angle has no finite sensitivity there.
var ErrDeadCentre = errors.New("crank: at a dead centre the angle has no finite sensitivity")

// ErrAngle says that an angle is not a finite number.
var ErrAngle = errors.New("crank: angle is not a finite number")

// Mechanism is one slider-crank. It is made by New; the zero Mechanism has no
// rod and its methods panic.
type Mechanism struct {
	r, rod, e float64
	yT, yB    float64 // pin height at TDC and at BDC
	thetaT    float64 // theta at TDC
	aB        float64 // BDC after TDC
}

// largestMM bounds lengths: far beyond any engine, far below what squares of
// float64 can hold.
const largestMM = 1e6

// New returns the mechanism with the given stroke (twice the throw), rod and
// offset in mm. The error joins one *unit.InputError for each field that can't
// be: lengths must be finite and above zero, and for a full turn
//
//	L > r + |e|
func New(stroke, rod, offset float64) (Mechanism, error) {
	var errs []error
	check := func(field string, v float64, positive bool) {
		switch {
		case math.IsNaN(v) || math.IsInf(v, 0) || math.Abs(v) > largestMM:
			errs = append(errs, &unit.InputError{Field: field, Value: unit.Sprintf("%v", v), Unit: "mm", Reason: "must be a number of mm below 1000000"})
		case positive && v <= 0:
			errs = append(errs, &unit.InputError{Field: field, Value: unit.Plain(v, 6), Unit: "mm", Reason: "must be above 0"})
		}
	}
	check("engine.stroke_mm", stroke, true)
	check("engine.rod_mm", rod, true)
	check("engine.pin_offset_mm", offset, false)
	if errs != nil {
		return Mechanism{}, errors.Join(errs...)
	}
	r := stroke / 2
	if rod <= r {
		return Mechanism{}, &unit.InputError{Field: "engine.rod_mm", Value: unit.Plain(rod, 6), Unit: "mm",
			Reason: "must be longer than half the stroke (" + unit.Plain(r, 6) + " mm) for the crank to turn"}
	}
	m := build(r, rod, offset)
	if !m.turns() {
		return Mechanism{}, &unit.InputError{Field: "engine.pin_offset_mm", Value: unit.Plain(offset, 6), Unit: "mm",
			Reason: "must be less than " + unit.Plain(rod-r, 6) + " mm, rod less half the stroke, for the crank to turn"}
	}
	return m, nil
}

// build fills in what follows from the three lengths.
func build(r, rod, e float64) Mechanism {
	m := Mechanism{r: r, rod: rod, e: e}
	m.yT = math.Sqrt((rod + r - e) * (rod + r + e))
	m.yB = math.Sqrt((rod - r - e) * (rod - r + e))
	m.thetaT = math.Asin(e / (rod + r))
	m.aB = math.Pi + math.Asin(e/(rod-r)) - m.thetaT
	return m
}

// turns says whether the crank goes round, with room for the arithmetic.
func (m Mechanism) turns() bool {
	return m.r > 0 && m.rod > m.r+math.Abs(m.e) && m.yB > 0 && m.yT > m.yB
}

func (m Mechanism) made() {
	if m.rod == 0 {
		panic("crank: Mechanism not made by New")
	}
}

// Stroke returns twice the throw, as given to New.
func (m Mechanism) Stroke() float64 { return 2 * m.r }

// Rod returns the rod length.
func (m Mechanism) Rod() float64 { return m.rod }

// Offset returns the offset.
func (m Mechanism) Offset() float64 { return m.e }

// ActualStroke returns how far the piston travels; with offset slightly more
// than twice the throw.
//
//	S_e = sqrt((L+r)^2 - e^2) - sqrt((L-r)^2 - e^2)
func (m Mechanism) ActualStroke() float64 { m.made(); return m.yT - m.yB }

// BDC returns the angle of bottom dead centre after TDC: pi without offset.
//
//	pi + asin(e/(L-r)) - asin(e/(L+r))
func (m Mechanism) BDC() float64 { m.made(); return m.aB }

// DownstrokeAngle returns the angle that the downstroke takes; the upstroke
// takes the rest of the turn.
func (m Mechanism) DownstrokeAngle() float64 { return m.BDC() }

// TDCSkew returns theta at TDC: how far the crank pin stands past the line
// parallel to the cylinder axis when the piston is highest.
//
//	asin(e/(L+r))
func (m Mechanism) TDCSkew() float64 { m.made(); return m.thetaT }

// Travel returns the distance of the piston below TDC at angle a after TDC.
// It is never below 0 or above ActualStroke. a may be any finite angle; an
// angle that is not finite panics.
//
//	x = y_T - r cos(theta) - sqrt(L^2 - (r sin(theta) - e)^2)
func (m Mechanism) Travel(a float64) float64 {
	s, c := m.sincos(a)
	u := m.r*s - m.e
	y := m.r*c + math.Sqrt((m.rod-u)*(m.rod+u))
	return math.Min(math.Max(m.yT-y, 0), m.ActualStroke())
}

// TravelRate returns dx/da at angle a after TDC, in mm per radian; times the
// crank's angular velocity it is the piston's speed, positive going down.
//
//	dx/da = r sin(theta) + u r cos(theta)/q
func (m Mechanism) TravelRate(a float64) float64 {
	s, c := m.sincos(a)
	u := m.r*s - m.e
	q := math.Sqrt((m.rod - u) * (m.rod + u))
	return m.r*s + u*m.r*c/q
}

// TravelAccel returns d2x/da2 at angle a after TDC, in mm per radian squared;
// times the square of a constant angular velocity it is the piston's
// acceleration towards the crank.
//
//	r cos(theta) + (r^2 cos^2(theta) - u r sin(theta))/q + (u r cos(theta))^2/q^3
func (m Mechanism) TravelAccel(a float64) float64 {
	s, c := m.sincos(a)
	rs, rc := m.r*s, m.r*c
	u := rs - m.e
	q := math.Sqrt((m.rod - u) * (m.rod + u))
	return rc + (rc*rc-u*rs)/q + (u*rc)*(u*rc)/(q*q*q)
}

func (m Mechanism) sincos(a float64) (s, c float64) {
	m.made()
	if math.IsNaN(a) || math.IsInf(a, 0) {
		panic(ErrAngle)
	}
	return math.Sincos(a + m.thetaT)
}
