package stat

import (
	"errors"
	"math"
)

// ErrNoDirection says that readings on a circle point all ways and have no mean.
var ErrNoDirection = errors.New("stat: the readings lie all round the circle and have no mean")

// Unwrap returns readings of a scale that begins again after period, each
// shifted by whole periods to lie within half a period of their common
// direction, which lies in 0 <= m < period: 359.5 and 0.5 become 359.5 and
// 360.5, or -0.5 and 0.5. Ordinary statistics hold on what it returns.
func Unwrap(xs []float64, period float64) ([]float64, error) {
	if len(xs) == 0 {
		return nil, ErrTooFew
	}
	if !(period > 0) || math.IsInf(period, 0) {
		return nil, ErrNotFinite
	}
	var s, c float64
	for _, x := range xs {
		if !finite(x) {
			return nil, ErrNotFinite
		}
		a := 2 * math.Pi * math.Mod(x, period) / period
		s += math.Sin(a)
		c += math.Cos(a)
	}
	if math.Hypot(s, c) < 1e-9*float64(len(xs)) {
		return nil, ErrNoDirection
	}
	m := period * math.Atan2(s, c) / (2 * math.Pi)
	if m < 0 {
		m += period
	}
	out := make([]float64, len(xs))
	for i, x := range xs {
		out[i] = m + math.Remainder(x-m, period)
	}
	return out, nil
}

// CircularMean returns the mean of readings of a scale that begins again after
// period (360 for degrees), 0 <= mean < period: the arithmetic mean after
// Unwrap, so that 321 and 43 give 2. Two readings give the middle of the
// shorter arc between them.
func CircularMean(xs []float64, period float64) (float64, error) {
	near, err := Unwrap(xs, period)
	if err != nil {
		return 0, err
	}
	m, err := Mean(near)
	if err != nil {
		return 0, err
	}
	if m = math.Mod(m, period); m < 0 {
		m += period
	}
	if m >= period { // -1e-17 + period rounds to period
		m = 0
	}
	return m, nil
}
