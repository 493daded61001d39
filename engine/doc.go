// Package engine holds the trade's maths and the record of a build: pure Go
// without a clock, randomness, files or a network, the same on a phone, on a
// PC and on the command line. The package itself is empty but for the checks
// against published values; each chapter is a package.
//
//	chapter                                       package   stands on
//	units at the boundary, numbers as typed       unit
//	what readings are worth                       stat      unit
//	slider-crank with offset, both ways           crank     stat
//	timing wheel, stop checks, zero               wheel     crank
//	windows: timing, travel, outline, open area   port      crank
//	volumes, ratios, squish and its velocity      chamber   port
//	angle-area, time-area and the speed for it    timearea  port
//	the build file                                build     unit
//	the sum by which files are known              sum
//	entries, merge, fold                          book      build
//	what the readings of a pass say               findings  all of these
//	what to cut, and what must not be crossed     plan      findings
//	results as pictures                           draw      findings
//	the record that prints                        sheet     plan and all below
//
// Angles are radians after true TDC in the running direction inside crank, and
// degrees after TDC wherever a wheel, a file or a view is concerned; a name at
// such a boundary ends in its unit. Lengths are millimetres.
//
//	symbol  meaning                                          unit
//	B       bore                                             mm
//	S       stroke, twice the throw                          mm
//	r       throw of the crank                               mm
//	L       rod, centre to centre                            mm
//	e       offset, positive to the crank pin's side on      mm
//	        the downstroke
//	theta   crank angle from the line parallel to the        rad
//	        cylinder axis
//	a       crank angle after true TDC                       rad, deg
//	x       travel of the piston below TDC                   mm
//	d0      depth of the crown's edge at TDC                 mm
//	O, C    a window opens, closes                           deg
//	D       duration, C - O                                  deg
//	N       speed                                            rpm
//	q       step of a scale                                  unit of the scale
//	s, s_p  scatter of one reading, pooled                   unit of the reading
//	u, U    standard and expanded uncertainty                unit of the value
//	nu      degrees of freedom
//
// Sources by package: crank: Heywood 1988, Norton, Khurmi and Gupta, A. Graham
// Bell, Jennings 1973 (rings); wheel, port and timearea: definitions, plane
// geometry, Jennings 1973; chamber: definitions, Heywood, Bell, Blair; stat: JCGM
// 100:2008 (GUM) and the NIST/SEMATECH e-Handbook of Statistical Methods. Each
// formula names its own. testdata/published holds the values that the chapters
// are held to, row by row with source and tolerance; testdata/consistency the
// mechanisms over which the identities are tried.
package engine
