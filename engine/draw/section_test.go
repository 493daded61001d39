package draw

import (
	"math"
	"slices"
	"strings"
	"testing"

	"portwright/engine/build"
	"portwright/engine/build/demo"
	"portwright/engine/crank"
	"portwright/engine/findings"
	"portwright/engine/wheel"
)

// turned is the angle after TDC, going down, at which the piston of the pump
// stands at a travel, by bisection of the formula written out in travel.
func turned(mm float64) float64 {
	low, high := 0.0, 180.0
	for range 60 {
		if mid := (low + high) / 2; travel(mid) < mm {
			low = mid
		} else {
			high = mid
		}
	}
	return low
}

// passOf is what a pass reads: every window opens and closes where the piston
// of the pump meets its edge.
func passOf(c *Cylinder) *findings.PassResult {
	p := &findings.PassResult{Name: c.Name, TrappedRatio: deg(6.6)}
	for i := range c.Ports {
		a := turned(*c.Ports[i].Travel)
		opens, open := a, 360-2*a
		if c.Ports[i].Skirt {
			opens, open = 360-a, 2*a
		}
		p.Windows = append(p.Windows, findings.WindowResult{Name: c.Ports[i].Name, Kind: c.Ports[i].Kind, OpensDeg: deg(opens), DurationDeg: deg(open)})
	}
	p.BlowdownDeg, p.BlowdownWindow = deg(turned(26)-turned(22)), "transfer left"
	return p
}

func wholePump(t testing.TB) *Cylinder {
	c := pump(t)
	c.RodKnown, c.Squish, c.Band, c.ChamberCC, c.Intake = true, deg(0.95), deg(5), deg(5.8), build.IntakePistonPort
	return c
}

func section(t testing.TB, c *Cylinder, p *findings.PassResult, d Dial) *Section {
	s, ok := NewSection(c, p, d)
	if !ok {
		t.Fatal("no section")
	}
	return s
}

func pumpSection(t testing.TB) *Section {
	c := wholePump(t)
	return section(t, c, passOf(c), Dial{TDC: 2, Zeroed: true})
}

// disc is an invented engine with an offset and a disc valve, of which little
// is known, on a wheel whose numbers fall.
func disc(t testing.TB) *Section {
	m, err := crank.New(34, 60, 1)
	if err != nil {
		t.Fatal(err)
	}
	c := &Cylinder{Name: "as received", Crank: &m, Bore: deg(48), Intake: build.IntakeRotaryValve, Ports: []Port{
		{Name: "exhaust", Kind: build.KindExhaust, Crown: true}, {Name: "transfers", Kind: build.KindTransfer, Crown: true}, {Name: "intake", Kind: build.KindIntake}}}
	p := &findings.PassResult{Name: "as received", Windows: []findings.WindowResult{
		{Name: "exhaust", OpensDeg: deg(100), DurationDeg: deg(160)}, {Name: "transfers", OpensDeg: deg(122), DurationDeg: deg(116), SymmetryAssumed: true, DoubtedBy: []string{findings.CodeZeroError}}, {Name: "intake", OpensDeg: deg(215), DurationDeg: deg(210)}}}
	return section(t, c, p, Dial{Wheel: wheel.Wheel{Falls: true}, Zeroed: true})
}

// first is a first look: opening angles and nothing else.
func first(t testing.TB) *Section {
	c := &Cylinder{Name: "first look", Ports: []Port{{Name: "exhaust", Kind: build.KindExhaust, Crown: true}, {Name: "transfer", Kind: build.KindTransfer, Crown: true}, {Name: "intake", Kind: build.KindIntake, Skirt: true}}}
	p := &findings.PassResult{Name: "first look", Windows: []findings.WindowResult{
		{Name: "exhaust", OpensDeg: deg(104), DurationDeg: deg(152)}, {Name: "transfer", OpensDeg: deg(122), DurationDeg: deg(116)}, {Name: "intake"}}}
	return section(t, c, p, Dial{})
}

func sectionPictures(t testing.TB) map[string]string {
	s := pumpSection(t)
	return map[string]string{
		"section_tdc": s.SVG(0), "section_blowdown": s.SVG(110), "section_bdc": s.SVG(180), "section_intake": s.SVG(330),
		"section_disc": disc(t).SVG(130), "section_first": first(t).SVG(122),
	}
}

// A window is shut just before its opening and open just after, and the other
// way round at its closing; nothing else changes there. The angles are those
// of the formula in travel.
func TestSectionWindowsOpenAtTheirEvents(t *testing.T) {
	s := pumpSection(t)
	open := func(a float64) (out []string) {
		f := s.Frame(a)
		for i, w := range f.Windows {
			if w.Open {
				out = append(out, s.Windows[i].Name)
			}
			if hidden := f.Poses[s.Windows[i].flow].Hidden; hidden == w.Open {
				t.Errorf("at %v the arrow of %s is hidden: %v", a, s.Windows[i].Name, hidden)
			}
		}
		return
	}
	want := func(a float64, names ...string) {
		t.Helper()
		if got := open(a); !slices.Equal(got, names) {
			t.Errorf("at %.3f: %v are open, want %v", a, got, names)
		}
	}
	const near = 1e-3
	e, l, r, b, i := turned(22), turned(26), turned(26.4), turned(27), turned(8)
	want(e - near)
	want(e, "exhaust")
	want(l-near, "exhaust")
	want(l+near, "exhaust", "transfer left")
	want(r-near, "exhaust", "transfer left")
	want(r+near, "exhaust", "transfer left", "transfer right")
	want(b-near, "exhaust", "transfer left", "transfer right")
	want(b+near, "exhaust", "transfer left", "transfer right", "boost")
	want(360-b+near, "exhaust", "transfer left", "transfer right")
	want(360-r+near, "exhaust", "transfer left")
	want(360-l-near, "exhaust", "transfer left")
	want(360-l+near, "exhaust")
	want(360-e-near, "exhaust")
	want(360 - e + near)
	want(360 - i - near)
	want(360-i+near, "intake")
	want(0, "intake")
	want(i-near, "intake")
	want(i)
}

// Heights, areas and volumes. Sources: plane geometry, x of the formula in
// travel; volume of a cylinder; rectangle less its corners.
func TestSectionNumbers(t *testing.T) {
	s := pumpSection(t)
	piston := math.Pi / 4 * 44 * 44 / 1000
	for _, a := range []float64{0, 12.5, 90, 110, 143.2, 180, 250, 300, 359.9} {
		f := s.Frame(a)
		x := travel(a)
		near(t, "travel", f.Travel, x, 1e-9)
		near(t, "swept", f.SweptCC, piston*x, 1e-9)
		near(t, "above", *f.AboveCC, 5.8+piston*x, 1e-9)
		near(t, "more in the case than at BDC", f.AddCC, piston*(32.5-x), 1e-9)
		if f.CaseCC != nil {
			t.Error("a case of a volume that nobody gave")
		}
		near(t, "exhaust open", f.Windows[0].Height, math.Min(math.Max(x-22, 0), 10.5), 1e-6)
		near(t, "intake open", f.Windows[3].Height, math.Max(8-x, 0), 1e-6)
	}
	f := s.Frame(180)
	near(t, "exhaust's area at BDC", f.Windows[0].Area, 27*10.5-2*(1-math.Pi/4)*(16+9), 1e-6)
	if !f.Windows[0].Sized || f.Windows[4].Sized || f.Windows[4].Known {
		t.Error("what is measured is not said right")
	}
	near(t, "wheel at TDC", s.Frame(0).Shows, 2, 1e-12)
	near(t, "wheel at 100", s.Frame(100).Shows, 102, 1e-9)
	near(t, "wheel that falls at 100", disc(t).Frame(100).Shows, 260, 1e-9)
	c := wholePump(t)
	c.CaseCC = deg(150)
	near(t, "case at TDC", *section(t, c, passOf(c), Dial{}).Frame(0).CaseCC, 150+piston*32.5, 1e-9)
}

// The events of a piston-port engine with a boost port, in running order.
// Common practice, no source.
func TestSectionEventsInRunningOrder(t *testing.T) {
	s := pumpSection(t)
	want := []string{"Top dead centre", "Intake closes", "Exhaust opens", "Transfer left opens", "Transfer right opens", "Boost opens", "Bottom dead centre",
		"Boost closes", "Transfer right closes", "Transfer left closes", "Exhaust closes", "Intake opens"}
	at := 359.0
	for i, title := range want {
		if got := s.NextEvent(at); got != i || s.Events[i].Title != title {
			t.Fatalf("after %v comes %q (%d), want %q (%d)", at, s.Events[got].Title, got, title, i)
		}
		at = s.Events[i].Deg
		f := s.Frame(at)
		if f.Event != i || f.Title != title || f.Text == "" || f.Below != "" {
			t.Errorf("at %v: event %d, %q, %q, %q", at, f.Event, f.Title, f.Text, f.Below)
		}
	}
	for i := len(want) - 1; i >= 0; i-- {
		if got := s.PrevEvent(at + 0.1); got != i {
			t.Fatalf("before %v comes %q, want %q", at, s.Events[got].Title, want[i])
		}
		at = s.Events[i].Deg - 0.2
	}
	why := s.Events[2].Why + s.Events[3].Why + s.Events[4].Why
	for _, part := range []string{"22.00 mm below TDC", "26.00 mm below TDC", "later than the first", "Blowdown was " + degrees(turned(26)-turned(22))} {
		if !strings.Contains(why, part) {
			t.Errorf("%q is not in %q", part, why)
		}
	}
}

// What goes on between the events. Common practice, no source.
func TestSectionPhases(t *testing.T) {
	s := pumpSection(t)
	for a, want := range map[float64]string{60: "Power stroke", 110: "Blowdown", 150: "Scavenging", 210: "Scavenging", 250: "Exhaust still open", 290: "Compression", 340: "Compression"} {
		f := s.Frame(a)
		if f.Title != want || f.Event != -1 {
			t.Errorf("at %v: %q, want %q", a, f.Title, want)
		}
		if hidden := f.Poses[s.at.blowdown].Hidden; hidden == (want == "Blowdown") {
			t.Errorf("at %v the blowdown's hatch is hidden: %v", a, hidden)
		}
	}
	if b := s.Frame(340).Below; !strings.Contains(b, "draws charge in") {
		t.Errorf("below: %q", b)
	}
}

// At TDC a skirt of 30 mm ends above the exhaust's floor, 32.5 mm below the
// crown's edge: the case is open there until the piston has come down 2.5 mm.
func TestSectionShowsFreePorting(t *testing.T) {
	c := wholePump(t)
	c.SkirtExhaust = deg(30)
	s := section(t, c, passOf(c), Dial{})
	var at []float64
	for _, e := range s.Events {
		if strings.Contains(e.Title, "to the case") {
			at = append(at, e.Deg)
		}
	}
	if len(at) != 2 {
		t.Fatalf("%d events", len(at))
	}
	near(t, "shuts", at[0], turned(2.5), 1e-6)
	near(t, "opens", at[1], 360-turned(2.5), 1e-6)
}

// Windows that open together are one event.
func TestSectionJoinsEvents(t *testing.T) {
	c := wholePump(t)
	c.Ports[2].Travel = deg(26)
	s := section(t, c, passOf(c), Dial{})
	f := s.Frame(turned(26))
	if f.Title != "Transfer left opens; transfer right opens" {
		t.Errorf("%q", f.Title)
	}
}

// The demo build's wheel reads 0.5 at TDC; its exhaust was read open at 103.5,
// 103.5 and 104. Source: the file.
func TestSectionOfTheDemo(t *testing.T) {
	b, err := build.Decode(demo.Build())
	if err != nil {
		t.Fatal(err)
	}
	m, b, err := findings.Measure(b, findings.Options{})
	if err != nil {
		t.Fatal(err)
	}
	r, err := findings.Run(b, findings.Options{})
	if err != nil {
		t.Fatal(err)
	}
	s, ok := SectionOf(b, &m[0], &r.Passes[0], 0)
	if !ok {
		t.Fatal("no section")
	}
	i := s.NextEvent(90)
	if s.Events[i].Title != "Exhaust opens" {
		t.Fatalf("after 90 comes %q", s.Events[i].Title)
	}
	f := s.Frame(s.Events[i].Deg)
	near(t, "the wheel at the exhaust's opening", f.Shows, (103.5+103.5+104)/3, 0.01)
	if f.AboveCC == nil || !strings.Contains(s.Text, "Skirt on the intake side not known") {
		t.Errorf("%v, %s", f.AboveCC, s.Text)
	}
}

func BenchmarkSectionFrame(b *testing.B) {
	s := pumpSection(b)
	b.ReportAllocs()
	for i := range b.N {
		s.Frame(float64(i))
	}
}
