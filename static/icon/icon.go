// Package icon is the app's picture: a timing wheel under its pointer, drawn
// from one list of shapes as SVG and as PNG of any size. The files beside this
// source are made by
//
//	go run ./static/icon/gen
package icon

import (
	"fmt"
	"image"
	"image/color"
	"math"
	"strings"
)

// Made names each PNG with its side in pixels and whether it is cut to a
// shape by the phone (maskable: the picture then fills the square and keeps
// inside the middle 80 %, the safe zone of the Web App Manifest).
var Made = []struct {
	Name     string
	Side     int
	Maskable bool
}{
	{"wheel-180.png", 180, true},
	{"wheel-192.png", 192, false},
	{"wheel-512.png", 512, false},
	{"wheel-maskable-512.png", 512, true},
}

// SVGName is the same picture as SVG.
const SVGName = "wheel.svg"

// Colours of the day theme.
var (
	paper = color.NRGBA{0xf4, 0xf0, 0xe6, 0xff}
	sheet = color.NRGBA{0xff, 0xfd, 0xf7, 0xff}
	ink   = color.NRGBA{0x19, 0x17, 0x13, 0xff}
	mark  = color.NRGBA{0x8c, 0x1d, 0x0f, 0xff}
)

// A shape lies in a square of -1..1, y downwards.
type shape struct {
	in   func(x, y float64) bool
	near [4]float64 // left, top, right and bottom: nothing of it lies outside
	svg  string
	fill color.NRGBA
}

func hex(c color.NRGBA) string { return fmt.Sprintf("#%02x%02x%02x", c.R, c.G, c.B) }

// disc is a filled circle round (cx, cy).
func disc(cx, cy, r float64, fill color.NRGBA) shape {
	return shape{
		in:   func(x, y float64) bool { return math.Hypot(x-cx, y-cy) <= r },
		near: [4]float64{cx - r, cy - r, cx + r, cy + r},
		svg:  fmt.Sprintf(`<circle cx="%.4g" cy="%.4g" r="%.4g" fill="%s"/>`, cx, cy, r, hex(fill)),
		fill: fill,
	}
}

// polygon is convex, its corners in clockwise order on the screen.
func polygon(fill color.NRGBA, corner ...[2]float64) shape {
	var path strings.Builder
	near := [4]float64{1, 1, -1, -1}
	for i, c := range corner {
		near = [4]float64{min(near[0], c[0]), min(near[1], c[1]), max(near[2], c[0]), max(near[3], c[1])}
		fmt.Fprintf(&path, "%c%.4g %.4g", "ML"[min(i, 1)], c[0], c[1])
	}
	return shape{
		in: func(x, y float64) bool {
			for i, a := range corner {
				b := corner[(i+1)%len(corner)]
				if (b[0]-a[0])*(y-a[1])-(b[1]-a[1])*(x-a[0]) < 0 {
					return false
				}
			}
			return true
		},
		near: near,
		svg:  fmt.Sprintf(`<path d="%sZ" fill="%s"/>`, path.String(), hex(fill)),
		fill: fill,
	}
}

// tick is a bar on the radius at deg (clockwise from the top), from radius a to b.
func tick(deg, a, b, width float64, fill color.NRGBA) shape {
	s, c := math.Sincos(deg * math.Pi / 180)
	at := func(r, w float64) [2]float64 { return [2]float64{r*s + w*c, -r*c + w*s} }
	h := width / 2
	return polygon(fill, at(a, -h), at(b, -h), at(b, h), at(a, h))
}

// wheel is the picture itself, inside the circle of radius 0.8.
func wheel() []shape {
	out := []shape{disc(0, 0.06, 0.70, ink), disc(0, 0.06, 0.63, sheet)}
	moved := func(s shape) shape {
		in := s.in
		s.in = func(x, y float64) bool { return in(x, y-0.06) }
		s.near[1], s.near[3] = s.near[1]+0.06, s.near[3]+0.06
		s.svg = `<g transform="translate(0 .06)">` + s.svg + `</g>`
		return s
	}
	for deg := 15; deg < 360; deg += 15 { // at the top is the pointer
		from, width := 0.52, 0.030
		if deg%45 == 0 {
			from, width = 0.43, 0.052
		}
		out = append(out, moved(tick(float64(deg), from, 0.64, width, ink)))
	}
	out = append(out,
		disc(0, 0.06, 0.30, ink), disc(0, 0.06, 0.235, sheet), disc(0, 0.06, 0.125, ink),
		// the pointer, standing on the rim
		polygon(mark, [2]float64{-0.15, -0.80}, [2]float64{0.15, -0.80}, [2]float64{0, -0.34}))
	return out
}

// SVG returns the picture on a rounded square.
func SVG() string {
	var b strings.Builder
	b.WriteString(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="-1 -1 2 2" width="512" height="512">`)
	fmt.Fprintf(&b, `<rect x="-1" y="-1" width="2" height="2" rx=".36" fill="%s"/>`, hex(paper))
	for _, s := range wheel() {
		b.WriteString(s.svg)
	}
	b.WriteString("</svg>\n")
	return b.String()
}

// rounded says whether a point lies in the square with corners of radius 0.36.
func rounded(x, y float64) bool {
	const r = 0.36
	dx, dy := max(math.Abs(x)-(1-r), 0), max(math.Abs(y)-(1-r), 0)
	return math.Hypot(dx, dy) <= r
}

// Draw returns the picture with the given side in pixels, each pixel the mean
// of 4 x 4 samples.
func Draw(side int, maskable bool) *image.NRGBA {
	const n = 4
	shapes := wheel()
	img := image.NewNRGBA(image.Rect(0, 0, side, side))
	for py := range side {
		for px := range side {
			var r, g, b, a int
			for s := range n * n {
				x := (float64(px)+(float64(s%n)+0.5)/n)/float64(side)*2 - 1
				y := (float64(py)+(float64(s/n)+0.5)/n)/float64(side)*2 - 1
				if !maskable && !rounded(x, y) {
					continue
				}
				c := at(shapes, x, y)
				r, g, b, a = r+int(c.R), g+int(c.G), b+int(c.B), a+1
			}
			if a > 0 {
				img.SetNRGBA(px, py, color.NRGBA{uint8(r / a), uint8(g / a), uint8(b / a), uint8(a * 255 / (n * n))})
			}
		}
	}
	return img
}

// at is the colour of the topmost shape at a point.
func at(shapes []shape, x, y float64) color.NRGBA {
	for i := len(shapes) - 1; i >= 0; i-- {
		s := &shapes[i]
		if x >= s.near[0] && x <= s.near[2] && y >= s.near[1] && y <= s.near[3] && s.in(x, y) {
			return s.fill
		}
	}
	return paper
}
