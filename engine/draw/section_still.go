package draw

import (
	"math"
	"strconv"

	"portwright/engine/build"
	"portwright/engine/wheel"
)

// drawStill draws cylinder, head, case and the scale bar.
func (s *Section) drawStill(c *canvas) {
	s.drawWall(c, -1)
	s.drawWall(c, 1)
	s.drawHead(c)
	s.drawCase(c)
	l := &s.at
	for i := range s.Windows {
		if w := &s.Windows[i]; w.far {
			for _, x := range w.middles {
				c.grey("hidden", s.outline(w, x, 0), "1 2.5") // seen through the piston
			}
		}
	}
	c.mark("axis", "M"+num(l.x(l.axis))+" "+num(l.depth(l.head)+2)+"V"+num(l.depth(l.bottom)), 0.5, "8 3 2 3")
	if s.length {
		y := sectionHeight - 8.0
		bar := 10.0
		for bar*l.k > 110 {
			bar /= 10
		}
		c.mark("scale", "M"+num(wordsX)+" "+num(y)+"h"+num(bar*l.k), 3, "")
		c.text(wordsX+bar*l.k+6, y+4, 13, "start", false, strconv.FormatFloat(bar, 'f', -1, 64)+" mm")
	}
}

// drawWall draws one side of the cylinder with the window that the cut goes
// through, and its duct.
func (s *Section) drawWall(c *canvas, side float64) {
	l := &s.at
	x0, x1 := s.boreX(side, 0), s.boreX(side, l.wall)
	from := l.deck
	piece := func(to float64) {
		if to <= from {
			return
		}
		c.ink(s.sized, "bore", "M"+num(x0)+" "+num(l.depth(from))+"V"+num(l.depth(to)))
		c.grey("hatch", hatched(math.Min(x0, x1), l.depth(from), math.Max(x0, x1), l.depth(to), 4), "")
		c.grey("wall", "M"+num(x1)+" "+num(l.depth(from))+"V"+num(l.depth(to)), "")
	}
	for i := range s.Windows {
		w := &s.Windows[i]
		if !w.cut || (w.Kind == build.KindExhaust) != (side > 0) {
			continue
		}
		piece(w.roof)
		out := s.boreX(side, l.wall+l.duct)
		edges := "M" + num(x0) + " " + num(l.depth(w.roof)) + "H" + num(x1) + "M" + num(x0) + " " + num(l.depth(w.floor)) + "H" + num(x1)
		c.ink(w.height, "window "+w.Kind, edges)
		c.grey("duct", "M"+num(x1)+" "+num(l.depth(w.roof))+"L"+num(out)+" "+num(l.depth(w.roof)-2)+"M"+num(x1)+" "+num(l.depth(w.floor))+"L"+num(out)+" "+num(l.depth(w.floor)+2), "")
		from = w.floor
	}
	piece(l.bottom)
	known := s.c.Deck != nil && s.length
	c.ink(known, "deck", "M"+num(x0)+" "+num(l.depth(l.deck))+"H"+num(x1))
}

// drawHead draws the squish band and a bowl of no measured shape.
func (s *Section) drawHead(c *canvas) {
	l := &s.at
	band, known := usualBand*s.bore, s.c.Squish != nil && s.length
	if s.c.Band != nil && *s.c.Band > 0 && *s.c.Band < s.bore/2 && s.length {
		band = *s.c.Band
	}
	y := l.depth(l.squish)
	for _, side := range [2]float64{-1, 1} {
		c.ink(known, "squish", "M"+num(s.boreX(side, 0))+" "+num(y)+"H"+num(s.boreX(side, -band)))
	}
	rx, ry := (s.bore/2-band)*l.k, usualBowl*s.bore*l.k
	c.grey("bowl", "M"+num(s.boreX(-1, -band))+" "+num(y)+"A"+num(rx)+" "+num(ry)+" 0 0 1 "+num(s.boreX(1, -band))+" "+num(y), "")
	c.grey("head", "M"+num(s.boreX(-1, l.wall))+" "+num(l.depth(l.deck))+"V"+num(l.depth(l.head))+"H"+num(s.boreX(1, l.wall))+"V"+num(l.depth(l.deck)), "")
}

// drawCase draws the case round the crank, open towards the cylinder, and the
// way in where a valve leads there.
func (s *Section) drawCase(c *canvas) {
	l := &s.at
	in, out := l.inside*l.k, (l.inside+l.wall)*l.k
	for i, side := range [2]float64{-1, 1} {
		c.grey("spigot", "M"+num(s.boreX(side, 0))+" "+num(l.depth(l.bottom))+"V"+num(l.y(l.meet[i])), "")
	}
	angle := func(side float64, i int) float64 { // of where the wall meets the circle, clockwise from the top
		return side * math.Acos(math.Min(l.meet[i]/l.inside, 1)) * 180 / math.Pi
	}
	from, to := angle(1, 1), 360+angle(-1, 0)
	shift := func(deg, r float64) string {
		x, y := point(deg, r)
		return num(l.cx+x) + " " + num(l.cy+y)
	}
	arc := func(r float64) string {
		return "M" + shift(from, r) + "A" + num(r) + " " + num(r) + " 0 1 1 " + shift(to, r)
	}
	c.grey("case", arc(in), "")
	c.grey("case", arc(out), "")
	d := ""
	for a := from; a+4 < to; a += 5 {
		if s.intoCase() && a > 262 && a < 278 {
			continue
		}
		d += "M" + shift(a, in) + "L" + shift(a+4, out)
	}
	c.grey("hatch", d, "")
	if s.intoCase() {
		high := 0.12 * l.inside * l.k
		end := l.x(-l.inside - l.wall - l.duct)
		c.grey("duct", "M"+num(l.x(-l.inside))+" "+num(l.cy-high)+"H"+num(end)+"M"+num(l.x(-l.inside))+" "+num(l.cy+high)+"H"+num(end), "")
	}
}

// drawFlow draws the arrow of a window, and for the intake one that points out,
// shown while it may go either way.
func (s *Section) drawFlow(w *SectionWindow) {
	l := &s.at
	id := "section-flow-" + strconv.Itoa(w.Number)
	y := l.depth(w.roof) + math.Min(5, (w.floor-w.roof)*l.k/2)
	switch {
	case w.cut && w.Kind == build.KindExhaust:
		w.flow = s.group(id, func(c *canvas) {
			from, to := s.boreX(1, -0.2*s.bore), s.boreX(1, l.wall+l.duct)
			c.mark("flow exhaust", "M"+num(from)+" "+num(y)+"H"+num(to-8), 3.4, "")
			c.head(to, y, 0)
		})
	case w.Kind == build.KindIntake:
		low := l.depth(w.floor) - math.Min(5, (w.floor-w.roof)*l.k/2)
		from, to := s.boreX(-1, l.wall+l.duct)+3, s.boreX(-1, -0.07*s.bore)
		if !w.port.Skirt {
			low, from, to = l.cy, l.x(-l.inside-l.wall-l.duct), l.x(-0.6*l.inside)
		}
		if !w.cut && w.port.Skirt {
			from, to = w.middles[0], w.middles[0]+14
		}
		w.flow = s.group(id, func(c *canvas) {
			c.mark("flow intake", "M"+num(from)+" "+num(low)+"H"+num(to-8), 2.6, "6 3")
			c.head(to, low, 0)
		})
		w.back = s.group(id+"-back", func(c *canvas) { c.head(from, low, 180) })
	default:
		w.flow = s.group(id, func(c *canvas) {
			down := l.depth(w.floor)
			lean := -0.5 // of the height: away from the exhaust
			if w.Kind == build.KindExhaust {
				lean = 0.5
			}
			up := down - l.depth(w.roof) + 16
			dx := up * lean
			n := math.Hypot(dx, up)
			for _, x := range w.middles {
				for _, side := range [2]float64{-1.6, 1.6} {
					if w.Kind == build.KindExhaust { // one line
						side = 0
					}
					ox, oy := side*up/n, side*dx/n
					c.mark("flow "+w.Kind, "M"+num(x+ox)+" "+num(down+oy)+"L"+num(x+dx*(1-6/n)+ox)+" "+num(down-up*(1-6/n)+oy), 1.3, "")
				}
				c.head(x+dx, down-up, math.Atan2(-up, dx)*180/math.Pi)
			}
		})
	}
}

// head draws an arrow's head with its tip at a place, pointing so many degrees
// clockwise from the right.
func (c *canvas) head(x, y, deg float64) {
	at := func(along, across float64) string {
		sin, cos := math.Sincos(deg * math.Pi / 180)
		return num(x+along*cos-across*sin) + " " + num(y+along*sin+across*cos)
	}
	c.solid("M" + at(0, 0) + "L" + at(-9, -5) + "L" + at(-9, 5) + "Z")
}

// drawFace draws the wheel round 0, its zero at the top, numbers growing
// clockwise, each upright when it is at the top.
func (s *Section) drawFace(c *canvas) {
	c.circle(faceR, 1.6)
	c.circle(3, 1.6)
	minor, major := "", ""
	for a := 0.0; a < 360; a += 5 {
		switch {
		case math.Mod(a, 30) == 0:
			major += spoke(a, faceR-8, faceR)
		case math.Mod(a, 10) == 0:
			minor += spoke(a, faceR-5, faceR)
		default:
			minor += spoke(a, faceR-2.5, faceR)
		}
	}
	c.path(minor, 0.8, "")
	c.path(major, 1.6, "")
	numbering := string(s.wheel.Numbering)
	if s.wheel.Numbering == "" {
		numbering = string(wheel.To360)
	}
	for a := 0.0; a < 360; a += 30 {
		c.b.WriteString(`<g transform="rotate(` + num(a) + `)">`)
		c.text(0, -faceR+20, 13, "middle", math.Mod(a, 90) == 0, strconv.Itoa(Mark(numbering, a)))
		c.b.WriteString(`</g>`)
	}
}

// drawPointer draws the pointer above the wheel and which way it turns.
func (s *Section) drawPointer(c *canvas) {
	y := wheelY - faceR
	c.solid("M" + num(wheelX) + " " + num(y+3) + "L" + num(wheelX-4.5) + " " + num(y-11) + "L" + num(wheelX+4.5) + " " + num(y-11) + "Z")
	const r = 24.0
	x0, y0 := point(-120, r)
	x1, y1 := point(-120+210, r)
	sweep := "1"
	if s.way < 0 { // the mirror image
		x0, x1, sweep = -x0, -x1, "0"
	}
	c.mark("turns", "M"+num(wheelX+x0)+" "+num(wheelY+y0)+"A"+num(r)+" "+num(r)+" 0 1 "+sweep+" "+num(wheelX+x1)+" "+num(wheelY+y1), 2, "")
	c.head(wheelX+x1, wheelY+y1+7, 90)
	c.text(sectionWidth-2, 185, 13, "end", false, "wheel")
}

// setWords places the texts that change.
func (s *Section) setWords() {
	s.Words = []Words{
		{"section-shows", wordsX, 185, 28, true},
		{"section-deg", wordsX, 209, 20, true},
		{"section-side", wordsX, 224, 13, false},
		{"section-travel", wordsX, 244, 13, false},
		{"section-above", wordsX, 261, 13, false},
		{"section-case", wordsX, 278, 13, false},
	}
}
