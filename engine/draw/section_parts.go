package draw

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"portwright/engine/build"
)

// Lines of the section: what was measured, what is usual, and what could have
// been measured and was not.
const (
	inkWidth  = 2.2
	greyWidth = 0.9
	greyInk   = ` stroke-opacity="0.62"`
	unknown   = "3 2.5"
)

// ink draws a measured line, or the same dashed and grey where it is not known.
func (c *canvas) ink(known bool, class, d string) {
	if known {
		c.mark(class, d, inkWidth, "")
		return
	}
	c.grey(class+" usual", d, unknown)
}

// grey draws what is not measured.
func (c *canvas) grey(class, d, dash string) {
	c.b.WriteString(`<path class="` + class + `" d="` + d + `" fill="none" stroke="currentColor" stroke-width="` + num(greyWidth) + `"` + greyInk)
	if dash != "" {
		c.b.WriteString(` stroke-dasharray="` + dash + `"`)
	}
	c.b.WriteString(`/>`)
}

// round draws a circle that is not measured, its middle straight below 0.
func (c *canvas) round(class string, y, r float64) {
	c.b.WriteString(lay(`<circle class="`+class+`" cx="0" cy="#" r="#" fill="none" stroke="currentColor" stroke-width="#"`+greyInk+`/>`, y, r, greyWidth))
}

// paper hides what lies behind a closed path.
func (c *canvas) paper(d string) {
	c.b.WriteString(`<path class="paper" d="` + d + `" fill="white"/>`)
}

// group adds what draw draws as a part and returns its place.
//
//go:noinline
func (s *Section) group(id string, draw func(c *canvas)) int {
	var c canvas
	draw(&c)
	s.Parts = append(s.Parts, Part{ID: id, SVG: c.b.String()})
	return len(s.Parts) - 1
}

// setParts draws everything, from back to front.
func (s *Section) setParts() {
	l := &s.at
	s.choose()
	l.blowdown = s.group("section-blowdown", s.drawBlowdown)
	s.group("", s.drawFarWall)
	l.piston = s.group("section-piston", s.drawPiston)
	l.crank = s.group("section-crank", s.drawCrank)
	l.rod = s.group("section-rod", s.drawRod)
	s.group("", s.drawStill)
	for i := range s.Windows {
		if w := &s.Windows[i]; w.Drawn {
			s.drawFlow(w)
		}
	}
	s.group("", s.drawNumbers)
	l.wheel = s.group("section-wheel", s.drawFace)
	s.group("", s.drawPointer)
	s.setWords()
}

// choose finds the windows that the cut goes through: the exhaust and the
// piston-port intake that stand open longest.
func (s *Section) choose() {
	best := map[bool]*SectionWindow{}
	for i := range s.Windows {
		w := &s.Windows[i]
		intake := w.Kind == build.KindIntake && w.port.Skirt
		if !w.Drawn || w.Kind != build.KindExhaust && !intake {
			continue
		}
		if b := best[intake]; b == nil || w.open > b.open {
			best[intake] = w
		}
	}
	for _, w := range best {
		w.cut = true
	}
}

// rect is the path round a rectangle.
func rect(x0, y0, x1, y1 float64) string {
	return lay("M# #H#V#H#Z", x0, y0, x1, y1, x0)
}

// hatched fills a rectangle with lines that rise to the right.
func hatched(x0, y0, x1, y1, step float64) string {
	var b strings.Builder
	for c := math.Ceil((x0+y0)/step) * step; c < x1+y1; c += step { // x + y = c
		xa, xb := math.Max(x0, c-y1), math.Min(x1, c-y0)
		if xb > xa {
			b.WriteString(lay("M# #L# #", xa, c-xa, xb, c-xb))
		}
	}
	return b.String()
}

// drawBlowdown hatches what lies above the piston; the piston covers the rest.
func (s *Section) drawBlowdown(c *canvas) {
	l := &s.at
	c.mark("blowdown", hatched(s.boreX(-1, 0), l.depth(math.Min(l.squish, 0)), s.boreX(1, 0), l.depth(s.m.ActualStroke()), 5), 0.8, "")
}

// drawFarWall draws the windows that the cut does not go through, side by side
// in their order, narrower where they would not fit.
func (s *Section) drawFarWall(c *canvas) {
	l := &s.at
	var far []*SectionWindow
	sum := 0.0
	for _, i := range s.c.order() {
		w := &s.Windows[i]
		if w.Drawn && !w.cut && (w.port.Crown || w.port.Skirt) {
			far = append(far, w)
			sum += float64(max(w.port.Shape.Count, 1)) * (w.port.Shape.Chord + 1)
		}
	}
	shrink := math.Min(1, 0.94*s.bore/sum)
	gap := (s.bore - sum*shrink) / float64(len(far)+1)
	x := l.axis - s.bore/2 + gap
	for _, w := range far {
		one := (w.port.Shape.Chord + 1) * shrink
		w.wideU = w.port.Shape.Chord * shrink * l.k
		for range max(w.port.Shape.Count, 1) {
			w.middles = append(w.middles, l.x(x+one/2))
			x += one
		}
		x += gap
		w.far = true
		for _, at := range w.middles {
			s.farWindow(c, w, at)
		}
	}
}

// outline is the path round one opening of the far wall, its middle at x, drawn
// so many units inside it.
func (s *Section) outline(w *SectionWindow, x, inside float64) string {
	const n = 16
	var top, floor []string
	for i := range n + 1 {
		f := -math.Cos(math.Pi*float64(i)/n) / 2 // -0.5 to 0.5, close together at the ends
		r, b := w.port.Shape.Edge(f * w.port.Shape.Chord)
		yr, yb := s.at.depth(w.roof+r)+inside, s.at.depth(w.roof+b)-inside
		if yr > yb {
			yr, yb = (yr+yb)/2, (yr+yb)/2
		}
		at := num(x + f*math.Max(w.wideU-2*inside, 1))
		top = append(top, at+" "+num(yr))
		floor = append(floor, at+" "+num(yb))
	}
	slices.Reverse(floor)
	return "M" + strings.Join(top, "L") + "L" + strings.Join(floor, "L") + "Z"
}

// farWindow draws one opening of the far wall with the line of its kind.
func (s *Section) farWindow(c *canvas, w *SectionWindow, x float64) {
	d := s.outline(w, x, 0)
	switch {
	case !w.height:
		c.grey("window "+w.Kind+" usual", d, unknown)
	case w.Kind == build.KindIntake:
		c.mark("window "+w.Kind, d, 1.4, "7 3")
	case w.Kind == build.KindExhaust:
		c.mark("window "+w.Kind, d, 1.8, "")
	default:
		c.mark("window "+w.Kind, d, 1.1, "")
		c.mark("inner", s.outline(w, x, 2.2), 0.9, "")
	}
}

// drawPiston draws the piston, its crown's edge at 0 and the pin below it.
func (s *Section) drawPiston(c *canvas) {
	k, half := s.at.k, s.bore/2*s.at.k
	left, knownL := s.skirt(true)
	right, knownR := s.skirt(false)
	left, right = left*k, right*k
	crown, thick := usualCrown*s.bore*k, usualInside*s.bore*k
	c.paper(lay("M# 0H#V#L# #Z", -half, half, right, -half, left))
	c.grey("hatch", hatched(-half, 0, half, crown, 4)+hatched(-half, crown, -half+thick, left, 4)+hatched(half-thick, crown, half, right, 4), "")
	c.grey("inside", lay("M# #V#H#V#", -half+thick, left, crown, half-thick, right), "")
	c.ink(s.sized, "crown", lay("M# 0H#", -half, half))
	c.ink(knownL, "skirt-intake", lay("M# 0V#h#", -half, left, thick))
	c.ink(knownR, "skirt-exhaust", lay("M# 0V#h#", half, right, -thick))
	if a, h := s.c.RingBelow, s.c.RingHeight; a != nil && h != nil && s.length {
		for _, side := range [2]float64{-1, 1} {
			c.solid(rect(side*half, *a*k, side*(half-0.8*thick), (*a+*h)*k))
		}
	}
	// The gudgeon pin is at the rod's end; it hides nothing.
	c.round("gudgeon", s.pinDown()*k, usualGudgeon*s.bore*k)
}

// drawCrank draws web, shaft and crank pin, the pin straight up.
func (s *Section) drawCrank(c *canvas) {
	k := s.at.k
	r, web := s.m.Stroke()/2*k, s.at.web*k
	c.round("web", 0, web)
	// The counterweight fills the web on the side away from the pin.
	c.grey("hatch", arc(105, 255, web*0.93)+"L"+at(240, web*0.45)+lay("A# # 0 0 0 ", web*0.45, web*0.45)+at(120, web*0.45)+"Z", "")
	c.round("shaft", 0, r*0.42)
	c.ink(s.length, "throw", "M0 0V"+num(-r))
	c.b.WriteString(`<circle class="crankpin" cx="0" cy="` + num(-r) + `" r="3.2" fill="currentColor"/>`)
}

// drawRod draws the rod from the crank pin at 0 straight up.
func (s *Section) drawRod(c *canvas) {
	k := s.at.k
	long, big, small := s.m.Rod()*k, s.m.Stroke()*0.2*k, usualGudgeon*s.bore*1.35*k
	c.paper(lay("M# #L# #H#L# #Z", -big*0.6, -big, -small*0.7, small-long, small*0.7, big*0.6, -big))
	d := lay("M# #L# #M# #L# #", -big*0.6, -big*0.8, -small*0.7, small*0.7-long, big*0.6, -big*0.8, small*0.7, small*0.7-long)
	dash := unknown
	if s.rod() {
		dash = ""
	}
	c.grey("shank", d, dash)
	c.round("eye", 0, big)
	c.round("eye", -long, small)
	c.ink(s.rod(), "rod", "M0 0V"+num(-long))
	c.solid(lay("M-2.2 #A2.2 2.2 0 0 1 2.2 #A2.2 2.2 0 0 1 -2.2 #Z", -long, -long, -long))
}

// drawNumbers writes each window's number where it stands, in a circle.
func (s *Section) drawNumbers(c *canvas) {
	l := &s.at
	var taken [][2]float64
	for i := range s.Windows {
		w := &s.Windows[i]
		if !w.Drawn {
			continue
		}
		x, y := l.x(-l.inside-l.wall-l.duct)-balloon-1, l.cy
		switch {
		case w.cut && w.Kind == build.KindExhaust:
			x, y = s.boreX(1, l.wall+l.duct)+balloon+1, l.depth((w.roof+w.floor)/2)
		case w.cut:
			x, y = s.boreX(-1, l.wall+l.duct)-balloon-1, l.depth((w.roof+w.floor)/2)
		case w.far: // under the window, below the crown's metal at BDC
			x, y = w.middles[0], l.depth(w.floor)+usualCrown*s.bore*l.k+balloon+2
		}
		y = math.Min(math.Max(y, balloon+1), sectionHeight-balloon-1)
		row := 2*balloon + 1
		if y > sectionHeight/2 {
			row = -row
		}
		for j := 0; j < len(taken); j++ { // one row on until it is free
			if math.Hypot(x-taken[j][0], y-taken[j][1]) < 2*balloon+1 {
				y, j = y+row, -1
			}
		}
		taken = append(taken, [2]float64{x, y})
		c.b.WriteString(lay(`<circle class="paper balloon" cx="#" cy="#" r="#" fill="white" stroke="currentColor" stroke-width="0.9"/>`, x, y, balloon))
		c.text(x, y+4.3, 12, "middle", true, strconv.Itoa(w.Number))
	}
}
