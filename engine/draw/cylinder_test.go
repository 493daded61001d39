package draw

import (
	"strconv"
	"strings"
	"testing"

	"portwright/engine/build"
	"portwright/engine/crank"
	"portwright/engine/findings"
	"portwright/engine/port"
)

// pump is an invented engine: bore 44, stroke 32.5, rod 58.
func pump(t testing.TB) *Cylinder {
	m, err := crank.New(32.5, 58, 0)
	if err != nil {
		t.Fatal(err)
	}
	sides := port.Shape{Chord: 13, Height: 6.3, CornerTop: 1.5, CornerBottom: 1.5}
	return &Cylinder{Name: "as received", Crank: &m, Bore: deg(44), Deck: deg(0.1), SkirtIntake: deg(34), SkirtExhaust: deg(34), RingBelow: deg(2.5), RingHeight: deg(1.2),
		Ports: []Port{
			{Name: "exhaust", Kind: build.KindExhaust, Crown: true, Travel: deg(22), TravelU95: deg(0.15), RoofCut: 1.06, WidthCut: 2,
				Shape: port.Shape{Chord: 27, Height: 10.5, CornerTop: 4, CornerBottom: 3}},
			{Name: "transfer left", Kind: build.KindTransfer, Crown: true, Travel: deg(26), TravelU95: deg(0.2), Shape: sides},
			{Name: "transfer right", Kind: build.KindTransfer, Crown: true, Travel: deg(26.4), RoofCut: 0.4, Shape: sides},
			{Name: "intake", Kind: build.KindIntake, Skirt: true, Travel: deg(8), TravelU95: deg(0.3), FloorCut: 0.8,
				Shape: port.Shape{Chord: 22, Height: 9, CornerTop: 3, CornerBottom: 3, Bridges: 1, BridgeWidth: 3}},
			{Name: "boost", Kind: build.KindBoost, Crown: true, Travel: deg(27)},
		}}
}

// cut is the pump after its planned cuts.
func cut(t testing.TB) *Cylinder {
	c := pump(t)
	c.Name = "planned"
	for i := range c.Ports {
		p := &c.Ports[i]
		if p.Travel != nil && p.Crown {
			p.Travel = deg(*p.Travel - p.RoofCut)
			p.Shape.Height += p.RoofCut
		}
		p.RoofCut, p.FloorCut, p.WidthCut = 0, 0, 0
	}
	return c
}

func raised() *findings.PassResult {
	p := fivePorts()
	p.Name, p.BlowdownDeg = "finished", deg(22)
	p.Windows[0].OpensDeg, p.Windows[0].DurationDeg = deg(98), deg(164)
	p.Windows[4].OpensDeg, p.Windows[4].DurationDeg = deg(281), deg(158)
	return p
}

func pictures(t testing.TB) map[string]string {
	out := map[string]string{}
	keep := func(name, svg string, ok bool) {
		if !ok {
			t.Fatalf("no picture %s", name)
		}
		out[name] = svg
	}
	svg, ok := RingChange(fivePorts(), raised())
	keep("ring_change", svg, ok)
	m, ok := PortMap(pump(t), 120)
	keep("portmap_pump", m.SVG, ok)
	keep("portmap_pump_bare", m.Bare, ok)
	m, ok = PortMapNear(pump(t))
	keep("portmap_near", m.Bare, ok)
	bare := pump(t)
	bare.SkirtIntake, bare.SkirtExhaust, bare.RingBelow, bare.Deck = nil, nil, nil, nil
	bare.Ports[1].Shape.Count = 2
	m, ok = PortMap(bare, 180)
	keep("portmap_few", m.SVG, ok)
	before, after := pump(t), cut(t)
	before.Ports, after.Ports = before.Ports[:4], after.Ports[:4]
	svg, ok = AreaCurves(after, before)
	keep("areas_change", svg, ok)
	svg, ok = AreaCurves(bare, nil)
	keep("areas_bare", svg, ok)
	return out
}

// A window has one number, whatever picture it stands in: else somebody cuts
// the wrong one.
func TestOneNumberInEveryPicture(t *testing.T) {
	c := pump(t)
	whole, ok := PortMap(c, 120)
	near, ok2 := PortMapNear(c)
	if !ok || !ok2 {
		t.Fatal("no map")
	}
	for _, w := range section(t, c, passOf(c), Dial{}).Windows {
		for name, m := range map[string]Map{"port map": whole, "near map": near} {
			if row := keyRow(m.Key, w.Name); row != "" && !strings.HasPrefix(row, strconv.Itoa(w.Number)+" ") {
				t.Errorf("%s: %q, but the section calls it %d", name, row, w.Number)
			}
		}
	}
	// In the map the number stands over the window's middle.
	x0, x1, _, _ := box(marks(t, whole.SVG)["window exhaust"][0])
	for _, l := range wellFormed(t, whole.SVG) {
		if l.size == 14 && l.x > x0 && l.x < x1 && l.s != "1" && !strings.HasPrefix(l.s, "1:") {
			t.Errorf("over the exhaust, window 1, stands %q", l.s)
		}
	}
}

// keyRow is the key's row of a drawn window.
func keyRow(key []string, name string) string {
	for _, row := range key {
		if !strings.HasPrefix(row, "Not drawn") && strings.Contains(row, " "+name+": ") {
			return row
		}
	}
	return ""
}
