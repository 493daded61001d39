package findings_test

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"portwright/engine/build"
	"portwright/engine/findings"
)

// Stroke 38, rod 85, crown 0.8 below the deck. After 0.5 mm off the crown its
// edge lies 1.3 below the deck, and a depth of 28.00 is a travel of 26.70; with
// r = 19 and l = 85 the slider-crank x = r + l - r cos a - sqrt(l^2 - r^2 sin^2 a)
// reaches that at 107.6 degrees. Cutting the base moves the crown up, a thinner
// gasket too. What comes off after a pass, what was struck out and another
// cylinder's bites are no matter to it.
func TestDepthsAfterBites(t *testing.T) {
	for _, c := range []struct {
		bites  string
		travel float64
	}{
		{``, 27.2},
		{`{"move":"crown_cut","by_mm":0.5,"pass":"one"}`, 26.7},
		{`{"move":"crown_cut","by_mm":0.5}`, 26.7},
		{`{"move":"crown_cut","by_mm":0.5,"pass":"two"}`, 27.2},
		{`{"move":"crown_cut","by_mm":0.5,"pass":"one","struck":"another engine"}`, 27.2},
		{`{"move":"crown_cut","by_mm":0.5,"pass":"one","cylinder":2}`, 27.2},
		{`{"move":"base_cut","by_mm":0.5,"pass":"one"}`, 27.7},
		{`{"move":"base_gasket","to_mm":0.3,"pass":"one"}`, 27.7},
		{`{"move":"base_gasket","to_mm":0.3,"pass":"one"},{"move":"base_gasket","to_mm":1,"pass":"one"}`, 27.0},
	} {
		b, err := build.Decode([]byte(`{"format":"portwright-build","version":1,
			"engine":{"cylinders":2,"stroke_mm":38,"rod_mm":85,"crown_below_deck_mm":0.8,"base_gasket_mm":0.8},
			"windows":[{"name":"exhaust","kind":"exhaust"}],"bites":[` + c.bites + `],
			"passes":[{"name":"one","habit":"depth","readings":[{"window":"exhaust","event":"opens","value":28}]},
				{"name":"two","habit":"depth","readings":[{"window":"exhaust","event":"opens","value":28}]}]}`))
		if err != nil {
			t.Fatalf("%s: %v", c.bites, err)
		}
		r, err := findings.Run(b, findings.Options{})
		if err != nil {
			t.Fatal(err)
		}
		w := r.Passes[1].Windows[0]
		if w.TravelMM == nil || math.Abs(*w.TravelMM-c.travel) > 1e-6 {
			t.Errorf("%s: travel %v, want %v", c.bites, *w.TravelMM, c.travel)
		}
		for _, p := range r.Passes[1].Problems { // the roof lies where it lay below the cylinder top
			if p.Code == findings.CodeBiteDisagrees {
				t.Errorf("%s: %s", c.bites, p.Text)
			}
		}
		if c.travel == 26.7 && math.Abs(*w.OpensDeg-107.6) > 0.05 {
			t.Errorf("opens at %v", *w.OpensDeg)
		}
	}
}

// The doubt of a depth in a pass after a base cut holds the bite's own:
// u^2 = u^2(without it) + 0.02^2, by the law of propagation (JCGM 100:2008, eq. (10)).
// A cut roof is measured as it is and owes nothing to its bite.
func TestADepthHoldsTheBitesDoubt(t *testing.T) {
	doubt := func(bites string) float64 {
		b, err := build.Decode([]byte(`{"format":"portwright-build","version":1,
			"engine":{"stroke_mm":38,"rod_mm":85,"crown_below_deck_mm":0.8,"base_gasket_mm":0.8},
			"windows":[{"name":"exhaust","kind":"exhaust"}],"bites":[` + bites + `],
			"passes":[{"name":"one"},{"name":"two","habit":"depth","usual_scatter_deg":0.05,"usual_scatter_df":1e6,"readings":[{"window":"exhaust","event":"opens","value":28}]}]}`))
		if err != nil {
			t.Fatal(err)
		}
		m, _, err := findings.Measure(b, findings.Options{})
		if err != nil {
			t.Fatal(err)
		}
		u, _, err := m[1].Windows[0].Travel.U()
		if err != nil {
			t.Fatal(err)
		}
		return u
	}
	bare := doubt("")
	for bites, more := range map[string]float64{
		`{"move":"base_cut","by_mm":0.3,"pass":"one"}`:                                             0.02,
		`{"move":"base_gasket","to_mm":0.3,"pass":"one"}`:                                          0.02,
		`{"move":"crown_cut","by_mm":0.3,"pass":"one"},{"move":"base_cut","by_mm":1,"pass":"one"}`: 0.02 * math.Sqrt2,
		`{"move":"exhaust_roof","by_mm":0.3,"pass":"one"}`:                                         0,
		`{"move":"intake_skirt","by_mm":0.3,"pass":"one"}`:                                         0,
	} {
		if got := doubt(bites); math.Abs(got-math.Hypot(bare, more)) > 1e-9 {
			t.Errorf("%s: u = %v, want %v", bites, got, math.Hypot(bare, more))
		}
	}
}

// twice is a build of stroke 34, rod 60 read before and after bites, each event
// three times on a wheel read to a tenth of a degree.
func twice(t *testing.T, bites string, before, after [3]float64, squish string) findings.PassResult {
	t.Helper()
	pass := func(name string, at [3]float64, more string) string {
		out := `{"name":"` + name + `",` + more + `"stops":[{"when":"before","near":"tdc","readings":[340,20]},{"when":"after","near":"tdc","readings":[340,20]}],"readings":[`
		for i, w := range []string{"exhaust", "transfer left", "intake"} {
			for k, off := range []float64{0, 0.1, -0.1} {
				if i+k > 0 {
					out += ","
				}
				out += fmt.Sprintf(`{"window":%q,"event":"opens","value":%v},{"window":%q,"event":"closes","value":%v}`, w, at[i]+off, w, 360-at[i]+off)
			}
		}
		return out + "]}"
	}
	b, err := build.Decode([]byte(`{"format":"portwright-build","version":1,
		"engine":{"bore_mm":48,"stroke_mm":34,"rod_mm":60,"intake":"piston_port","base_gasket_mm":0.5,"squish_mm":[1]},"wheel":{"step_deg":0.1},
		"windows":[{"name":"exhaust","kind":"exhaust"},{"name":"transfer left","kind":"transfer"},{"name":"intake","kind":"intake"}],"bites":[` + bites + `],
		"passes":[` + pass("one", before, "") + "," + pass("two", after, squish) + "]}"))
	if err != nil {
		t.Fatal(err)
	}
	r, err := findings.Run(b, findings.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return r.Passes[1]
}

// Independent: the roof raised by 0.5 mm brings the exhaust from 100 to 98.20966
// degrees, by 1.0 to 96.44408; lowered by 0.5 exhaust, transfer and intake go from
// 100, 122 and 285 to 101.81771, 124.39665 and 283.37883 (360 - 76.62117);
// slider-crank solved in Python outside the project. Travel at 100: 22.335056.
func TestABiteThatTheReadingsContradict(t *testing.T) {
	received := [3]float64{100, 122, 285}
	roof := `{"move":"exhaust_roof","by_mm":0.5,"pass":"one"}`
	base := `{"move":"base_cut","by_mm":0.5,"pass":"one"}`
	lowered := [3]float64{101.81771, 124.39665, 283.37883}
	for _, c := range []struct {
		what, bites, squish string
		after               [3]float64
		windows             []string // nil: nothing is found
		want, read          float64
	}{
		{"as measured", roof, "", [3]float64{98.20966, 122, 285}, nil, 0, 0},
		{"within its doubt", roof, "", [3]float64{98.1, 122, 285}, nil, 0, 0},
		{"half a mm more than was measured", roof, "", [3]float64{96.44408, 122, 285}, []string{"exhaust"}, 21.835056, 21.335056},
		{"nothing came off", roof, "", received, []string{"exhaust"}, 21.835056, 22.335056},
		{"struck out", `{"move":"exhaust_roof","by_mm":0.5,"pass":"one","struck":"no"}`, "", [3]float64{96.44408, 122, 285}, nil, 0, 0},
		{"made after both passes", `{"move":"exhaust_roof","by_mm":0.5,"pass":"two"}`, "", received, nil, 0, 0},
		{"the base as measured", base, `"squish_mm":[0.52],`, lowered, nil, 0, 0},
		{"a base that was not cut", base, "", received, []string{"exhaust", "transfer left", "intake"}, 0, 0},
		{"the wire says that the base was not cut", base, `"squish_mm":[1],`, lowered, []string{}, 0.5, 1},
		{"the gasket as measured", `{"move":"base_gasket","to_mm":0,"pass":"one"}`, "", lowered, nil, 0, 0},
		{"two bites on one roof", roof + `,` + roof, "", [3]float64{96.44408, 122, 285}, nil, 0, 0},
	} {
		p := twice(t, c.bites, received, c.after, c.squish)
		var found *findings.Problem
		for i := range p.Problems {
			if p.Problems[i].Code == findings.CodeBiteDisagrees {
				found = &p.Problems[i]
			}
		}
		switch {
		case (found == nil) != (c.windows == nil) || len(p.Problems) > 1:
			t.Errorf("%s: %+v", c.what, p.Problems)
		case found != nil && (!slices.Equal(found.Windows, c.windows) || found.Remedy != nil):
			t.Errorf("%s: %+v", c.what, found)
		case c.want != 0:
			e := found.Evidence
			if math.Abs(e["expected_mm"]-c.want) > 2e-3 || math.Abs(e["read_mm"]-c.read) > 2e-3 || !(e["difference_u95_mm"] > 0.04) || !(math.Abs(e["difference_mm"]) > e["difference_u95_mm"]) {
				t.Errorf("%s: %+v", c.what, e)
			}
		}
		if found != nil {
			t.Log(found.Text)
		}
	}
}

// Bites that were measured right give an alarm in at most one of twenty jobs, and
// one that was measured 0.4 mm wrong is named in nine of ten.
func TestBitesOfSimulatedBenches(t *testing.T) {
	const jobs = 200
	for _, c := range []struct {
		wrong       float64
		least, most int
	}{{0, 0, jobs / 20}, {0.4, jobs * 9 / 10, jobs}} {
		rng, named := seeded(9), 0
		for i := range jobs {
			s := anEngine(rng)
			b := s.read(-1, 0)
			amount := 0.3 + rng.Float64()
			moves := []build.Bite{{Move: build.Move{Move: build.MoveExhaustRoof}}, {Move: build.Move{Move: build.MoveBaseCut}}}
			x := moves[i%2]
			cut := amount + findings.BiteU*rng.NormFloat64() + c.wrong
			if x.Move.Move == build.MoveExhaustRoof {
				s.exhaust -= cut
			} else {
				for _, e := range []*float64{&s.exhaust, &s.left, &s.right, &s.boost, &s.intake} {
					*e += cut
				}
			}
			x.ByMM, x.Pass = mmOf(amount), b.Passes[0].Name
			again := s.read(-1, 0).Passes[0]
			again.Name = "cut"
			b.Passes, b.Bites = append(b.Passes, again), []build.Bite{x}
			r, err := findings.Run(b, findings.Options{})
			if err != nil {
				t.Fatal(err)
			}
			if slices.ContainsFunc(r.Passes[1].Problems, func(p findings.Problem) bool { return p.Code == findings.CodeBiteDisagrees }) {
				named++
			}
		}
		t.Logf("%v mm wrong: %d of %d named", c.wrong, named, jobs)
		if named < c.least || named > c.most {
			t.Errorf("%v mm wrong: %d of %d named", c.wrong, named, jobs)
		}
	}
}
