// Package wheel is the chapter on the timing wheel: what a number under the
// pointer means as an angle of the crank, what the wheel will show at an angle,
// and where TDC is on it, from readings against a positive stop.
//
//	label  the number printed on the wheel
//	place  where on the wheel that number stands, 0 <= p < 360 from its 0 mark;
//	       on a 0-360 wheel the label itself
//	tdc    the place under the pointer at top dead centre
//	a      angle after TDC the running way, degrees, 0 <= a < 360
//	s      +1 where places grow as the engine turns its running way, else -1
//
//	a = s (p - tdc) mod 360
//
// The repeating numberings read the same both ways round from their 0 mark, so
// a wheel with one of them needs no s: it is taken as +1.
//
//	0-180-0      label = p up to 180, then 360 - p
//	0-90-0-90    label = p up to 90, 180 - p up to 180, p - 180 up to 270,
//	             then 360 - p
//
// A label of a repeating wheel stands at two or four places; the piston's
// direction, and on a 0-90-0-90 wheel the quarter, say which is meant.
//
// Sources: definitions; the middle of two stop readings is common workshop
// practice; its error with an offset crank is plane geometry (package crank).
package wheel
