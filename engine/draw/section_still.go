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
				c.grey("hidden", s.outline(w, x, 0), "1 2.5")                  // seen through the piston
				if w.Kind == build.KindTransfer || w.Kind == build.KindBoost { // the duct up from the case
					half := 0.36 * w.wideU
					c.grey("hidden duct", lay("M# #V#M# #V#", x-half, l.depth(w.floor), l.depth(l.bottom), x+half, l.depth(w.floor), l.depth(l.bottom)), "1 2.5")
				}
			}
		}
	}
	c.mark("axis", lay("M# #V#", l.x(l.axis), l.depth(l.head)+2, l.depth(l.bottom)), 0.5, "8 3 2 3")
	if s.length {
		y := sectionHeight - 8.0
		bar := 10.0
		for bar*l.k > 110 {
			bar /= 10
		}
		c.mark("scale", lay("M# #h#", wordsX, y, bar*l.k), 3, "")
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
		c.ink(s.sized, "bore", lay("M# #V#", x0, l.depth(from), l.depth(to)))
		c.grey("hatch", hatched(math.Min(x0, x1), l.depth(from), math.Max(x0, x1), l.depth(to), 4), "")
		c.grey("wall", lay("M# #V#", x1, l.depth(from), l.depth(to)), "")
	}
	for i := range s.Windows {
		w := &s.Windows[i]
		if !w.cut || (w.Kind == build.KindExhaust) != (side > 0) {
			continue
		}
		piece(w.roof)
		out := s.boreX(side, l.wall+l.duct)
		edges := lay("M# #H#M# #H#", x0, l.depth(w.roof), x1, x0, l.depth(w.floor), x1)
		c.ink(w.height, "window "+w.Kind, edges)
		c.grey("duct", lay("M# #L# #M# #L# #", x1, l.depth(w.roof), out, l.depth(w.roof)-2, x1, l.depth(w.floor), out, l.depth(w.floor)+2), "")
		from = w.floor
	}
	piece(l.bottom)
	known := s.c.Deck != nil && s.length
	c.ink(known, "deck", lay("M# #H#", x0, l.depth(l.deck), x1))
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
		c.ink(known, "squish", lay("M# #H#", s.boreX(side, 0), y, s.boreX(side, -band)))
	}
	rx, ry := (s.bore/2-band)*l.k, usualBowl*s.bore*l.k
	c.grey("bowl", lay("M# #A# # 0 0 1 # #", s.boreX(-1, -band), y, rx, ry, s.boreX(1, -band), y), "")
	c.grey("head", lay("M# #V#H#V#", s.boreX(-1, l.wall), l.depth(l.deck), l.depth(l.head), s.boreX(1, l.wall), l.depth(l.deck)), "")
}

// drawCase draws the case round the crank, open towards the cylinder, and the
// way in where a valve leads there.
func (s *Section) drawCase(c *canvas) {
	l := &s.at
	in, out := l.inside*l.k, (l.inside+l.wall)*l.k
	for i, side := range [2]float64{-1, 1} {
		c.grey("spigot", lay("M# #V#", s.boreX(side, 0), l.depth(l.bottom), l.y(l.meet[i])), "")
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
		c.grey("duct", lay("M# #H#M# #H#", l.x(-l.inside), l.cy-high, end, l.x(-l.inside), l.cy+high, end), "")
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
			c.mark("flow exhaust", lay("M# #H#", from, y, to-8), 3.4, "")
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
			c.mark("flow intake", lay("M# #H#", from, low, to-8), 2.6, "6 3")
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
					c.mark("flow "+w.Kind, lay("M# #L# #", x+ox, down+oy, x+dx*(1-6/n)+ox, down-up*(1-6/n)+oy), 1.3, "")
				}
				c.head(x+dx, down-up, math.Atan2(-up, dx)*180/math.Pi)
				if w.Kind != build.KindExhaust && l.bottom > w.floor { // up the duct, from the case
					c.mark("flow "+w.Kind, lay("M# #V#M# #V#", x-1.6, l.depth(l.bottom), down, x+1.6, l.depth(l.bottom), down), 1.3, "")
				}
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
	c.solid(lay("M# #L# #L# #Z", wheelX, y+3, wheelX-4.5, y-11, wheelX+4.5, y-11))
	const r = 24.0
	x0, y0 := point(-120, r)
	x1, y1 := point(-120+210, r)
	sweep := 1.0
	if s.way < 0 { // the mirror image
		x0, x1, sweep = -x0, -x1, 0
	}
	c.mark("turns", lay("M# #A# # 0 1 # # #", wheelX+x0, wheelY+y0, r, r, sweep, wheelX+x1, wheelY+y1), 2, "")
	c.head(wheelX+x1, wheelY+y1+7, 90)
	c.text(wordsX, 198, 13, "start", false, "on the wheel")
}

// setWords places the texts that change.
func (s *Section) setWords() {
	s.Words = []Words{
		{wordsX, 180, 28, true},
		{wordsX, 222, 20, true},
		{wordsX, 236, 13, false},
		{wordsX, 253, 13, false},
		{wordsX, 268, 13, false},
		{wordsX, 283, 13, false},
	}
}
