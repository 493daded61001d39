package engine_test

import (
	"bytes"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"testing"

	"portwright/engine/crank"
	"portwright/engine/port"
	"portwright/engine/unit"
	"portwright/engine/wheel"
)

// row is one mechanism of testdata/consistency.
type row struct {
	Name   string  `json:"name"`
	Stroke float64 `json:"stroke_mm"`
	Rod    float64 `json:"rod_mm"`
	Offset float64 `json:"offset_mm"`
	Why    string  `json:"why"`
}

func mechanisms(t *testing.T) []row {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("..", "testdata", "consistency", "mechanisms.json"))
	if err != nil {
		t.Fatal(err)
	}
	var file struct {
		What       string `json:"what"`
		Rows       int    `json:"rows"`
		Mechanisms []row  `json:"mechanisms"`
	}
	dec := json.NewDecoder(bytes.NewReader(data))
	dec.DisallowUnknownFields()
	if err := dec.Decode(&file); err != nil {
		t.Fatal(err)
	}
	if len(file.Mechanisms) != file.Rows || file.Rows < 20 {
		t.Fatalf("%d mechanisms, the file says %d and at least 20 are wanted", len(file.Mechanisms), file.Rows)
	}
	return file.Mechanisms
}

// TestIdentities tries each identity on each mechanism all round the turn. An
// identity is a fact that holds whatever the numbers: nothing here was worked
// out by the code under test.
func TestIdentities(t *testing.T) {
	identities := []struct {
		name string
		try  func(t *testing.T, r row, m crank.Mechanism)
	}{
		{"the downstroke's speeds add up to the stroke", speedsAddUp},
		{"lengths twice as long give twice the travel", sizesScale},
		{"sensitivities weighted by their lengths add up", lengthsAddUp},
		{"offset to the other side runs backwards", mirrorImage},
		{"opening and closing of one edge lie about the stop's middle", edgesAboutMiddle},
		{"a wheel out of zero moves the pair sum by twice that", zeroShowsInPairSum},
		{"the lengths are learnt back from depths and angles", learntBack},
	}
	for _, r := range mechanisms(t) {
		m, err := crank.New(r.Stroke, r.Rod, r.Offset)
		if err != nil {
			t.Fatalf("%s: %v", r.Name, err)
		}
		for _, identity := range identities {
			t.Run(r.Name+"/"+identity.name, func(t *testing.T) { identity.try(t, r, m) })
		}
	}
}

func turn(f func(a float64)) {
	for deg := 3.0; deg < 360; deg += 7 {
		f(unit.Rad(deg))
	}
}

func speedsAddUp(t *testing.T, r row, m crank.Mechanism) {
	const n = 20000 // Simpson's rule: error falls with the fourth power
	h := m.BDC() / n
	sum := m.TravelRate(0) + m.TravelRate(m.BDC())
	for i := 1; i < n; i++ {
		sum += float64(2+2*(i%2)) * m.TravelRate(float64(i)*h)
	}
	if got := sum * h / 3; math.Abs(got-m.ActualStroke()) > 1e-9*r.Rod {
		t.Errorf("speeds add up to %v, stroke %v", got, m.ActualStroke())
	}
	// The stroke itself by Pythagoras, the three pins standing in line.
	long, short := r.Rod+r.Stroke/2, r.Rod-r.Stroke/2
	if want := math.Sqrt(long*long-r.Offset*r.Offset) - math.Sqrt(short*short-r.Offset*r.Offset); math.Abs(m.ActualStroke()-want) > 1e-10*r.Rod {
		t.Errorf("stroke %v, want %v", m.ActualStroke(), want)
	}
}

func sizesScale(t *testing.T, r row, m crank.Mechanism) {
	double, err := crank.New(2*r.Stroke, 2*r.Rod, 2*r.Offset)
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(double.BDC()-m.BDC()) > 1e-14 {
		t.Errorf("BDC at %v and %v", m.BDC(), double.BDC())
	}
	turn(func(a float64) {
		if d := double.Travel(a) - 2*m.Travel(a); math.Abs(d) > 1e-11*r.Rod {
			t.Errorf("at %v the travel is %v off", a, d)
		}
	})
}

// lengthsAddUp is Euler's theorem: travel is of degree 1 in the lengths, an
// angle at a travel of degree 0.
func lengthsAddUp(t *testing.T, r row, m crank.Mechanism) {
	turn(func(a float64) {
		s := m.TravelSensitivity(a)
		if got := r.Stroke*s.Stroke + r.Rod*s.Rod + r.Offset*s.Offset; math.Abs(got-m.Travel(a)) > 1e-9*r.Rod {
			t.Errorf("at %v the lengths' shares add up to %v, travel %v", a, got, m.Travel(a))
		}
		g, err := m.AngleSensitivity(a)
		if err != nil {
			t.Fatal(err)
		}
		rest := r.Stroke*g.Stroke + r.Rod*g.Rod + r.Offset*g.Offset + m.Travel(a)*g.Travel
		if math.Abs(rest) > 1e-9*r.Rod*math.Abs(g.Travel) {
			t.Errorf("at %v the shares of the angle leave %v", a, rest)
		}
	})
}

func mirrorImage(t *testing.T, r row, m crank.Mechanism) {
	mirror, err := crank.New(r.Stroke, r.Rod, -r.Offset)
	if err != nil {
		t.Fatal(err)
	}
	turn(func(a float64) {
		if d := mirror.Travel(2*math.Pi-a) - m.Travel(a); math.Abs(d) > 1e-10*r.Rod {
			t.Errorf("at %v the mirror image is %v off", a, d)
		}
		if d := mirror.TravelRate(2*math.Pi-a) + m.TravelRate(a); math.Abs(d) > 1e-10*r.Rod {
			t.Errorf("at %v the mirror image's speed is %v off", a, d)
		}
	})
}

func edgesAboutMiddle(t *testing.T, r row, m crank.Mechanism) {
	for share := 0.05; share < 1; share += 0.05 {
		x := share * m.ActualStroke()
		down, up, err := m.Angles(x)
		if err != nil {
			t.Fatal(err)
		}
		middle, err := m.StopMidpointError(x)
		if err != nil {
			t.Fatal(err)
		}
		// Seen from the crank's centre the pin lies atan(e/y) aside.
		top := math.Sqrt(math.Pow(r.Rod+r.Stroke/2, 2) - r.Offset*r.Offset)
		if want := math.Atan(r.Offset/(top-x)) - math.Atan(r.Offset/top); math.Abs(middle-want) > 1e-12 {
			t.Errorf("at %v mm the middle is %v, want %v", x, middle, want)
		}
		opens, closes := unit.Deg(down), unit.Deg(up)
		if got := port.PairSum(opens, closes) - 360; math.Abs(got-2*unit.Deg(middle)) > 1e-9 {
			t.Errorf("at %v mm the pair sum is %v past a turn, want %v", x, got, 2*unit.Deg(middle))
		}
		if got := port.Duration(opens, closes); math.Abs(got-unit.Deg(up-down)) > 1e-9 {
			t.Errorf("duration %v, want %v", got, unit.Deg(up-down))
		}
	}
}

func zeroShowsInPairSum(t *testing.T, r row, m crank.Mechanism) {
	down, up, err := m.Angles(0.65 * m.ActualStroke())
	if err != nil {
		t.Fatal(err)
	}
	true360 := port.PairSum(unit.Deg(down), unit.Deg(up))
	for _, numbers := range []string{"rise", "fall"} {
		w, err := wheel.New("0-360", numbers)
		if err != nil {
			t.Fatal(err)
		}
		const zero = 3.0
		read := func(deg float64) float64 { return w.Angle(w.Place(deg, zero), 0) } // the zero taken as 0
		got := port.PairSum(read(unit.Deg(down)), read(unit.Deg(up)))
		if math.Abs(got-true360-2*w.Sense()*zero) > 1e-9 {
			t.Errorf("numbers that %s: pair sum %v, want %v", numbers, got, true360+2*w.Sense()*zero)
		}
	}
}

func learntBack(t *testing.T, r row, m crank.Mechanism) {
	if r.Rod > 3*r.Stroke || r.Rod < 1.2*r.Stroke {
		return // rods that no engine has and no gauge could tell
	}
	s := crank.Setup{
		Stroke: crank.Quantity{Value: r.Stroke}, Offset: crank.Quantity{Value: r.Offset},
		Rod: crank.Quantity{Free: true}, Deck: crank.Quantity{Free: true}, Zero: crank.Quantity{Free: true},
	}
	const deck, zero = 0.3, 0.4
	turn(func(a float64) {
		s.Pairs = append(s.Pairs, crank.Pair{Depth: m.Travel(a) + deck, Angle: a + zero})
	})
	got, err := crank.Fit(s)
	if err != nil || got.Status != crank.Converged {
		t.Fatal(got.Status, got.Unclear, err)
	}
	for p, want := range map[crank.Param]float64{crank.Rod: r.Rod, crank.Deck: deck, crank.Zero: zero} {
		if math.Abs(got.Value[p]-want) > 1e-6*r.Rod {
			t.Errorf("%v came back as %v, want %v", p, got.Value[p], want)
		}
	}
}
