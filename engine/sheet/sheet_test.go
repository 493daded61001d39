package sheet

import (
	"flag"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"portwright/engine/build"
	"portwright/engine/plan"
	"portwright/engine/unit"
)

var update = flag.Bool("update", false, "write the golden pages anew")

func read(t interface{ Fatal(...any) }, name string) *build.Build {
	data, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	b, err := build.Decode(data)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func finished(t interface{ Fatal(...any) }) *build.Build {
	return read(t, filepath.Join("testdata", "finished.json"))
}

func toCut(t testing.TB) (*build.Build, Options) {
	b := read(t, filepath.Join("..", "..", "testdata", "builds", "cut.json"))
	r, err := plan.Run(b, plan.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return b, Options{Plan: r, Date: "2026-03-14", Digest: "SHA-256 0123"}
}

func made(t testing.TB, b *build.Build, opt Options) *Sheet {
	s, err := New(b, opt)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func TestGoldenPages(t *testing.T) {
	b, opt := toCut(t)
	for name, s := range map[string]*Sheet{
		"planned":  made(t, b, opt),
		"finished": made(t, finished(t), Options{Date: "2026-03-15"}),
		"nothing":  made(t, &build.Build{Format: build.Format, Version: build.Version}, Options{}),
	} {
		file := filepath.Join("testdata", name+".html")
		got := HTML(s)
		if *update {
			if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
				t.Fatal(err)
			}
			continue
		}
		want, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		if got != string(want) {
			t.Errorf("%s differs from its golden page (-update writes it anew)", name)
		}
	}
}

// row finds a row under the head of its group.
func row(t testing.TB, tb *Table, group, name string) Row {
	in := ""
	for _, r := range tb.Rows {
		if r.Cells == nil {
			in = r.Name
		} else if in == group && r.Name == name {
			return r
		}
	}
	t.Fatalf("no row %s under %s", name, group)
	return Row{}
}

// The exhaust of the finished engine was read at 102, 102, 102.5 and 258.5,
// 259, 259, the zero by a stop at 340.5 and 20.5, so TDC reads 0.5: it opens at
// 102.17 - 0.5 and closes at 258.83 - 0.5, which is arithmetic.
func TestBeforeAndAfter(t *testing.T) {
	s := made(t, finished(t), Options{})
	tb := &s.Cylinders[0].Table
	if got := strings.Join(tb.Heads, "|"); got != "as received|finished|change" {
		t.Fatalf("columns %s", got)
	}
	opens := row(t, tb, "exhaust", "Opens")
	if !strings.HasPrefix(opens.Cells[1], "101.7 ±") || !strings.HasPrefix(opens.Cells[2], "1.5 ±") || !strings.HasSuffix(opens.Cells[2], "earlier") {
		t.Errorf("exhaust opens: %q", opens.Cells)
	}
	if d := row(t, tb, "exhaust", "Duration"); !strings.HasPrefix(d.Cells[1], "156.7 ±") || !strings.HasPrefix(d.Cells[2], "+") {
		t.Errorf("exhaust duration: %q", d.Cells)
	}
	if r := row(t, tb, "intake", "Opens"); r.Cells[1] != "not read" || r.Cells[2] != "" {
		t.Errorf("the intake was not read again: %q", r.Cells)
	}
	// A gasket was changed and squish not measured again.
	squish := row(t, tb, "Cylinder", "Squish, pin axis")
	if !strings.HasPrefix(squish.Cells[0], "0.97 ±0.04") && !strings.HasPrefix(squish.Cells[0], "0.98 ±0.04") {
		t.Errorf("squish as received: %q", squish.Cells)
	}
	if squish.Cells[1] != notKnown || !strings.Contains(squish.How, "finished: not measured since the cut") {
		t.Errorf("squish since the gasket was changed: %q, %q", squish.Cells, squish.How)
	}
	if r := row(t, tb, "Cylinder", "Geometric ratio, full stroke"); r.Cells[1] != notKnown {
		t.Errorf("ratio since the gasket was changed: %q", r.Cells)
	}
	if len(s.Made) != 3 || s.Made[2].Struck == "" || s.Made[1].Amount != "0.60 ±0.04 mm" {
		t.Errorf("bites %+v", s.Made)
	}
	// 28 of the first pass, 2 on the stop and 12 since.
	if s.Readings != 42 || s.Device != "demo, bench phone" {
		t.Errorf("%d readings by %q", s.Readings, s.Device)
	}
}

// Measured again after the cut, squish is the state's own.
func TestSquishMeasuredAgain(t *testing.T) {
	b := finished(t)
	b.Passes[1].Squish = append(b.Passes[1].Squish, b.Engine.Squish[0])
	tb := &made(t, b, Options{}).Cylinders[0].Table
	if r := row(t, tb, "Cylinder", "Squish, pin axis"); r.Cells[1] != "0.95 ±0.04 mm" {
		t.Errorf("%q", r.Cells)
	}
}

// What a cut does to the doubts of the ratios, by brute force: each input moved
// by its own. Bore 44, stroke 32.5, chamber 5.8, exhaust at 22.15 mm.
func TestDoubtOfRatios(t *testing.T) {
	s := made(t, finished(t), Options{})
	ratio := func(b, x, c float64) float64 { return (math.Pi/4*b*b*x/1000 + c) / c }
	geometric := func(d [3]float64) float64 { return ratio(44+d[0], 32.5+d[1], 5.8+d[2]) }
	sum := 0.0
	for i, u := range [3]float64{0.02, 0.02, 0.05} { // bore, stroke, chamber: the standard uncertainties
		var up, down [3]float64
		up[i], down[i] = u, -u
		d := (geometric(up) - geometric(down)) / 2
		sum += d * d
	}
	want := 2 * math.Sqrt(sum)
	cell := row(t, &s.Cylinders[0].Table, "Cylinder", "Geometric ratio, full stroke").Cells[0]
	if want := "9.52 ±" + up2(want); cell != want {
		t.Errorf("geometric ratio %q, want %q", cell, want)
	}
}

func up2(v float64) string {
	hundredths := int(math.Ceil(v * 100))
	return string([]byte{'0' + byte(hundredths/100), '.', '0' + byte(hundredths/10%10), '0' + byte(hundredths%10)})
}

func TestTextOfNumbers(t *testing.T) {
	v := func(x float64) *float64 { return &x }
	for want, n := range map[string]Number{
		"not known":             {Unit: "°", U95: v(1)},
		"102.5 ±0.6°":           {Unit: "°", Decimals: 1, Value: v(102.46), U95: v(0.51)},
		"75.0 ±0.5° before TDC": {Unit: "°", Decimals: 1, Kind: build.KindIntake, Value: v(285), U95: v(0.5)},
		"257.5 ±0.5°":           {Unit: "°", Decimals: 1, Kind: build.KindExhaust, Value: v(257.5), U95: v(0.5)},
		"0.50 ± not known mm":   {Unit: "mm", Decimals: 2, Value: v(0.5)},
		"6.80":                  {Decimals: 2, Value: v(6.8), U95: v(0)},
	} {
		if want == "6.80" {
			want += " ±0.00"
		}
		if got := n.Text(); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
	// 3-4-5, and an intake over TDC: 358 to 2 deg is 4 deg later, not 356 earlier.
	d := Difference(&Number{Unit: "°", Decimals: 1, Kind: "intake", Value: v(358), U95: v(0.3)}, &Number{Unit: "°", Decimals: 1, Kind: "intake", Value: v(2), U95: v(0.4)})
	if got := changeText(&d, true); got != "4.0 ±0.5° later" {
		t.Errorf("%q", got)
	}
	d = Difference(&Number{Unit: "mm", Decimals: 2, Value: v(1), U95: v(0.3)}, &Number{Unit: "mm", Decimals: 2, Value: v(0.6), U95: v(0.4)})
	if got := changeText(&d, false); got != "−0.40 ±0.50 mm, within its doubt" {
		t.Errorf("%q", got)
	}
}

// An aim is marked as one and carries a doubt; the picture of the metal to come
// off is there.
func TestPlannedSheet(t *testing.T) {
	b, opt := toCut(t)
	s := made(t, b, opt)
	tb := &s.Cylinders[0].Table
	if got := strings.Join(tb.Heads, "|"); got != "as received|aim, not read yet" {
		t.Fatalf("columns %s", got)
	}
	if r := row(t, tb, "exhaust", "Opens"); !strings.HasPrefix(r.Cells[1], "101.0 ±0.") { // the file's target
		t.Errorf("%q", r.Cells)
	}
	if r := row(t, tb, "Cylinder", "Squish, pin axis"); r.Cells[1] != "0.55 ±0.04 mm" {
		t.Errorf("%q", r.Cells)
	}
	page := HTML(s)
	for _, want := range []string{`class="cut-roof"`, `class="scale"`, `class="before"`, "First bite", "2026-03-14", "SHA-256 0123", "plating dust", "local law", "qualified person", "Spark disabled"} {
		if !strings.Contains(page, want) {
			t.Errorf("the page lacks %q", want)
		}
	}
}

// No text of a build gets out of its place, whatever it holds.
func TestHostileText(t *testing.T) {
	b := finished(t)
	evil := `</style></title><script>alert(1)</script>"'&\`
	b.Name, b.Number, b.Note, b.State = evil, evil, evil, evil
	b.Passes[0].Name, b.Bites[0].Pass, b.Bites[1].Pass, b.Bites[2].Pass = evil, evil, evil, evil
	b.Bites[2].Struck, b.Bites[1].Device = evil, evil
	page := HTML(made(t, b, Options{Date: evil, Device: evil, Digest: evil}))
	if strings.Contains(page, "<script") || strings.Count(page, "</style>") != 1 || strings.Count(page, "</title>") > 1+strings.Count(page, "<svg") {
		t.Error("a text became markup")
	}
	if m := regexp.MustCompile(`content:("[^"]*")`).FindStringSubmatch(page); m == nil || strings.ContainsAny(m[1][1:len(m[1])-1], `<>"'&;{}`) {
		t.Errorf("foot %q", m)
	}
}

// Whatever is missing in a build, its sheet is made; every number that is
// printed has its doubt beside it.
func TestAnySheet(t *testing.T) {
	planned := 0
	rapid.Check(t, func(t *rapid.T) {
		lose := func(what string) bool {
			return rapid.SampledFrom([]bool{false, false, false, false, true}).Draw(t, "lose "+what)
		}
		b, o := finished(t), Options{}
		if rapid.Bool().Draw(t, "to be cut") {
			b = read(t, filepath.Join("..", "..", "testdata", "builds", "cut.json"))
		}
		e := &b.Engine
		if lose("stroke") {
			e.Stroke = nil
		}
		if lose("rod") {
			e.Rod = nil
		}
		e.Cylinders = rapid.IntRange(1, 2).Draw(t, "cylinders")
		for _, l := range []**unit.Length{&e.Bore, &e.BaseGasket, &e.CrownBelowDeck, &e.SkirtIntake, &e.SkirtExhaust, &e.RingHeight, &e.RingBelowCrown} {
			if lose("a length") {
				*l = nil
			}
		}
		if lose("squish") {
			e.Squish = nil
		}
		if lose("chamber") {
			e.ChamberCC = nil
		}
		for i := range b.Windows {
			if lose("a window's size") {
				b.Windows[i].Height = nil
			}
		}
		for i := range b.Passes {
			p := &b.Passes[i]
			if lose("stops") {
				p.Stops = nil
			}
			from := 0
			if lose("readings") {
				from = rapid.IntRange(0, len(p.Readings)).Draw(t, "readings from")
			}
			p.Readings = p.Readings[from:]
			if e.Cylinders == 2 {
				p.Cylinder = rapid.IntRange(1, 2).Draw(t, "cylinder")
			}
		}
		if e.Cylinders == 2 {
			b.Bites = nil
		}
		if r, err := plan.Run(b, plan.Options{}); err == nil {
			o.Plan = r
			planned++
		}
		s, err := New(b, o)
		if err != nil {
			t.Fatal(err)
		}
		page := HTML(s)
		if strings.Contains(page, "NaN") || strings.Contains(page, "Inf") {
			t.Fatal("not a number on the page")
		}
		for _, c := range s.Cylinders {
			for _, r := range c.Table.Rows {
				for _, cell := range r.Cells {
					if cell != "" && cell != notKnown && cell != "not read" && (!strings.Contains(cell, "±") || strings.Contains(cell, notKnown)) {
						t.Fatalf("%s: %q has no doubt", r.Name, cell)
					}
				}
			}
		}
	})
	t.Logf("%d sheets with a plan", planned)
	if planned == 0 {
		t.Error("no sheet had a plan")
	}
}

// A doubt that nobody gave is not set down as if it had been measured. Twice
// the standard uncertainty stands for 95 %. Source: JCGM 100:2008, 6.3.3.
func TestAssumedDoubtSaysSo(t *testing.T) {
	value := func(b *build.Build, name string) string {
		for _, p := range made(t, b, Options{}).Engine {
			if p.Name == name {
				return p.Value
			}
		}
		t.Fatalf("no %s on the sheet", name)
		return ""
	}
	b := finished(t)
	for _, name := range []string{"Bore", "Stroke", "Rod", "Squish, pin axis first", "Chamber at TDC"} {
		if got := value(b, name); !strings.HasSuffix(got, ", doubt assumed") {
			t.Errorf("%s, whose doubt nobody gave: %q", name, got)
		}
	}
	b.Engine.StrokeUncertainty, b.Engine.RodUncertainty = &unit.Length{Value: 0.05}, &unit.Length{Value: 0.25}
	for name, want := range map[string]string{"Stroke": "32.5 mm ±0.10 mm", "Rod": "58 mm ±0.50 mm"} {
		if got := value(b, name); got != want {
			t.Errorf("%s with a doubt that was given: %q, want %q", name, got, want)
		}
	}
}

// A page that a table runs over to, or that holds pictures alone, says which
// cylinder it is about; every printed page carries the build's number.
func TestEveryPageSaysWhichCylinder(t *testing.T) {
	b := finished(t)
	if h := HTML(made(t, b, Options{})); strings.Contains(h, "Cylinder 1") || !strings.Contains(h, `<tr><th scope="col">Number</th>`) {
		t.Error("one cylinder is numbered though there is no other")
	}
	b.Engine.Cylinders = 2
	b.Passes[1].Cylinder = 2
	b.Number = "77"
	s := made(t, b, Options{})
	text := HTML(s)
	for _, want := range []string{"Cylinder 1", "Cylinder 2"} {
		if !strings.Contains(text, `<thead><tr><th scope="col">`+want+"</th>") {
			t.Errorf("no repeated head says %q", want)
		}
	}
	for _, c := range s.Cylinders {
		for _, p := range c.Pictures {
			if !strings.HasPrefix(p.Caption, "Cylinder "+strconv.Itoa(c.Number)+". ") {
				t.Errorf("under a picture of cylinder %d: %q", c.Number, p.Caption)
			}
		}
		if len(c.Pictures) == 0 {
			t.Errorf("no picture of cylinder %d", c.Number)
		}
	}
	if !strings.Contains(text, `@page{@bottom-left{content:"77 `) {
		t.Error("the number is not under every page")
	}
}
