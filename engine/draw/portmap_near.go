package draw

import (
	"math"

	"portwright/engine/unit"
)

// Sizes of a near map.
const (
	nearGap  = 4.0  // mm between two windows
	nearMost = 9.0  // units per mm, where few windows stand there
	nearLine = 15.0 // from a number to the one under it
	nearChar = 8.0  // of a letter at size 14
)

// PortMapNear is a port map of the windows alone, as large as they go side by
// side, so that a cut of a few tenths shows on a small screen: dashed is each
// window after its cuts. It needs the bore, the windows and, for one that the
// skirt works, the intake skirt. ok is false when there is no window to draw.
func PortMapNear(c *Cylinder) (out Map, ok bool) {
	if c.Bore == nil || !(*c.Bore > 0) {
		return Map{}, false
	}
	placed, widths := c.placed()
	if len(placed) == 0 {
		return Map{}, false
	}
	m := &portMap{c: c, k: math.Min((mapWidth-2)/(widths+nearGap*float64(len(placed))), nearMost), top: math.Inf(1), bottom: math.Inf(-1)}
	for _, i := range placed {
		p := &c.Ports[i]
		roof, _ := p.roof(c)
		m.top = math.Min(m.top, roof-p.RoofCut)
		m.bottom = math.Max(m.bottom, roof+p.Shape.Height+p.FloorCut)
	}
	m.top -= 2 * nearLine / m.k // the numbers stand above
	m.low = m.y(m.bottom)
	left := 1.0
	for _, i := range placed {
		m.nearWindow(i, left)
		left += (c.wide(i) + nearGap) * m.k
	}
	m.windowRows(placed)
	out = Map{Key: m.key, WidthMM: mapWidth / m.k, Bare: m.picture(m.scale())}
	return out, true
}

// nearWindow draws a window in its room from left on, with its number and under
// that the depth to cut.
func (m *portMap) nearWindow(i int, left float64) {
	p := &m.c.Ports[i]
	roof, _ := p.roof(m.c)
	one := *p
	one.Shape.Count = 1
	wide := 2 * along(*m.c.Bore, p.Shape.Chord/2)
	x := left + (nearGap+wide)/2*m.k
	after := one
	after.Shape.Height += p.RoofCut + p.FloorCut
	after.Shape.Chord += p.WidthCut
	cut := after.Shape != one.Shape
	for range max(p.Shape.Count, 1) {
		m.outlines(&one, x, roof)
		if cut {
			for _, o := range after.Shape.Openings() {
				m.mark("cut", m.outline(&after, o, x, roof-p.RoofCut, 0), 1.6, "4 2")
			}
		}
		x += (wide + 2) * m.k
	}
	middle := (left + x - (wide/2+2-nearGap/2)*m.k) / 2
	y := m.y(roof-p.RoofCut) - 5
	if depth := p.RoofCut + p.FloorCut; depth > 0 {
		said := unit.Fixed(depth, 2)
		room := (m.c.wide(i) + nearGap) * m.k
		if room > nearChar*float64(len(said)+3) {
			m.text(middle, y, 14, "middle", true, said+" mm")
			y -= nearLine
		} else if room > nearChar*float64(len(said)) {
			m.text(middle, y, 14, "middle", true, said)
			y -= nearLine
		}
	}
	m.text(middle, y, 14, "middle", true, numberOf(i))
}
