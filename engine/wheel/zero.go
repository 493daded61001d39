package wheel

import (
	"errors"
	"math"

	"portwright/engine/crank"
	"portwright/engine/stat"
	"portwright/engine/unit"
)

// Check is one stop check, before or after the readings of a pass.
type Check struct {
	Pair
	After bool
	Moved float64 // degrees on the wheel that are known to have slipped by then
}

// Zero is what the stop checks of a pass say together.
type Zero struct {
	TDC     float64 // place under the pointer at TDC for the readings' zero
	Half    float64 // mean half angle between the readings of a pair
	Least   float64 // smallest angle between the readings of a pair
	Pairs   int     // pairs that TDC stands on
	Checks  int     // pairs altogether
	Swapped int     // pairs that stand in the wrong order
	Unsure  bool    // the numbers of a repeating wheel could not be placed for certain

	HasBefore, HasAfter bool
	Before, After       float64 // TDC from each side alone
	BeforePairs         int
	AfterPairs          int

	Slip    float64 // After minus Before on the wheel, -180 < slip <= 180; 0 without both
	Slipped bool    // the slip is more than the readings' own doubt

	Apart    float64 // largest distance between two checks of one time, before or after
	Disagree bool    // that is more than chance and steps explain

	// Parts is the doubt of TDC: the readings' scatter, and their step.
	Parts []stat.Component
}

// Names of the sources of doubt of a zero. Scatter names begin with
// ScatterName, because they share one estimate of it.
const (
	ScatterName = "scatter"
	zeroScatter = ScatterName + " of the zero"
	zeroStep    = "step of the zero"
)

// FindZero returns TDC from at least one check. scatter is that of one reading
// of the pass, step the wheel's; m is nil unless the offset is known.
//
// With k pairs, each the middle of two readings,
//
//	u^2 = max(s^2/2, s_pairs^2)/k + q^2/24
//
// s is the readings' scatter and s_pairs that of the pairs' own middles: the
// larger counts. The step's share does not shrink with more pairs, since the
// stop is met at the same number again and again. When the checks after the
// readings differ from those before by more than twice their doubt and more
// than one step, the wheel has slipped and the checks before are used alone.
// Two checks of one time disagree where they differ by more than two steps and
// three times the doubt of their difference.
//
// Source: JCGM 100:2008, 4.2.3 and F.2.2.1; the rule for a slip: convention.
func (w Wheel) FindZero(checks []Check, scatter stat.Pool, step float64, m *crank.Mechanism) (Zero, error) {
	if len(checks) == 0 {
		return Zero{}, unit.Errorf("wheel: no stop check: %v", stat.ErrTooFew)
	}
	z := Zero{Checks: len(checks), Least: math.Inf(1)}
	var before, after []float64
	for _, c := range checks {
		contact, err := w.Contact(c.Pair, m)
		if err != nil {
			return Zero{}, err
		}
		z.Half += contact.Half / float64(len(checks))
		z.Least = math.Min(z.Least, 2*contact.Half)
		z.Unsure = z.Unsure || contact.Unsure
		if contact.Swapped {
			z.Swapped++
		}
		if c.After {
			after = append(after, contact.TDC-c.Moved)
		} else {
			before = append(before, contact.TDC-c.Moved)
		}
	}
	if err := z.settle(before, after, scatter, step); err != nil {
		return Zero{}, err
	}
	return z, nil
}

// settle decides which checks count and what their doubt is.
func (z *Zero) settle(before, after []float64, scatter stat.Pool, step float64) error {
	var err error
	z.HasBefore, z.HasAfter = len(before) > 0, len(after) > 0
	z.BeforePairs, z.AfterPairs = len(before), len(after)
	if z.HasBefore {
		if z.Before, err = middle(before); err != nil {
			return err
		}
	}
	if z.HasAfter {
		if z.After, err = middle(after); err != nil {
			return err
		}
	}
	one := scatter.SD*scatter.SD/2 + step*step/24 // variance of one pair's middle
	z.Apart = math.Max(apart(before), apart(after))
	z.Disagree = z.Apart > math.Max(2*step, 3*math.Sqrt(2*one))
	if z.HasBefore && z.HasAfter {
		z.Slip = unit.Signed(z.After - z.Before)
		u := math.Sqrt(one * (1/float64(len(before)) + 1/float64(len(after))))
		z.Slipped = math.Abs(z.Slip) > math.Max(step, 2*u)
	}
	used := append(append([]float64(nil), before...), after...)
	switch {
	case z.Slipped:
		used = before
	case !z.HasBefore:
		used = after
	}
	if z.TDC, err = middle(used); err != nil {
		return err
	}
	z.Pairs = len(used)
	variance, df := scatter.SD*scatter.SD/2, scatter.DF
	if len(used) > 1 {
		straight := make([]float64, len(used))
		for i, x := range used {
			straight[i] = unit.Signed(x - z.TDC)
		}
		if sd, err := stat.SD(straight); err == nil && sd*sd > variance {
			variance, df = sd*sd, df+float64(len(used)-1)
		}
	}
	z.Parts = []stat.Component{
		{Name: zeroScatter, U: math.Sqrt(variance / float64(len(used))), DF: df, C: 1},
		{Name: zeroStep, U: step / math.Sqrt(24), C: 1},
	}
	return nil
}

// apart is the largest distance on the wheel between two of them.
func apart(xs []float64) float64 {
	most := 0.0
	for i, x := range xs {
		for _, y := range xs[:i] {
			most = math.Max(most, math.Abs(unit.Signed(x-y)))
		}
	}
	return most
}

// middle is the circular mean of what stop checks give. Checks that point all
// ways have none: the first stands, and its distance to the others is its doubt.
func middle(xs []float64) (float64, error) {
	m, err := stat.CircularMean(xs, 360)
	if errors.Is(err, stat.ErrNoDirection) {
		return unit.Turn(xs[0]), nil
	}
	return m, err
}
