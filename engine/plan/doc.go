// Package plan is the chapter on what to cut: which moves, how much, in which
// order, what each does to every other number, and what must not be crossed.
//
// Travel, squish and volume are linear in the moves, so a cut list is a small
// linear programme:
//
//	hard limits first, then the targets in the user's order, each as near as it
//	can be brought without giving up one before it, then the least metal
//
// Metal is never put back: every amount is 0 or more. Gaskets come from the
// list of those at hand. Blowdown, an angle between two edges, and the trapped
// ratio, a quotient, bend: they are taken along their slope and solved again until
// they stand still. What keeps a target away is found by taking it out and solving
// again.
//
// Three limits hold though nobody gave them: the crown stays off the head, no
// transfer opens before the exhaust, and windows of one pair come no further apart.
//
//	d    the cylinder comes lower by            x_E, x_T  travel at a roof
//	d0   crown's edge below the deck at TDC     x_I       travel at an intake's floor
//	z    squish                                 V_c       clearance volume
//
//	cylinder lower by d       x_E, x_T, x_I +d   z -d   V_c -A_p d
//	squish band cut by c                         z +c   V_c +A_band c
//	crown cut flat by c       x_E, x_T -c        z +c   V_c +A_p c
//	roof raised by u          its x -u
//	intake floor lowered, or intake skirt trimmed by u   x_I +u
//
// Source: plane geometry. The engine's and the windows' sizes in a build are
// those before all bites; passes give what was read since.
package plan
