package draw

import (
	"encoding/xml"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"portwright/engine/build"
	"portwright/engine/crank"
	"portwright/engine/port"
)

// marks are the paths of a picture by class, each as its points.
func marks(t testing.TB, svg string) map[string][][][2]float64 {
	out := map[string][][][2]float64{}
	dec := xml.NewDecoder(strings.NewReader(svg))
	for {
		tok, err := dec.Token()
		if err != nil {
			return out
		}
		if el, ok := tok.(xml.StartElement); ok && el.Name.Local == "path" {
			class, d := "", ""
			for _, a := range el.Attr {
				switch a.Name.Local {
				case "class":
					class = a.Value
				case "d":
					d = a.Value
				}
			}
			out[class] = append(out[class], points(t, d))
		}
	}
}

var pathPart = regexp.MustCompile(`([MLHVhvAZ])([^MLHVhvAZ]*)`)

// points are the places that a path goes through.
func points(t interface{ Fatalf(string, ...any) }, d string) (out [][2]float64) {
	var at [2]float64
	for _, p := range pathPart.FindAllStringSubmatch(d, -1) {
		var n []float64
		for _, f := range strings.Fields(p[2]) {
			v, err := strconv.ParseFloat(f, 64)
			if err != nil {
				t.Fatalf("path %q: %v", d, err)
			}
			n = append(n, v)
		}
		switch p[1] {
		case "M", "L":
			at = [2]float64{n[0], n[1]}
		case "H":
			at[0] = n[0]
		case "V":
			at[1] = n[0]
		case "h":
			at[0] += n[0]
		case "v":
			at[1] += n[0]
		case "A":
			at = [2]float64{n[5], n[6]}
		case "Z":
			continue
		}
		out = append(out, at)
	}
	return
}

// box is the least and most of x and y.
func box(ps [][2]float64) (x0, x1, y0, y1 float64) {
	x0, y0, x1, y1 = math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for _, p := range ps {
		x0, x1, y0, y1 = math.Min(x0, p[0]), math.Max(x1, p[0]), math.Min(y0, p[1]), math.Max(y1, p[1])
	}
	return
}

func near(t testing.TB, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: %.4f in the picture, want %.4f", what, got, want)
	}
}

// travel is the slider-crank without offset, written out here: stroke 32.5,
// rod 58.
//
//	x = r(1 - cos a) + L - sqrt(L^2 - r^2 sin^2 a)
//
// Source: plane geometry; the engine solves it in another form.
func travel(deg float64) float64 {
	const r, l = 16.25, 58.0
	s, c := math.Sincos(deg * math.Pi / 180)
	return r*(1-c) + l - math.Sqrt(l*l-r*r*s*s)
}

// The map is true: what is measured in it with its own scale bar is the
// engine's. Coordinates are rounded to 0.01 units, a unit is 0.45 mm here.
func TestPortMapIsTrue(t *testing.T) {
	drawn, ok := PortMap(pump(t), 120)
	if !ok {
		t.Fatal("no map")
	}
	m := marks(t, drawn.Bare)
	x0, x1, _, _ := box(m["scale"][0])
	k := (x1 - x0) / 10
	tol := 0.02 // units: two roundings
	y := func(class string) float64 { return m[class][0][0][1] }
	tdc := y("crown-tdc")
	mm := func(y float64) float64 { return (y - tdc) / k }
	near(t, "top of the cylinder", mm(y("deck")), -0.1, tol)
	near(t, "crown at 120 deg", mm(y("crown")), travel(120), tol)
	near(t, "crown at BDC", mm(y("crown-bdc")), 32.5, tol)
	near(t, "skirt's end at 120 deg", mm(y("skirt")), travel(120)+34, tol)
	_, _, r0, r1 := box(m["ring"][0])
	near(t, "ring's top", mm(r0), travel(120)+2.5, tol)
	near(t, "ring's height", (r1-r0)/k, 1.2, tol)
	near(t, "the wall's length", (m["wall"][1][0][0]-m["wall"][0][0][0])/k, math.Pi*44, tol)
	near(t, "full size", 336/drawn.WidthMM, k, 0.001)

	ex := m["window exhaust"][0]
	x0, x1, y0, y1 := box(ex)
	near(t, "exhaust roof", mm(y0), 22, tol)
	near(t, "exhaust floor", mm(y1), 32.5, tol)
	near(t, "exhaust width on the wall", (x1-x0)/k, 2*22*math.Asin(13.5/22), tol)
	_, _, c0, _ := box(m["cut-roof"][0])
	if len(m["cut-roof"]) != 2 || len(m["cut-floor"]) != 1 || len(m["cut-width"]) != 2 {
		t.Fatalf("cuts: %d roofs, %d floors, %d sides", len(m["cut-roof"]), len(m["cut-floor"]), len(m["cut-width"]))
	}
	near(t, "exhaust roof to cut to", mm(c0), 22-1.06, tol)
	w0, _, _, _ := box(m["cut-width"][0])
	near(t, "half of the wider exhaust", (x0-w0)/k, 1, tol)
	tr0, _, ty0, ty1 := box(m["window transfer"][0])
	near(t, "left transfer's roof", mm(ty0), 26, tol)
	near(t, "left transfer's height", (ty1-ty0)/k, 6.3, tol)
	if tr0 > x0 {
		t.Error("the left transfer stands right of the exhaust")
	}

	// The skirt's end is at the intake's floor when the piston has come down 8 mm.
	if n := len(m["window intake"]); n != 2 {
		t.Fatalf("%d openings beside one bridge", n)
	}
	_, _, i0, i1 := box(m["window intake"][0])
	near(t, "intake floor", mm(i1), 8+34, tol)
	near(t, "intake roof", mm(i0), 8+34-9, tol)
	_, right, _, _ := box(m["window intake"][0])
	left, _, _, _ := box(m["window intake"][1])
	near(t, "bridge on the wall", (left-right)/k, 2*22*math.Asin(1.5/22), tol)
	_, _, _, f1 := box(m["cut-floor"][0])
	near(t, "intake floor to cut to", mm(f1), 8+34+0.8, tol)
}

// So is the near map: what is measured in it with its scale bar is the engine's,
// and every window stands at its depth.
func TestPortMapNearIsTrue(t *testing.T) {
	drawn, ok := PortMapNear(pump(t))
	if !ok {
		t.Fatal("no map")
	}
	m := marks(t, drawn.Bare)
	x0, x1, _, _ := box(m["scale"][0])
	k := (x1 - x0) / 10
	if k < 3.5 { // 336 units for 27 + 2 x 13 + 22 mm of windows and what lies between
		t.Errorf("%v units to the millimetre", k)
	}
	const tol = 0.02
	_, _, e0, e1 := box(m["window exhaust"][0])
	near(t, "exhaust's height", (e1-e0)/k, 10.5, tol)
	if len(m["cut"]) != 4 { // exhaust, right transfer, intake on both sides of its bridge
		t.Fatalf("%d openings are cut", len(m["cut"]))
	}
	_, _, l0, _ := box(m["window transfer"][0])
	near(t, "the left transfer's roof under the exhaust's", (l0-e0)/k, 26-22, tol)
	_, _, r0, r1 := box(m["window transfer"][1])
	cuts := map[string][4]float64{}
	for i, name := range []string{"exhaust", "transfer right", "intake", "intake"} {
		x0, x1, y0, y1 := box(m["cut"][i])
		cuts[name] = [4]float64{x0, x1, y0, y1}
	}
	near(t, "the exhaust's roof raised", (e0-cuts["exhaust"][2])/k, 1.06, tol)
	near(t, "the exhaust wider", (cuts["exhaust"][1]-cuts["exhaust"][0])/k, 2*22*math.Asin(14.5/22), tol)
	near(t, "the transfer's roof raised", (r0-cuts["transfer right"][2])/k, 0.4, tol)
	near(t, "the transfer's floor left", (r1-cuts["transfer right"][3])/k, 0, tol)
	_, _, i0, i1 := box(m["window intake"][0])
	near(t, "the intake's floor lowered", (cuts["intake"][3]-i1)/k, 0.8, tol)
	near(t, "the intake's roof left", (i0-cuts["intake"][2])/k, 0, tol)
	for _, want := range []string{">0.40 mm<", ">1.06 mm<", "raise the roof 1.06 mm, widen 2.00 mm", "lower the floor 0.80 mm", "Not drawn: boost, size not known"} {
		if !strings.Contains(drawn.Bare, want) {
			t.Errorf("the map does not say %s", want)
		}
	}
}

// Angles in the ring are the events'; both states are there.
func TestRingChangeShowsBothStates(t *testing.T) {
	svg, _ := RingChange(fivePorts(), raised())
	m := marks(t, svg)
	turn := func(p [2]float64) float64 {
		return math.Mod(math.Atan2(p[0], -p[1])*180/math.Pi+360, 360)
	}
	starts := func(ps [][][2]float64) (out []float64) {
		for _, p := range ps {
			out = append(out, turn(p[0]))
		}
		return
	}
	has := func(what string, all []float64, want float64) {
		for _, a := range all {
			if math.Abs(a-want) < 0.02 { // 0.01 units at a radius of 50 and more
				return
			}
		}
		t.Errorf("%s: no arc starts at %v: %v", what, want, all)
	}
	for _, want := range []float64{98, 281, 120, 120.5, 126.5} {
		has("after", starts(m[""]), want)
	}
	for _, want := range []float64{102.5, 285, 120, 120.5, 126.5} {
		has("before", starts(m["before"]), want)
	}
}

// Curves have the areas, and the hatch lies between the openings. Source of
// the full area: a rectangle less four corners, w h - 2(1 - pi/4)(r1^2 + r2^2).
func TestAreaCurvesAreTrue(t *testing.T) {
	c := pump(t)
	c.Ports = c.Ports[:4] // without the boost, of which the size is not known
	svg, ok := AreaCurves(c, nil)
	if !ok {
		t.Fatal("no curves")
	}
	m := marks(t, svg)
	x0, x1, y0, y1 := box(m["axis"][0])
	deg := func(x float64) float64 { return (x - x0) / (x1 - x0) * 360 }
	area := func(y float64) float64 { return (y1 - y) / (y1 - y0) * 400 }
	if !strings.Contains(svg, ">400</text>") {
		t.Fatal("the axis does not end at 400")
	}
	full := func(w, h, r1, r2 float64) float64 { return w*h - 2*(1-math.Pi/4)*(r1*r1+r2*r2) }
	_, _, top, _ := box(m["curve exhaust"][0])
	near(t, "exhaust wide open", area(top), full(27, 10.5, 4, 3), 0.1)
	// Corners of the intake's bridge are the window's own; the skirt uncovers 8 of 9 mm.
	_, _, top, _ = box(m["curve intake"][0])
	open := 22*8.0 - 2*(1-math.Pi/4)*9 - 3*8
	corner := 0.0 // the upper corners are covered in part: what of them lies below the skirt
	const n = 100000
	for i := range n {
		u := 1 + (float64(i)+0.5)/n*2 // mm below the roof, 1 to 3: there the sides draw in
		corner += 2 * (3 - math.Sqrt(9-(3-u)*(3-u))) * 2 / n
	}
	near(t, "intake at TDC", area(top), open-corner, 0.1)
	h0, h1, _, _ := box(m["blowdown"][0])
	near(t, "travel where the hatch begins", travel(deg(h0)), 22, 0.02)
	near(t, "travel where the hatch ends", travel(deg(h1)), 26, 0.02)
}

func anyCylinder(t *rapid.T) *Cylinder {
	name := rapid.StringMatching(`[a-z ]{0,30}`)
	stroke := rapid.Float64Range(10, 90).Draw(t, "stroke")
	m, err := crank.New(stroke, stroke*rapid.Float64Range(1.5, 2.4).Draw(t, "rod"), rapid.SampledFrom([]float64{0, 0.5}).Draw(t, "offset"))
	if err != nil {
		t.Fatal(err)
	}
	some := func(what string, low, high float64) *float64 {
		if !rapid.Bool().Draw(t, "no "+what) {
			return nil
		}
		v := rapid.Float64Range(low, high).Draw(t, what)
		return &v
	}
	c := &Cylinder{Name: name.Draw(t, "state"), Crank: &m, Bore: some("bore", 10, 100), Deck: some("deck", -2, 3), SkirtIntake: some("skirt", 5, 100),
		SkirtExhaust: some("skirt", 5, 100), RingBelow: some("ring", 0, 9), RingHeight: some("height of the ring", 0.5, 3)}
	kinds := []string{build.KindExhaust, build.KindTransfer, build.KindBoost, build.KindIntake}
	for range rapid.IntRange(0, 8).Draw(t, "windows") {
		p := Port{Name: name.Draw(t, "name"), Kind: rapid.SampledFrom(kinds).Draw(t, "kind"), Crown: true, Travel: some("travel", 0, stroke), TravelU95: some("doubt", 0, 3)}
		if p.Kind == build.KindIntake {
			p.Crown, p.Skirt = false, rapid.Bool().Draw(t, "piston port")
		}
		p.Shape = port.Shape{Chord: rapid.Float64Range(4, 60).Draw(t, "chord"), Height: rapid.Float64Range(0, 30).Draw(t, "height"), CornerTop: rapid.Float64Range(0, 3).Draw(t, "corner"),
			Count: rapid.IntRange(0, 2).Draw(t, "count"), Bridges: rapid.IntRange(0, 2).Draw(t, "bridges"), BridgeWidth: rapid.Float64Range(0, 3).Draw(t, "bridge")}
		if cut := some("cut", 0, 3); cut != nil && p.Skirt {
			p.FloorCut = *cut
		} else if cut != nil {
			p.RoofCut = *cut
		}
		c.Ports = append(c.Ports, p)
	}
	return c
}

var viewBox = regexp.MustCompile(`viewBox="(\S+) (\S+) (\S+) (\S+)"`)

// apart says that no word lies over another or leaves the picture. Letters of
// DejaVu Sans, the widest face that is usual, are about 0.6 of their size wide.
func apart(t *rapid.T, svg string) {
	if strings.Contains(svg, "NaN") || strings.Contains(svg, "Inf") {
		t.Fatalf("not a number in %s", svg)
	}
	var v [4]float64
	for i, s := range viewBox.FindStringSubmatch(svg)[1:] {
		v[i], _ = strconv.ParseFloat(s, 64)
	}
	type rect struct {
		x0, x1, y0, y1 float64
		s              string
	}
	var seen []rect
	for _, x := range wellFormed(t, svg) {
		w := 0.6 * x.size * float64(len([]rune(x.s)))
		r := rect{x.x, x.x + w, x.y - 0.75*x.size, x.y + 0.15*x.size, x.s}
		switch x.anchor {
		case "middle":
			r.x0, r.x1 = x.x-w/2, x.x+w/2
		case "end":
			r.x0, r.x1 = x.x-w, x.x
		}
		if r.x0 < v[0]-8 || r.x1 > v[0]+v[2]+14 || r.y0 < v[1] || r.y1 > v[1]+v[3] {
			t.Fatalf("%q at %v leaves the picture %v: %s", r.s, r, v, svg)
		}
		for _, o := range seen {
			if r.x0 < o.x1 && o.x0 < r.x1 && r.y0 < o.y1 && o.y0 < r.y1 {
				t.Fatalf("%q lies over %q: %s", r.s, o.s, svg)
			}
		}
		seen = append(seen, r)
	}
}

func TestWordsOfMapAndCurvesStayApart(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := anyCylinder(t)
		if m, ok := PortMap(c, rapid.Float64Range(0, 360).Draw(t, "at")); ok {
			apart(t, m.SVG)
			apart(t, m.Bare)
		}
		if m, ok := PortMapNear(c); ok {
			apart(t, m.Bare)
		}
		if svg, ok := AreaCurves(c, anyCylinder(t)); ok {
			apart(t, svg)
		}
	})
}

func TestWordsOfRingChangeStayApart(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		before, after := anyPass(t), anyPass(t)
		for i := range after.Windows {
			if i < len(before.Windows) {
				after.Windows[i].Name = before.Windows[i].Name
			}
		}
		if svg, ok := RingChange(before, after); ok {
			apart(t, svg)
		}
	})
}
