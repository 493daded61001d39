package draw

import (
	"encoding/xml"
	"io"
	"math"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"portwright/engine/build"
	"portwright/engine/findings"
	"portwright/engine/wheel"
)

// fataler is a test or one draw of a property.
type fataler interface {
	Fatal(args ...any)
	Fatalf(form string, args ...any)
}

// affine is a place after all of an element's transforms: scale is 1.
type affine struct{ x, y, deg float64 }

// to takes a point of the element to one of the picture.
func (a affine) to(x, y float64) (float64, float64) {
	sin, cos := math.Sincos(a.deg * math.Pi / 180)
	return a.x + x*cos - y*sin, a.y + x*sin + y*cos
}

// shape is one element of a picture: a path's points, a circle's middle and
// radius, or a text, after all transforms.
type shape struct {
	part, class, dash string
	opacity           bool
	points            [][2]float64
	r                 float64
	text              string
	size              float64
	anchor            string
	at                affine
	hidden            bool
}

// shapes reads a picture with its transforms.
func shapes(t fataler, svg string) (out []shape) {
	type level struct {
		at     affine
		part   string
		hidden bool
	}
	stack := []level{{}}
	dec := xml.NewDecoder(strings.NewReader(svg))
	var text *shape
	for {
		tok, err := dec.Token()
		if err == io.EOF {
			return out
		}
		if err != nil {
			t.Fatalf("not well-formed: %v", err)
		}
		switch tok := tok.(type) {
		case xml.StartElement:
			attr := map[string]string{}
			for _, a := range tok.Attr {
				attr[a.Name.Local] = a.Value
			}
			n := func(name string) float64 { v, _ := strconv.ParseFloat(attr[name], 64); return v }
			l := stack[len(stack)-1]
			if attr["id"] != "" {
				l.part = attr["id"]
			}
			l.hidden = l.hidden || attr["visibility"] == "hidden"
			l.at = transformed(t, l.at, attr["transform"])
			stack = append(stack, l)
			s := shape{part: l.part, class: attr["class"], dash: attr["stroke-dasharray"], opacity: attr["stroke-opacity"] != "", hidden: l.hidden, at: l.at}
			place := func(x, y float64) {
				x, y = l.at.to(x, y)
				s.points = append(s.points, [2]float64{x, y})
			}
			switch tok.Name.Local {
			case "path":
				for _, p := range points(t, attr["d"]) {
					place(p[0], p[1])
				}
				out = append(out, s)
			case "circle":
				place(n("cx"), n("cy"))
				s.r = n("r")
				out = append(out, s)
			case "text":
				place(n("x"), n("y"))
				s.size, s.anchor = n("font-size"), attr["text-anchor"]
				out = append(out, s)
				text = &out[len(out)-1]
			}
		case xml.CharData:
			if text != nil {
				text.text += string(tok)
			}
		case xml.EndElement:
			stack = stack[:len(stack)-1]
			text = nil
		}
	}
}

func transformed(t fataler, a affine, by string) affine {
	for by != "" {
		name, rest, _ := strings.Cut(by, "(")
		inside, after, ok := strings.Cut(rest, ")")
		if !ok {
			t.Fatalf("transform %q", by)
		}
		var n []float64
		for _, f := range strings.Fields(inside) {
			v, err := strconv.ParseFloat(f, 64)
			if err != nil {
				t.Fatal(err)
			}
			n = append(n, v)
		}
		switch name {
		case "translate":
			a.x, a.y = a.to(n[0], n[1])
		case "rotate":
			a.deg += n[0]
		default:
			t.Fatalf("transform %q", by)
		}
		by = after
	}
	return a
}

func of(t testing.TB, all []shape, class string) shape {
	t.Helper()
	for _, s := range all {
		if s.class == class {
			return s
		}
	}
	t.Fatalf("nothing of class %q", class)
	return shape{}
}

// perMM is the picture's scale by its own bar of 10 mm.
func perMM(t testing.TB, all []shape) float64 {
	bar := of(t, all, "scale").points
	return (bar[1][0] - bar[0][0]) / 10
}

// The section is true: crank pin, gudgeon pin and crown stand where the
// slider-crank puts them, measured with the picture's own bar. Source of the
// crank pin's place: the circle it runs on; of the rest: travel, plane
// geometry. A place is rounded to 0.01 units, of which there are two in a
// millimetre, and the bar to 0.005 in 20: 0.00025 of a length.
func TestSectionIsTrue(t *testing.T) {
	s := pumpSection(t)
	still := shapes(t, s.SVG(0))
	k := perMM(t, still)
	tdc := of(t, still, "crown").points[0][1]
	for _, a := range []float64{0, 30, 77.3, 110, 180, 222, 301.7} {
		all := shapes(t, s.SVG(a))
		shaft, pin := of(t, all, "shaft").points[0], of(t, all, "crankpin").points[0]
		sin, cos := math.Sincos(a * math.Pi / 180)
		// The numbers rise, the face's grow clockwise: the crank turns the other way.
		near(t, "crank pin, sideways", (pin[0]-shaft[0])/k, -16.25*sin, 0.01)
		near(t, "crank pin, up", (shaft[1]-pin[1])/k, 16.25*cos, 0.01)
		near(t, "crown", (of(t, all, "crown").points[0][1]-tdc)/k, travel(a), 0.01)
		rod := of(t, all, "rod").points
		near(t, "rod's big end", math.Hypot(rod[0][0]-pin[0], rod[0][1]-pin[1])/k, 0, 0.01)
		near(t, "rod's length", math.Hypot(rod[1][0]-rod[0][0], rod[1][1]-rod[0][1])/k, 58, 0.02)
		pinAt := of(t, all, "gudgeon").points[0]
		near(t, "rod's small end", math.Hypot(rod[1][0]-pinAt[0], rod[1][1]-pinAt[1])/k, 0, 0.02)
		near(t, "gudgeon pin over the crank", (pinAt[0]-shaft[0])/k, 0, 0.01)
		near(t, "skirt's end", (of(t, all, "skirt-intake").points[1][1]-tdc)/k, travel(a)+34, 0.02)
	}
	mm := func(y float64) float64 { return (y - tdc) / k }
	near(t, "deck", mm(of(t, still, "deck").points[0][1]), -0.1, 0.01)
	near(t, "squish", mm(of(t, still, "squish").points[0][1]), -0.95, 0.01)
	ex := of(t, still, "window exhaust").points
	near(t, "exhaust's roof", mm(ex[0][1]), 22, 0.01)
	near(t, "exhaust's floor", mm(ex[2][1]), 32.5, 0.01)
	in := of(t, still, "window intake").points
	near(t, "intake's floor", mm(in[2][1]), 8+34, 0.02)
	near(t, "intake's roof", mm(in[0][1]), 8+34-9, 0.02)
	near(t, "bore", (ex[0][0]-in[0][0])/k, 44, 0.02)
	tr := of(t, still, "window transfer").points
	x0, x1, y0, y1 := box(tr)
	near(t, "transfer's roof", mm(y0), 26, 0.01)
	near(t, "transfer's floor", mm(y1), 26+6.3, 0.01)
	near(t, "transfer's chord", (x1-x0)/k, 13, 0.01)
}

// At its event a window's edge and the piston's meet in the picture. Source: the
// meaning of the events.
func TestSectionEdgesMeetAtTheEvents(t *testing.T) {
	s := pumpSection(t)
	met := 0
	for _, e := range s.Events {
		name, what, _ := strings.Cut(e.Title, " ")
		if name == "Transfer" || name == "Top" || name == "Bottom" || name == "Boost" { // two transfers side by side; the boost's size is not known
			continue
		}
		all := shapes(t, s.SVG(e.Deg))
		k := perMM(t, all)
		edge := of(t, all, "window "+strings.ToLower(name)).points
		piston, at := of(t, all, "crown").points[0][1], edge[0][1] // roof
		if name == "Intake" {
			piston, at = of(t, all, "skirt-intake").points[1][1], edge[2][1] // floor
		}
		near(t, e.Title+" ("+what+")", (piston-at)/k, 0, 0.01)
		met++
	}
	if met != 4 {
		t.Errorf("%d events were looked at", met)
	}
}

// With an offset of 1 mm the crank pin stands 0.744122 deg past the line of
// the cylinder at TDC, the piston travels 34.005136 mm, and the gudgeon pin's
// line lies on the side where the crank pin goes down. Source: independent,
// the slider-crank of stroke 34 and rod 60 solved in Python outside the project.
func TestSectionShowsTheOffset(t *testing.T) {
	s := disc(t)
	all := shapes(t, s.SVG(0))
	k := perMM(t, all)
	shaft, pin := of(t, all, "shaft").points[0], of(t, all, "crankpin").points[0]
	near(t, "crank pin at TDC", math.Atan2(pin[0]-shaft[0], shaft[1]-pin[1])*180/math.Pi, 0.744122, 0.03) // 0.01 units of 31
	near(t, "offset", (of(t, all, "gudgeon").points[0][0]-shaft[0])/k, 1, 0.01)
	down := shapes(t, s.SVG(90))
	if x := of(t, down, "crankpin").points[0][0]; x <= shaft[0] {
		t.Error("the crank pin goes down on the other side")
	}
	near(t, "stroke", s.Frame(s.bdc).Travel, 34.005136, 1e-6)
}

// The number under the pointer is what the wheel shows: for numbers that rise
// it grows from what it reads at TDC, for those that fall it goes back from
// 360, and half and quarter wheels count from either dead centre. Source:
// facts of the trade's wheels, common practice.
func TestSectionWheelShowsTheReading(t *testing.T) {
	c := wholePump(t)
	for _, x := range []struct {
		dial      Dial
		deg       float64
		want      string
		clockwise bool
	}{
		{Dial{TDC: 2}, 28, "30", false},
		{Dial{TDC: 350}, 40, "30", false},
		{Dial{Wheel: wheel.Wheel{Falls: true}}, 100 + 20, "240", true},
		{Dial{Wheel: wheel.Wheel{Numbering: wheel.To180}}, 240, "120", false},
		{Dial{Wheel: wheel.Wheel{Numbering: wheel.To180, Falls: true}}, 240, "120", true},
		{Dial{Wheel: wheel.Wheel{Numbering: wheel.To90}}, 120, "60", false},
		{Dial{Wheel: wheel.Wheel{Numbering: wheel.To90}}, 300, "60", false},
	} {
		s := section(t, c, passOf(c), x.dial)
		under := ""
		for _, e := range shapes(t, s.SVG(x.deg)) {
			if e.part == "section-wheel" && e.text != "" && math.Abs(math.Remainder(e.at.deg, 360)) < 0.02 {
				under = e.text
			}
		}
		if under != x.want {
			t.Errorf("%+v at %v: %q stands at the pointer, want %q", x.dial, x.deg, under, x.want)
		}
		if shows := strconv.FormatFloat(s.Frame(x.deg).Shows, 'f', -1, 64); shows != x.want {
			t.Errorf("%+v at %v shows %s, want %s", x.dial, x.deg, shows, x.want)
		}
		// Crank and face turn the same way.
		face := func(a float64) float64 {
			for _, e := range shapes(t, s.SVG(a)) {
				if e.part == "section-wheel" {
					return e.at.deg
				}
			}
			return math.NaN()
		}
		if turns := math.Remainder(face(10)-face(0), 360); turns > 0 != x.clockwise || math.Abs(math.Abs(turns)-10) > 0.02 {
			t.Errorf("%+v: the face turns %v for 10", x.dial, turns)
		}
		all := shapes(t, s.SVG(90))
		if right := of(t, all, "crankpin").points[0][0] > of(t, all, "shaft").points[0][0]; right != x.clockwise {
			t.Errorf("%+v: the crank pin goes down on the wrong side", x.dial)
		}
	}
}

// What is not known is dashed and grey, and said; nothing of it looks measured.
func TestSectionSaysWhatIsNotMeasured(t *testing.T) {
	guess := map[string]string{"rod": "Rod not known", "skirt-exhaust": "Skirt on the exhaust side", "window exhaust": "Height of exhaust", "window transfer": "Height of transfers", "deck": "Deck not known", "squish": "Squish not known"}
	s := disc(t)
	all := shapes(t, s.SVG(60))
	for class, say := range guess {
		usual := of(t, all, class+" usual")
		if usual.dash == "" || !usual.opacity {
			t.Errorf("%s is not dashed and grey", class)
		}
		if !strings.Contains(s.Text, say) {
			t.Errorf("%q is not said: %s", say, s.Text)
		}
		for _, e := range all {
			if e.class == class {
				t.Errorf("%s is drawn as if measured", class)
			}
		}
	}
	for _, say := range []string{"Chamber not known", "Case not known", "Transfers is in doubt", "mirror image"} {
		if !strings.Contains(s.Text, say) {
			t.Errorf("%q is not said: %s", say, s.Text)
		}
	}
	if f := s.Frame(60); !strings.HasPrefix(f.Words[3], "≈") {
		t.Errorf("travel by a guessed rod is said as %q", f.Words[3])
	}
	s = first(t)
	for _, e := range shapes(t, s.SVG(60)) {
		if e.class == "scale" || strings.Contains(e.text, "mm") || strings.Contains(e.text, "cc") {
			t.Errorf("a length or volume without a stroke: %+v", e)
		}
	}
	if !strings.Contains(s.Text, "nothing here is to scale") || !strings.Contains(s.Text, "Not drawn: intake") {
		t.Error(s.Text)
	}
}

// wordsApart says that no word of a picture lies over another or outside of it,
// turned words included. Letters are taken 0.6 of their size wide, as for apart.
func wordsApart(t *rapid.T, svg string, all []shape) {
	if strings.Contains(svg, "NaN") || strings.Contains(svg, "Inf") {
		t.Fatalf("not a number in %s", svg)
	}
	type quad [4][2]float64
	var seen []quad
	var said []string
	for _, e := range all {
		if e.text == "" {
			continue
		}
		w, x := 0.6*e.size*float64(len([]rune(e.text))), 0.0
		switch e.anchor {
		case "middle":
			x = -w / 2
		case "end":
			x = -w
		}
		sin, cos := math.Sincos(e.at.deg * math.Pi / 180)
		var q quad
		for i, c := range [4][2]float64{{x, -0.73 * e.size}, {x + w, -0.73 * e.size}, {x + w, 0}, {x, 0}} {
			q[i] = [2]float64{e.points[0][0] + c[0]*cos - c[1]*sin, e.points[0][1] + c[0]*sin + c[1]*cos}
			if q[i][0] < -2 || q[i][0] > sectionWidth+2 || q[i][1] < 0 || q[i][1] > sectionHeight+1 {
				t.Fatalf("%q at %v leaves the picture", e.text, q[i])
			}
		}
		for i, o := range seen {
			if !separate(q[:], o[:]) && !separate(o[:], q[:]) {
				t.Fatalf("%q lies over %q", e.text, said[i])
			}
		}
		seen, said = append(seen, q), append(said, e.text)
	}
}

// separate says whether a side of a has all of b on its other side: then the
// two convex figures share nothing. Source: the separating axis theorem.
func separate(a, b [][2]float64) bool {
	for i := range a {
		p, q := a[i], a[(i+1)%len(a)]
		nx, ny := q[1]-p[1], p[0]-q[0]
		most := math.Inf(-1)
		for _, r := range a {
			most = math.Max(most, (r[0]-p[0])*nx+(r[1]-p[1])*ny)
		}
		least := math.Inf(1)
		for _, r := range b {
			least = math.Min(least, (r[0]-p[0])*nx+(r[1]-p[1])*ny)
		}
		if least >= most {
			return true
		}
	}
	return false
}

// Whatever is known of an engine, its section at any angle is well-formed and
// its words stay apart.
func TestSectionOfAnyCylinder(t *testing.T) {
	kinds := []string{build.KindExhaust, build.KindTransfer, build.KindTransfer, build.KindBoost, build.KindIntake}
	drawn := 0
	rapid.Check(t, func(t *rapid.T) {
		c := anyCylinder(t)
		bore := c.Crank.Stroke() * rapid.Float64Range(0.8, 1.7).Draw(t, "square")
		if c.Bore != nil {
			c.Bore = &bore
		}
		if !rapid.Bool().Draw(t, "stroke known") {
			c.Crank = nil
		}
		c.RodKnown = rapid.Bool().Draw(t, "rod known")
		c.Intake = rapid.SampledFrom([]string{"", build.IntakePistonPort, build.IntakeReed, build.IntakeRotaryValve}).Draw(t, "intake")
		p := &findings.PassResult{Name: "any"}
		for i := range c.Ports {
			c.Ports[i].Name = strconv.Itoa(i)
			c.Ports[i].Kind = rapid.SampledFrom(kinds).Draw(t, "kind")
			c.Ports[i].Crown = c.Ports[i].Kind != build.KindIntake
			c.Ports[i].Skirt = !c.Ports[i].Crown && rapid.Bool().Draw(t, "skirt")
			w := findings.WindowResult{Name: c.Ports[i].Name}
			if rapid.Bool().Draw(t, "read") {
				w.OpensDeg, w.DurationDeg = deg(rapid.Float64Range(0, 359.99).Draw(t, "opens")), deg(rapid.Float64Range(1, 300).Draw(t, "open"))
			}
			p.Windows = append(p.Windows, w)
		}
		s, ok := NewSection(c, p, Dial{TDC: rapid.Float64Range(0, 360).Draw(t, "tdc"), Wheel: wheel.Wheel{Falls: rapid.Bool().Draw(t, "falls")}})
		if !ok {
			return
		}
		drawn++
		a := rapid.Float64Range(-720, 720).Draw(t, "at")
		svg := s.SVG(a)
		wordsApart(t, svg, shapes(t, svg))
		f := s.Frame(a)
		if len(f.Poses) != len(s.Parts) || len(f.Words) != len(s.Words) || f.Title == "" || f.Text == "" {
			t.Fatalf("%d poses of %d, %d words of %d", len(f.Poses), len(s.Parts), len(f.Words), len(s.Words))
		}
		for i := 1; i < len(s.Events); i++ {
			if s.Events[i].Deg <= s.Events[i-1].Deg {
				t.Fatalf("events at %v and %v", s.Events[i-1].Deg, s.Events[i].Deg)
			}
		}
	})
	if drawn == 0 {
		t.Error("nothing was drawn")
	}
}
