package draw

import (
	"math"
	"strconv"
	"strings"

	"portwright/engine/unit"
)

// canvas collects SVG text.
type canvas struct{ b strings.Builder }

// open starts a picture with a name and a longer description, both for people
// who hear it and for those who point at it.
func (c *canvas) open(box [4]float64, class, title, desc string) {
	c.b.WriteString(`<svg xmlns="http://www.w3.org/2000/svg" class="` + class + `" viewBox="` +
		num(box[0]) + " " + num(box[1]) + " " + num(box[2]) + " " + num(box[3]) +
		`" role="img" aria-label="` + Escape(title+". "+desc) + `"><title>` + Escape(title) +
		`</title><desc>` + Escape(desc) + `</desc>`)
}

func (c *canvas) close() string {
	c.b.WriteString(`</svg>`)
	return c.b.String()
}

// path draws ink without filling.
func (c *canvas) path(d string, width float64, dash string) { c.mark("", d, width, dash) }

// mark is path with a class that says what the ink stands for.
func (c *canvas) mark(class, d string, width float64, dash string) {
	c.b.WriteString(`<path`)
	if class != "" {
		c.b.WriteString(` class="` + class + `"`)
	}
	c.b.WriteString(` d="` + d + `" fill="none" stroke="currentColor" stroke-width="` + num(width) + `"`)
	if dash != "" {
		c.b.WriteString(` stroke-dasharray="` + dash + `"`)
	}
	c.b.WriteString(`/>`)
}

// solid fills a closed path.
func (c *canvas) solid(d string) {
	c.b.WriteString(`<path d="` + d + `" fill="currentColor"/>`)
}

func (c *canvas) circle(r, width float64) {
	c.b.WriteString(`<circle r="` + num(r) + `" fill="none" stroke="currentColor" stroke-width="` + num(width) + `"/>`)
}

// text writes one line; anchor is start, middle or end.
func (c *canvas) text(x, y, size float64, anchor string, bold bool, s string) {
	c.b.WriteString(`<text x="` + num(x) + `" y="` + num(y) + `" font-size="` + num(size) + `" text-anchor="` + anchor + `"`)
	if bold {
		c.b.WriteString(` font-weight="700"`)
	}
	c.b.WriteString(` fill="currentColor">` + Escape(s) + `</text>`)
}

// point is the place at crank angle deg (TDC at the top, clockwise) and
// distance r from the centre; y grows downwards as in SVG.
//
//	x = r sin a,  y = -r cos a
func point(deg, r float64) (x, y float64) {
	s, k := math.Sincos(unit.Rad(deg))
	return r * s, -r * k
}

// at writes a point as path coordinates.
func at(deg, r float64) string {
	x, y := point(deg, r)
	return num(x) + " " + num(y)
}

// arc is the path from angle a clockwise to angle b at radius r. A whole turn
// is never drawn: no window is open all the time.
func arc(a, b, r float64) string {
	large := "0"
	if unit.Turn(b-a) > 180 {
		large = "1"
	}
	return "M" + at(a, r) + "A" + num(r) + " " + num(r) + " 0 " + large + " 1 " + at(b, r)
}

// spoke is the path from radius r1 to r2 at one angle.
func spoke(deg, r1, r2 float64) string { return "M" + at(deg, r1) + "L" + at(deg, r2) }

// num writes a coordinate with at most two decimals and no "-0".
func num(v float64) string {
	r := math.Round(v*100) / 100
	if r == 0 {
		return "0"
	}
	return strconv.FormatFloat(r, 'f', -1, 64)
}

// lay writes numbers into a path: each # of the form is the next of them. A
// sentence of additions says the same in several times the code.
func lay(form string, v ...float64) string {
	var b strings.Builder
	for i := range len(form) {
		if form[i] == '#' {
			b.WriteString(num(v[0]))
			v = v[1:]
			continue
		}
		b.WriteByte(form[i])
	}
	return b.String()
}

// degrees writes an angle to a tenth, rounded as everywhere else.
func degrees(v float64) string { return unit.Fixed(v, 1) + "°" }

// Escape makes text safe inside an element or a double-quoted attribute;
// characters that XML forbids are dropped.
func Escape(s string) string {
	var b strings.Builder
	for _, r := range s {
		switch {
		case r == '&':
			b.WriteString("&amp;")
		case r == '<':
			b.WriteString("&lt;")
		case r == '>':
			b.WriteString("&gt;")
		case r == '"':
			b.WriteString("&quot;")
		case r == '\'':
			b.WriteString("&#39;")
		case r == '\t' || r == '\n' || r == '\r':
			b.WriteByte(' ')
		case r < 0x20 || r == 0xfffe || r == 0xffff || r == 0xfffd:
		default:
			b.WriteRune(r)
		}
	}
	return b.String()
}
