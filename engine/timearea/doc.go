// Package timearea is the chapter on how long how much of a window is open:
// angle-area, time-area and specific time-area, and the speed at which a target
// of it is met.
//
//	A        open area at an angle, mm2            Theta  angle-area, mm2 deg
//	TA       time-area, m2 s                       STA    specific time-area, s/m
//	N        speed, rpm                            V_s    displacement, cm3
//
// One s cm2/cm3, the unit of older books, is 100 s/m. Areas are plain, without
// discharge coefficients. A mean area times the whole duration is not the
// integral: compare like with like.
package timearea
