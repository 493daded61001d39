package port_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"portwright/engine/port"
)

func TestDuration(t *testing.T) {
	for _, c := range []struct {
		what          string
		opens, closes float64
		want          float64
	}{
		{"exhaust about BDC", 104, 256, 152},
		{"piston-port intake across TDC, 73 before to 73 after", 287, 73, 146},
		{"given past a full turn", 464, 616, 152},
		{"opens and closes at once", 180, 180, 0},
	} {
		if got := port.Duration(c.opens, c.closes); math.Abs(got-c.want) > 1e-9 {
			t.Errorf("%s: %v, want %v", c.what, got, c.want)
		}
	}
}

func TestTwoDegreesOfOpeningAreFourOfDuration(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		opens := rapid.Float64Range(60, 178).Draw(t, "opens")
		later := rapid.Float64Range(0, 180-opens).Draw(t, "later")
		change := port.Duration(opens, 360-opens) - port.Duration(opens+later, 360-opens-later)
		if math.Abs(change-2*later) > 1e-9 {
			t.Fatalf("opening %v later changed the duration by %v", later, change)
		}
	})
}

func TestBlowdownIsHalfTheDifferenceOfDurations(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		exhaust := rapid.Float64Range(70, 179).Draw(t, "exhaust")
		transfer := rapid.Float64Range(70, 179).Draw(t, "transfer")
		got := port.Blowdown(exhaust, transfer)
		want := (port.Duration(exhaust, 360-exhaust) - port.Duration(transfer, 360-transfer)) / 2
		if math.Abs(got-want) > 1e-9 {
			t.Fatalf("blowdown %v, half the difference %v", got, want)
		}
	})
}

func TestOpenSeconds(t *testing.T) {
	// One turn at 60 rpm is a second, by definition.
	if got := port.OpenSeconds(360, 60); got != 1 {
		t.Errorf("a turn at 60 rpm took %v s", got)
	}
}
