package crank

import (
	"errors"
	"math"

	"portwright/engine/unit"
)

// Param names a quantity that Fit can learn.
type Param int

// The quantities of the model depth = deck + x(angle - zero).
const (
	Stroke Param = iota // twice the throw, mm
	Rod                 // mm
	Offset              // mm
	Deck                // depth of the crown's edge at TDC, mm; negative when proud
	Zero                // what the wheel reads at TDC, radians
	params
)

// String returns the trade's word.
func (p Param) String() string {
	switch p {
	case Stroke:
		return "stroke"
	case Rod:
		return "rod length"
	case Offset:
		return "pin offset"
	case Deck:
		return "crown below deck"
	case Zero:
		return "wheel zero"
	}
	return "unknown"
}

// Quantity is what is known beforehand about one parameter.
type Quantity struct {
	Value float64 // as measured; where to start when Free, 0 for a guess
	U     float64 // standard uncertainty of Value; 0: exact. Not used when Free
	Free  bool    // not known at all
}

// Pair is one position of the piston, measured both ways.
type Pair struct {
	Depth  float64 // crown's edge below the deck, mm; travel when Deck is 0
	Angle  float64 // what the wheel reads, radians rising the running way
	UDepth float64 // standard uncertainty, mm
	UAngle float64 // standard uncertainty, radians
}

// Setup is the input of Fit. When no pair carries an uncertainty the pairs
// count alike and the scatter about the fit says what they are worth; then no
// quantity may be known with doubt, since nothing says what that doubt weighs
// against a pair. Else every pair needs a UDepth above 0.
type Setup struct {
	Stroke, Rod, Offset, Deck, Zero Quantity
	Pairs                           []Pair
}

// Status says what a fit came to.
type Status int

const (
	// Converged: every parameter asked for is determined.
	Converged Status = iota
	// NotDetermined: the pairs can't tell the parameters in Unclear apart, or
	// more than one answer fits them. Values hold one that fits.
	NotDetermined
	// NotConverged: no point was found where small changes stop helping.
	// Values hold the best one seen.
	NotConverged
)

// String returns one word or two for a message.
func (s Status) String() string {
	switch s {
	case Converged:
		return "converged"
	case NotDetermined:
		return "not determined"
	}
	return "not converged"
}

// FitResult is what the pairs say.
type FitResult struct {
	Status    Status
	Mechanism Mechanism       // at the best point
	Value     [params]float64 // by Param, the held ones too
	U         [params]float64 // standard uncertainty; 0 for what was held exact and for what is Unclear
	Cov       [params][params]float64
	DF        float64   // degrees of freedom of U: math.Inf(1) where stated uncertainties were taken at their word
	Scale     float64   // root of chi squared per degree of freedom; without stated uncertainties the scatter of a depth in mm; 0 with nothing to spare
	Chance    float64   // chance of a larger Scale if the stated uncertainties hold; 1 when not computable
	Residual  []float64 // measured less fitted depth of each pair, mm
	Unclear   []Param   // what can't be told apart
}

// Fit learns the free parameters from the pairs, and improves the ones known
// with doubt, by weighted least squares on
//
//	depth_i = deck + x(angle_i - zero; stroke, rod, offset)
//	u_i^2 = UDepth_i^2 + (dx/da)^2 UAngle_i^2
//
// A parameter known with doubt counts as one more observation of itself. The
// zero is looked for all round the wheel; when a second, different answer fits
// within chance the status is NotDetermined. A rod learnt no better than the
// spread of all usual rods (unclearRod of the stroke) counts as not determined.
//
// When the residuals are larger than the stated uncertainties explain at the
// 5 % level, uncertainties are raised by Scale and carry its degrees of freedom
// (Birge, Phys. Rev. 40, 1932).
//
// The error joins *unit.InputError for input that can't be.
//
// Sources: effective variance, Orear, Am. J. Phys. 50, 1982; method, Marquardt,
// J. SIAM 11, 1963; both from memory.
func Fit(in Setup) (FitResult, error) {
	if err := in.check(); err != nil {
		return FitResult{}, err
	}
	f := newFitter(in)
	var best *point
	var found []*point
	for _, start := range f.starts() {
		p := f.solve(start, best)
		found = append(found, p)
		if best == nil || p.chi2 < best.chi2 {
			best = p
		}
	}
	if best == nil {
		return FitResult{}, &unit.InputError{Field: "engine.rod_mm", Value: unit.Plain(in.Rod.Value, 3), Unit: "mm",
			Reason: "must be longer than half the stroke and the offset together"}
	}
	return f.judge(best, found), nil
}

// check joins everything that is wrong with the input.
func (in Setup) check() error {
	var errs faults
	for _, q := range []struct {
		Quantity
		field, unit string
		positive    bool
	}{
		{in.Stroke, "engine.stroke_mm", "mm", true},
		{in.Rod, "engine.rod_mm", "mm", true},
		{in.Offset, "engine.pin_offset_mm", "mm", false},
		{in.Deck, "engine.crown_below_deck_mm", "mm", false},
		{in.Zero, "zero", "rad", false},
	} {
		switch {
		case !(math.Abs(q.Value) <= largestMM):
			errs.bad(q.field, q.Value, q.unit, "must be a number below 1000000")
		case q.positive && (q.Value < 0 || q.Value == 0 && !q.Free):
			errs.bad(q.field, q.Value, q.unit, "must be above 0")
		case !(q.U >= 0 && q.U <= largestMM):
			errs.bad(q.field, q.U, q.unit, "its uncertainty must be a number of 0 or more")
		}
	}
	if len(in.Pairs) == 0 {
		errs.add(&unit.InputError{Field: "pairs", Reason: "at least one pair of depth and angle is needed"})
	}
	stated := in.stated()
	if !stated {
		for _, q := range []Quantity{in.Stroke, in.Rod, in.Offset, in.Deck, in.Zero} {
			if !q.Free && q.U > 0 {
				errs.add(&unit.InputError{Field: "pairs", Reason: "each pair needs its uncertainty when a length or the zero is known with doubt"})
				break
			}
		}
	}
	for i, p := range in.Pairs {
		if !(math.Abs(p.Depth) <= largestMM) {
			errs.bad(pairField(i, "depth_mm"), p.Depth, "mm", "must be a number of mm below 1000000")
		}
		if !(math.Abs(p.Angle) <= largestMM) {
			errs.bad(pairField(i, "angle"), p.Angle, "rad", "must be a number of radians")
		}
		if !(p.UDepth >= 0 && p.UDepth <= largestMM) || stated && p.UDepth < 1e-9 {
			errs.bad(pairField(i, "depth_u_mm"), p.UDepth, "mm", "must be above 0 in every pair, or left out in all of them")
		}
		if !(p.UAngle >= 0 && p.UAngle <= largestMM) {
			errs.bad(pairField(i, "angle_u"), p.UAngle, "rad", "must be 0 or more")
		}
	}
	return errors.Join(errs...)
}

// faults collects what is wrong. Its methods stay out of their callers: a
// message is not on anyone's fast path.
type faults []error

//go:noinline
func (f *faults) bad(field string, v float64, u, reason string) {
	f.add(&unit.InputError{Field: field, Value: unit.Sprintf("%v", v), Unit: u, Reason: reason})
}

//go:noinline
func (f *faults) add(e *unit.InputError) { *f = append(*f, e) }

//go:noinline
func pairField(i int, name string) string { return unit.Sprintf("pairs[%d].%s", i, name) }

// stated says whether the pairs carry uncertainties of their own.
func (in Setup) stated() bool {
	for _, p := range in.Pairs {
		if p.UDepth != 0 || p.UAngle != 0 {
			return true
		}
	}
	return false
}
