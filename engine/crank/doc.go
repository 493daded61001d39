// Package crank is the chapter on the slider-crank with offset: where the
// piston is at a crank angle, at which crank angles it stands at a given
// travel, and how much each length matters to either.
//
// The crank centre is the origin, the cylinder axis is parallel to +y at
// x = e. Lengths are millimetres, angles radians.
//
//	r      throw, half the stroke as the crank is made
//	L      rod, centre to centre
//	e      offset; positive: the axis (or the pin) lies to the side the crank
//	       pin is on during the downstroke
//	theta  crank angle from +y, positive the running way
//	theta0 theta at top dead centre, asin(e/(L+r))
//	a      angle after true TDC the running way, theta - theta0
//	x      travel: distance of the piston below its TDC position
//	y      height of the gudgeon pin above the crank centre
//	u, q   r sin(theta) - e, sqrt(L^2 - u^2)
//
// Every exported angle is after true TDC. Reversing the running direction and
// reversing the sign of e are the same thing.
//
// Sources: plane geometry; without offset Heywood, Internal Combustion Engine
// Fundamentals, 1988, eq. 2.5 (from memory); with offset Norton, Design of
// Machinery (from memory).
package crank
