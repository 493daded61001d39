// Package findings is what the readings of a pass say: opening, closing,
// duration, blowdown and travel of each window with their doubt, and why the
// readings don't add up where they don't.
//
// One pass goes through these steps (state.go):
//
//  1. Corrections that were consented to are put in force: lengths in another
//     unit, readings struck out, a wheel numbered or turning another way.
//  2. The stop checks give where TDC is on the wheel (package wheel).
//  3. Each number becomes an angle after TDC, or a depth a travel.
//  4. Repeats give the scatter of one reading, pooled over the pass and
//     weighed with what was to be expected (scatter.go).
//  5. Angles, durations, travel and blowdown follow, each as an estimate that
//     keeps its sources of doubt by name (estimate.go).
//  6. What speaks against the readings is looked for (diagnose.go).
//
// The doubt of one event read n times is
//
//	u^2 = s^2/n + q^2/12 + u(zero)^2
//
// s the pooled scatter, q the wheel's step. The step's share is kept whole
// beside the scatter although repeats that scatter by more than a step average
// some of it out: repeats taken one after the other tend to be rounded to the
// same mark. This errs to the safe side. The zero's share is one source for all
// events of a pass: it cancels in durations from opening and closing and in
// blowdown, and doubles in 2 (180 - O).
//
// Source: JCGM 100:2008, 4.2, 5.2.2 and F.2.2.1.
package findings
