// Package stat is the chapter on what readings are worth: scatter, pooled
// repeatability, combined uncertainty, comparison of two sets, wild readings.
//
// It knows nothing of engines; values carry whatever unit the caller gives,
// and a standard uncertainty has the unit of its value.
//
//	x    a reading                    n   number of readings
//	s    standard deviation           nu  degrees of freedom
//	u    standard uncertainty         c   sensitivity, dy/dx
//	U    expanded uncertainty         k   coverage factor, U = k u
//	q    step of a scale              p   probability
//
// Degrees of freedom may be math.Inf(1): a value taken as known. In a
// Component the zero value means the same.
//
// Sources: JCGM 100:2008, Guide to the expression of uncertainty in
// measurement (GUM), from memory; NIST/SEMATECH e-Handbook of Statistical
// Methods, from memory where no row in testdata/published says otherwise.
package stat
