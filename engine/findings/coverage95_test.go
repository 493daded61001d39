package findings

import (
	"math"
	"testing"

	"portwright/engine/stat"
)

func TestCoverageFactor(t *testing.T) {
	for df := 1.0; df < 400; df++ {
		got, err := coverage95(df)
		_, want, wantErr := stat.Expanded(0.95, 1, df)
		if err != nil || wantErr != nil || math.Abs(got-want) > 1e-6 {
			t.Fatalf("%v degrees of freedom: %v (%v), want %v (%v)", df, got, err, want, wantErr)
		}
	}
	if got, err := coverage95(math.Inf(1)); err != nil || math.Abs(got-1.959963984540054) > 1e-12 {
		t.Errorf("known scatter: %v (%v)", got, err)
	}
	// Standard table of Student's t, 95 % two-sided.
	for df, want := range map[float64]float64{20: 2.08596, 30: 2.04227, 50: 2.00856} {
		if got, err := coverage95(df); err != nil || math.Abs(got-want) > 5e-6 {
			t.Errorf("%v degrees of freedom: %v (%v), want %v", df, got, err, want)
		}
	}
}
