package plan

import (
	"portwright/engine/build"
	"portwright/engine/unit"
)

// A Rule is a rule of thumb as it is in force: its key in a build's rules, its
// bound, 0 where it is not asked, and where that comes from. It warns and never
// stops anything.
type Rule struct {
	Key   string  `json:"key,omitempty"`
	Bound float64 `json:"bound"`
	From  string  `json:"from"`
}

// Places in Rules.
const (
	ruleSquish = iota
	ruleExhaust
	ruleIntake
	ruleGeometric
	ruleTrapped
	ruleVelocity
	ruleLand
	ruleRing
	ruleShroud
	ruleRingLand
)

// Rules returns the rules of thumb in force: what is given, else the usual.
func Rules(given *build.Rules) []Rule {
	out := []Rule{
		{"squish_least_mm", 0.5, commonPractice},           // saw builders, about 0.020 in
		{"exhaust_duration_most_deg", 160, commonPractice}, // on a piston-port saw-class engine above 156 to 160 low-speed torque suffers
		{"intake_duration_most_deg", 150, commonPractice},  // above it a piston-port intake blows back
		{"geometric_ratio_most", 0, commonPractice},        // none is usual
		{"trapped_ratio_most", 7.5, commonPractice},        // saws commonly 6 to 7.5
		{"squish_velocity_most_m_s", 30, "Scootering magazine, squish velocity: 20 to 30 m/s"},
		{"seal_land_least_mm", 0.5, commonPractice},       // of skirt under the exhaust's floor at TDC
		{"ring_below_deck_least_mm", 0.5, commonPractice}, // of the deck's chamfer at TDC
		{"floor_shroud_most_mm", 0.5, commonPractice},     // of floor that the crown hides at BDC
		{"ring_land_least_mm", 1, commonPractice},         // of crown above the ring: thinner, it breaks off
	}
	mm := func(l *unit.Length) *float64 {
		if l == nil {
			return nil
		}
		v := l.MM()
		return &v
	}
	for i, v := range [...]*float64{mm(given.SquishLeast), given.ExhaustDurationMost, given.IntakeDurationMost, given.GeometricRatioMost, given.TrappedRatioMost,
		given.SquishVelocityMost, mm(given.SealLandLeast), mm(given.RingBelowDeckLeast), mm(given.FloorShroudMost), mm(given.RingLandLeast)} {
		if v != nil {
			out[i].Bound, out[i].From = *v, fromFile
		}
	}
	return out
}
