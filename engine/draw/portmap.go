package draw

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"portwright/engine/build"
	"portwright/engine/unit"
)

// Sizes of the port map in picture units; the picture is made for 336 px.
const (
	mapWidth  = 336.0
	mapLeft   = 24.0 // letters of the lines stand left of the wall
	mapRight  = 332.0
	mapLine   = 17.0 // from row to row of the key
	mapChars  = 42   // of a row at size 13
	mapLetter = 15.0 // height that a letter needs
)

// portMap is a map being drawn: mm along the wall and down it to units.
type portMap struct {
	canvas
	c      *Cylinder
	k      float64 // units per mm
	top    float64 // mm below the crown's edge at TDC at y = 0
	bottom float64
	low    float64 // y of the lowest letter or number
	key    []string
}

func (m *portMap) y(mm float64) float64 { return (mm - m.top) * m.k }

// Map is a port map. It is full size when shown WidthMM wide.
type Map struct {
	SVG     string   // with the key below it
	Bare    string   // without
	Key     []string // what letters and numbers stand for, what is not drawn
	WidthMM float64
}

// PortMap is the wall of the bore unrolled, to one scale in both directions:
// the windows, lines where crown, ring and skirt stand at an angle in degrees
// after TDC, and the metal that is to come off, hatched. How the windows lie
// round the bore is not measured, so they stand side by side in their order. ok
// is false when bore, stroke or every window's size or travel is not known.
func PortMap(c *Cylinder, atDeg float64) (out Map, ok bool) {
	if c.Crank == nil || c.Bore == nil || !(*c.Bore > 0) {
		return Map{}, false
	}
	placed, widths := c.placed()
	if len(placed) == 0 {
		return Map{}, false
	}
	wall := math.Pi * *c.Bore
	crowded := widths+float64(len(placed)) > wall // 1 mm between two is the least that is drawn
	if crowded {
		wall = widths + float64(len(placed))
	}
	gap := (wall - widths) / float64(len(placed))
	m := &portMap{c: c, k: (mapRight - mapLeft) / wall}
	m.extent(placed, atDeg)
	m.wall(wall)
	m.lines(atDeg)
	x := mapLeft + gap*m.k/2
	for _, i := range placed {
		m.window(i, x, gap*m.k)
		x += (c.wide(i) + gap) * m.k
	}
	m.windowRows(placed)
	if crowded {
		m.key = append(m.key, "Check the widths: together they are more than the bore is round")
	}
	y := m.scale()
	out = Map{Key: m.key, WidthMM: mapWidth / m.k, Bare: m.picture(y)}
	y = m.rows(y)
	out.SVG = m.picture(y)
	return out, true
}

// placed lists the windows that can be drawn, from left to right, and how much
// of the wall they take together. The bore is known.
func (c *Cylinder) placed() (out []int, widths float64) {
	for _, i := range c.order() {
		if _, ok := c.Ports[i].roof(c); ok && c.Ports[i].Shape.Chord <= *c.Bore {
			out = append(out, i)
			widths += c.wide(i)
		}
	}
	return out, widths
}

// picture is what was drawn so far as an SVG that ends at y.
func (m *portMap) picture(y float64) string {
	var c canvas
	c.open([4]float64{0, -16, mapWidth, y + 18}, "portmap", "Port map, "+m.c.Name, strings.Join(m.key, "; "))
	c.b.WriteString(m.b.String())
	return c.close()
}

// wide is how much of the wall a window takes, all of its equal openings with
// 2 mm between them.
func (c *Cylinder) wide(i int) float64 {
	s := &c.Ports[i].Shape
	n := float64(max(s.Count, 1))
	return n*2*along(*c.Bore, s.Chord/2) + (n-1)*2
}

// extent finds how much of the wall is shown.
func (m *portMap) extent(placed []int, atDeg float64) {
	m.top, m.bottom = 0, m.c.Crank.ActualStroke()
	if m.c.Deck != nil {
		m.top = math.Min(m.top, -*m.c.Deck)
	}
	for _, i := range placed {
		p := &m.c.Ports[i]
		roof, _ := p.roof(m.c)
		m.top = math.Min(m.top, roof-p.RoofCut)
		m.bottom = math.Max(m.bottom, roof+p.Shape.Height+p.FloorCut)
	}
	for _, l := range m.edges(atDeg) {
		m.top, m.bottom = math.Min(m.top, l.mm), math.Max(m.bottom, l.mm)
	}
	m.top -= 2
	m.bottom += 2
}

// edgeLine is a line across the wall.
type edgeLine struct {
	mm          float64
	class, dash string
	width       float64
	text        string
}

// edges are the lines of the piston and the cylinder, downwards.
func (m *portMap) edges(atDeg float64) []edgeLine {
	c := m.c
	x := c.Crank.Travel(unit.Rad(atDeg))
	at := "at " + degrees(atDeg)
	var out []edgeLine
	if c.Deck != nil {
		out = append(out, edgeLine{-*c.Deck, "deck", "", 2.4, "top of the cylinder"})
	}
	out = append(out, edgeLine{0, "crown-tdc", "2 4", 1, "crown's edge at TDC"},
		edgeLine{x, "crown", "", 1.6, "crown's edge " + at + ", " + unit.Fixed(x, 2) + " mm down"})
	if c.RingBelow != nil && c.RingHeight != nil {
		out = append(out, edgeLine{x + *c.RingBelow, "ring", "", 0.8, "top ring " + at})
	}
	out = append(out, edgeLine{c.Crank.ActualStroke(), "crown-bdc", "2 4", 1, "crown's edge at BDC"})
	if c.SkirtIntake != nil {
		out = append(out, edgeLine{x + *c.SkirtIntake, "skirt", "10 3 2 3", 1.4, "skirt's end, intake side, " + at})
	}
	if c.SkirtExhaust != nil && (c.SkirtIntake == nil || *c.SkirtIntake != *c.SkirtExhaust) {
		out = append(out, edgeLine{x + *c.SkirtExhaust, "skirt-exhaust", "10 3 2 3", 1.4, "skirt's end, exhaust side, " + at})
	}
	return out
}

// wall draws the two cut edges of the unrolled bore.
func (m *portMap) wall(mm float64) {
	for _, x := range []float64{mapLeft, mapLeft + mm*m.k} {
		m.mark("wall", "M"+num(x)+" 0V"+num(m.y(m.bottom)), 0.8, "1 3")
	}
}

// lines draws crown, ring, skirt and deck with a letter each, which the key
// explains.
func (m *portMap) lines(atDeg float64) {
	edges := m.edges(atDeg)
	letters := make([]label, 0, len(edges))
	for i, e := range edges {
		y := m.y(e.mm)
		if e.class == "ring" {
			m.mark("ring", "M"+num(mapLeft)+" "+num(y)+"H"+num(mapRight)+"V"+num(y+*m.c.RingHeight*m.k)+"H"+num(mapLeft)+"Z", e.width, "")
		} else {
			m.mark(e.class, "M"+num(mapLeft)+" "+num(y)+"H"+num(mapRight), e.width, e.dash)
		}
		letter := string(rune('A' + i))
		letters = append(letters, label{y: y, lines: []string{letter}})
		m.key = append(m.key, letter+" "+e.text)
	}
	place(letters, m.y(m.bottom))
	for i, l := range letters {
		m.path("M14 "+num(l.y)+"L"+num(mapLeft)+" "+num(m.y(edges[i].mm)), 0.6, "")
		m.text(7, l.y+5, 14, "middle", true, l.lines[0])
		m.low = math.Max(m.low, l.y)
	}
}

// place moves letters apart by the height that each needs, keeping each near
// its line and all of them inside.
func place(ls []label, bottom float64) {
	order := make([]*label, len(ls))
	for i := range ls {
		order[i] = &ls[i]
	}
	for i := 1; i < len(order); i++ {
		for j := i; j > 0 && order[j].y < order[j-1].y; j-- {
			order[j], order[j-1] = order[j-1], order[j]
		}
	}
	above := math.Inf(-1)
	for _, l := range order {
		l.y = math.Max(l.y, above+mapLetter)
		above = l.y
	}
	below := math.Max(bottom+8, mapLetter*float64(len(order)))
	for i := len(order) - 1; i >= 0; i-- {
		order[i].y = math.Min(order[i].y, below-mapLetter)
		below = order[i].y
	}
}

// window draws one window from x on, its cuts, and its number with the cut's
// depth above it (below it where the floor is cut). room is what is free beside
// it.
func (m *portMap) window(i int, x, room float64) {
	p := &m.c.Ports[i]
	roof, _ := p.roof(m.c)
	w := 2 * along(*m.c.Bore, p.Shape.Chord/2) * m.k
	n := float64(max(p.Shape.Count, 1))
	middle := x + (n*w+(n-1)*2*m.k)/2
	for range max(p.Shape.Count, 1) {
		m.outlines(p, x+w/2, roof)
		m.cuts(p, x+w/2, roof, w)
		x += w + 2*m.k
	}
	said := numberOf(i)
	if cut := p.RoofCut + p.FloorCut; cut > 0 {
		if long := said + ": " + unit.Fixed(cut, 2); n*w+(n-1)*2*m.k+room > 9*float64(len(long)) {
			said = long
		}
	}
	y := m.y(roof-p.RoofCut) - 5
	if p.FloorCut > 0 {
		y = m.y(roof+p.Shape.Height+p.FloorCut) + 15
	}
	m.low = math.Max(m.low, y)
	m.text(middle, y, 14, "middle", true, said)
}

// row is what the key says of a window.
func (p *Port) row() string {
	edge := ": roof "
	if p.Skirt {
		edge = ": floor met by the skirt at "
	}
	row := " " + p.Name + edge + unit.Fixed(*p.Travel, 2) + pm(p.TravelU95, 2) + " mm down"
	for i, mm := range [...]float64{p.RoofCut, p.FloorCut, p.WidthCut} {
		if mm > 0 {
			row += [...]string{", raise the roof ", ", lower the floor ", ", widen "}[i] + unit.Fixed(mm, 2) + " mm"
		}
	}
	return row
}

// outlines draws a window's openings with the line of its kind.
func (m *portMap) outlines(p *Port, middle, roof float64) {
	for _, o := range p.Shape.Openings() {
		d := m.outline(p, o, middle, roof, 0)
		switch p.Kind {
		case build.KindExhaust:
			m.mark("window "+p.Kind, d, 2.4, "")
		case build.KindIntake:
			m.mark("window "+p.Kind, d, 1.8, "7 3")
		default:
			m.mark("window "+p.Kind, d, 1.1, "")
			m.mark("inner", m.outline(p, o, middle, roof, 2.4), 1.1, "")
		}
	}
}

// outline is the path round an opening, drawn so many units inside it.
func (m *portMap) outline(p *Port, o [2]float64, middle, roof, inside float64) string {
	const n = 24
	var top, floor []string
	arcs := [2]float64{along(*m.c.Bore, o[0]) * m.k, along(*m.c.Bore, o[1]) * m.k}
	half := math.Max((arcs[1]-arcs[0])/2, 0.01)
	shrink := math.Max(1-inside/half, 0.1)
	for i := range n + 1 {
		// Close together at the ends, where corners are steep.
		f := (1 - math.Cos(math.Pi*float64(i)/n)) / 2
		s := o[0] + f*(o[1]-o[0])
		r, b := p.Shape.Edge(s)
		x := middle + (arcs[0]+arcs[1])/2 + (along(*m.c.Bore, s)*m.k-(arcs[0]+arcs[1])/2)*shrink
		yr, yb := m.y(roof+r), m.y(roof+b)
		if inside > 0 {
			in := math.Min(inside, (yb-yr)/2)
			yr, yb = yr+in, yb-in
		}
		top = append(top, num(x)+" "+num(yr))
		floor = append([]string{num(x) + " " + num(yb)}, floor...)
	}
	return "M" + strings.Join(top, "L") + "L" + strings.Join(floor, "L") + "Z"
}

// cuts hatches the metal that is to come off and draws the line to cut to.
func (m *portMap) cuts(p *Port, middle, roof, w float64) {
	const n = 24
	line := func(class string, shift func(r, b float64) (from, to float64)) {
		var hatch strings.Builder
		var edge []string
		for i := range n + 1 {
			s := p.Shape.Chord * (float64(i)/n - 0.5)
			from, to := shift(p.Shape.Edge(s))
			x := num(middle + along(*m.c.Bore, s)*m.k)
			hatch.WriteString("M" + x + " " + num(m.y(roof+from)) + "V" + num(m.y(roof+to)))
			edge = append(edge, x+" "+num(m.y(roof+to)))
		}
		m.mark("hatch", hatch.String(), 0.7, "")
		m.mark(class, "M"+strings.Join(edge, "L"), 1.6, "4 2")
	}
	if p.RoofCut > 0 {
		line("cut-roof", func(r, _ float64) (float64, float64) { return r, r - p.RoofCut })
	}
	if p.FloorCut > 0 {
		line("cut-floor", func(_, b float64) (float64, float64) { return b, b + p.FloorCut })
	}
	if p.WidthCut > 0 {
		for _, side := range []float64{-1, 1} {
			x := middle + side*(w/2+p.WidthCut/2*m.k)
			m.mark("cut-width", "M"+num(x)+" "+num(m.y(roof))+"V"+num(m.y(roof+p.Shape.Height)), 1.6, "4 2")
		}
	}
}

// numberOf is the number of a window in every picture: its place in the build.
func numberOf(i int) string { return strconv.Itoa(i + 1) }

// windowRows writes the key's rows of the windows by number, then which are
// missing from the map and why.
func (m *portMap) windowRows(placed []int) {
	for i := range m.c.Ports {
		if slices.Contains(placed, i) {
			m.key = append(m.key, numberOf(i)+m.c.Ports[i].row())
		}
	}
	for i := range m.c.Ports {
		p, why := &m.c.Ports[i], "skirt length not known"
		switch {
		case slices.Contains(placed, i):
			continue
		case !p.Crown && !p.Skirt:
			why = "which a valve works"
		case !p.sized():
			why = "size not known"
		case p.Travel == nil:
			why = "opening not known"
		case p.Shape.Chord > *m.c.Bore:
			why = "wider than the bore"
		}
		m.key = append(m.key, "Not drawn: "+p.Name+", "+why)
	}
}

// scale draws the scale bar below the wall and returns where it ends.
func (m *portMap) scale() float64 {
	y := math.Max(m.y(m.bottom)+18, m.low+22)
	m.mark("scale", "M"+num(mapLeft)+" "+num(y)+"h"+num(10*m.k), 3, "")
	m.text(mapLeft+10*m.k+8, y+5, 13, "start", false, "10 mm, both ways")
	return y + 6
}

// rows writes the key from y on and returns where it ends.
func (m *portMap) rows(y float64) float64 {
	y += mapLine
	for _, row := range m.key {
		for j, line := range wrap(row, mapChars) {
			x := 0.0
			if j > 0 {
				x = 14
			}
			m.text(x, y, 13, "start", false, line)
			y += mapLine
		}
	}
	return y
}
