package draw

import (
	"encoding/xml"
	"flag"
	"io"
	"maps"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"portwright/engine/build"
	"portwright/engine/findings"
	"portwright/engine/unit"
)

var update = flag.Bool("update", false, "write the golden pictures anew")

func deg(v float64) *float64 { return &v }

// fivePorts is an invented engine with two unlike transfers and a boost port.
func fivePorts() *findings.PassResult {
	return &findings.PassResult{
		Name: "as received", BlowdownDeg: deg(17.5), BlowdownWindow: "transfer left",
		Windows: []findings.WindowResult{
			{Name: "exhaust", Kind: build.KindExhaust, OpensDeg: deg(102.5), DurationDeg: deg(155)},
			{Name: "transfer left", Kind: build.KindTransfer, OpensDeg: deg(120), DurationDeg: deg(120)},
			{Name: "transfer right", Kind: build.KindTransfer, OpensDeg: deg(120.5), DurationDeg: deg(119)},
			{Name: "boost", Kind: build.KindBoost, OpensDeg: deg(126.5), DurationDeg: deg(107)},
			{Name: "intake", Kind: build.KindIntake, OpensDeg: deg(285), DurationDeg: deg(150)},
		},
	}
}

func TestGoldenPictures(t *testing.T) {
	ring := func(p *findings.PassResult) string {
		s, ok := Ring(p)
		if !ok {
			t.Fatalf("no ring for %q", p.Name)
		}
		return s
	}
	rotary := &findings.PassResult{Name: "disc valve", Windows: []findings.WindowResult{
		{Name: "exhaust", Kind: build.KindExhaust, OpensDeg: deg(82), DurationDeg: deg(196)},
		{Name: "intake", Kind: build.KindIntake, OpensDeg: deg(215), DurationDeg: deg(210)},
	}}
	all := pictures(t)
	maps.Copy(all, sectionPictures(t))
	for name, svg := range map[string]string{
		"ring_five_ports":   ring(fivePorts()),
		"ring_disc_valve":   ring(rotary),
		"how_stop":          HowStop(),
		"how_roof_down":     HowEdge(false, true),
		"how_roof_up":       HowEdge(false, false),
		"how_skirt_up":      HowEdge(true, false),
		"how_depth":         HowDepth(false),
		"how_depth_floor":   HowDepth(true),
		"wheel_360_rise":    Wheel(build.Wheel{}),
		"wheel_180_fall":    Wheel(build.Wheel{Numbering: build.Numbering180, Numbers: build.NumbersFall}),
		"wheel_90_quadrant": Wheel(build.Wheel{Numbering: build.Numbering90, Numbers: build.NumbersRise}),
	} {
		all[name] = svg
	}
	for name, got := range all {
		file := filepath.Join("testdata", name+".svg")
		if *update {
			if err := os.WriteFile(file, []byte(got+"\n"), 0o644); err != nil {
				t.Fatal(err)
			}
			continue
		}
		want, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		if got+"\n" != string(want) {
			t.Errorf("%s differs from its golden picture (-update writes it anew)", name)
		}
	}
}

// wellFormed reads the picture as XML and returns its text elements.
func wellFormed(t interface{ Fatalf(string, ...any) }, svg string) []textAt {
	dec := xml.NewDecoder(strings.NewReader(svg))
	var out []textAt
	var cur *textAt
	for {
		tok, err := dec.Token()
		if err == io.EOF {
			return out
		}
		if err != nil {
			t.Fatalf("not well-formed: %v in %s", err, svg)
		}
		switch tok := tok.(type) {
		case xml.StartElement:
			if tok.Name.Local == "text" {
				cur = &textAt{}
				for _, a := range tok.Attr {
					switch a.Name.Local {
					case "x":
						cur.x, _ = strconv.ParseFloat(a.Value, 64)
					case "y":
						cur.y, _ = strconv.ParseFloat(a.Value, 64)
					case "font-size":
						cur.size, _ = strconv.ParseFloat(a.Value, 64)
					case "text-anchor":
						cur.anchor = a.Value
					}
				}
			}
		case xml.CharData:
			if cur != nil {
				cur.s += string(tok)
			}
		case xml.EndElement:
			if cur != nil {
				out = append(out, *cur)
				cur = nil
			}
		}
	}
}

type textAt struct {
	x, y, size float64
	anchor, s  string
}

func anyPass(t *rapid.T) *findings.PassResult {
	p := &findings.PassResult{Name: rapid.String().Draw(t, "pass")}
	kinds := []string{build.KindExhaust, build.KindTransfer, build.KindBoost, build.KindIntake, ""}
	for i := rapid.IntRange(0, 9).Draw(t, "windows"); i > 0; i-- {
		w := findings.WindowResult{Name: rapid.String().Draw(t, "name"), Kind: rapid.SampledFrom(kinds).Draw(t, "kind")}
		if rapid.Bool().Draw(t, "opens") {
			w.OpensDeg = deg(rapid.Float64Range(0, 359.9999).Draw(t, "deg"))
		}
		if rapid.Bool().Draw(t, "lasts") {
			w.DurationDeg = deg(rapid.Float64Range(-10, 370).Draw(t, "duration"))
		}
		p.Windows = append(p.Windows, w)
	}
	if rapid.Bool().Draw(t, "blowdown") {
		p.BlowdownDeg = deg(rapid.Float64Range(-60, 200).Draw(t, "blowdown deg"))
	}
	return p
}

// Whatever the result holds, the picture is well-formed, free of NaN, and its
// words stay inside it, one below the other.
func TestRingKeepsItsWordsInside(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		svg, ok := Ring(anyPass(t))
		if !ok {
			return
		}
		if strings.Contains(svg, "NaN") || strings.Contains(svg, "Inf") {
			t.Fatalf("not a number in %s", svg)
		}
		lowest := map[string]float64{"start": math.Inf(-1), "end": math.Inf(-1)}
		for _, x := range wellFormed(t, svg) {
			if math.Abs(x.y) > 131 {
				t.Fatalf("%q at y %v leaves the picture", x.s, x.y)
			}
			// "before TDC" at size 15 is 62 units wide in the face that is served.
			room := ringHalf - math.Abs(x.x)
			if x.anchor != "middle" && room < 64 {
				t.Fatalf("%q at x %v has %v units left", x.s, x.x, room)
			}
			if x.anchor != "middle" {
				if x.y < lowest[x.anchor]+14 {
					t.Fatalf("%q at y %v overlaps the line above (%v)", x.s, x.y, lowest[x.anchor])
				}
				lowest[x.anchor] = x.y
			}
		}
	})
}

// No two windows are drawn over each other.
func TestLanesDoNotOverlap(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		spans := ringSpans(anyPass(t))
		lanes := setLanes(spans)
		for i, a := range spans {
			if a.lane >= lanes {
				t.Fatalf("lane %d of %d", a.lane, lanes)
			}
			for _, b := range spans[:i] {
				if a.lane == b.lane && overlap(a, b) {
					t.Fatalf("%+v and %+v share a lane", a, b)
				}
			}
		}
	})
}

// Facts of the trade's three wheels: a 0-180-0 wheel reads the same on both
// sides of TDC, a quadrant wheel shows 90 half-way and 0 at both dead centres.
// Common practice, no source.
func TestMark(t *testing.T) {
	for _, c := range []struct {
		numbering string
		deg       float64
		want      int
	}{
		{"", 0, 0}, {build.Numbering360, 330, 330}, {build.Numbering360, 360, 0},
		{build.Numbering180, 100, 100}, {build.Numbering180, 260, 100}, {build.Numbering180, 180, 180},
		{build.Numbering90, 80, 80}, {build.Numbering90, 100, 80}, {build.Numbering90, 180, 0},
		{build.Numbering90, 260, 80}, {build.Numbering90, 285, 75},
	} {
		if got := Mark(c.numbering, c.deg); got != c.want {
			t.Errorf("%s at %v: %d, want %d", c.numbering, c.deg, got, c.want)
		}
	}
}

// The arc runs clockwise from its start to its end: its end points lie where
// the angles say (x = r sin a, y = -r cos a), and more than half a turn takes
// the long way.
func TestArcEnds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := rapid.Float64Range(0, 360).Draw(t, "a")
		open := rapid.Float64Range(1, 359).Draw(t, "open")
		d := arc(a, a+open, 90)
		large := strings.Contains(d, " 0 1 1 ")
		if large != (unit.Turn(open) > 180) {
			t.Fatalf("open %v: %s", open, d)
		}
		x, y := point(a, 90)
		if math.Abs(math.Hypot(x, y)-90) > 1e-9 {
			t.Fatalf("start %v %v is not on the circle", x, y)
		}
		if !strings.HasPrefix(d, "M"+num(x)+" "+num(y)+"A") {
			t.Fatalf("%s does not start at %v %v", d, x, y)
		}
	})
}

func TestRingText(t *testing.T) {
	want := "exhaust opens 102.5° after TDC and closes 257.5° after TDC, open for 155.0°; " +
		"intake opens 75.0° before TDC and closes 75.0° after TDC, open for 150.0°; "
	if got := RingText(fivePorts()); !strings.HasPrefix(got, want) || !strings.HasSuffix(got, "blowdown 17.5°") {
		t.Errorf("got %q", got)
	}
}
