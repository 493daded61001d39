package port

import "math"

// outline is a shape's edge as depth below the roof's highest point over the
// distance s from the middle, 0 to half the width.
//
//	arch    y = R - sqrt(R^2 - s^2)              to the tangent point
//	corner  y = yc - sqrt(r^2 - (s - sc)^2)      from there to the side
//	floor   y = H - rb + sqrt(rb^2 - (s - sb)^2) in its corner, else H
//
// The corner's circle touches the side and, from within, the arch:
// (R - r)^2 = (R - yc)^2 + sc^2 with sc = w/2 - r.
type outline struct {
	half, height     float64
	arch             float64 // R; 0: flat
	r, sc, yc        float64 // top corner
	meet             float64 // s of the tangent point
	tangent, end     float64 // depths of the tangent point and of the corner's end
	rb, sb, floorTop float64 // bottom corner
}

// flat is the arch, as a share of the width, below which a roof counts as
// flat: its circle would be so large that digits are lost, and the area that
// it makes is below a ten thousandth.
const flat = 1e-4

func (s Shape) outline() outline {
	o := outline{half: s.Chord / 2, height: s.Height, r: s.CornerTop, rb: s.CornerBottom}
	o.sc, o.sb, o.floorTop = o.half-o.r, o.half-o.rb, s.Height-o.rb
	o.meet, o.yc, o.end = o.sc, o.r, o.r
	if s.Arch <= flat*s.Chord {
		return o
	}
	o.arch = (o.half*o.half + s.Arch*s.Arch) / (2 * s.Arch)
	r := math.Min(o.r, o.arch)
	within := o.arch - r // from the arch's centre to the corner's
	o.yc = o.arch - math.Sqrt(math.Max((within-o.sc)*(within+o.sc), 0))
	o.end = o.yc
	if within > 0 {
		o.meet = o.sc * o.arch / within
	}
	o.tangent = o.archAt(o.meet)
	return o
}

func (o *outline) archAt(s float64) float64 {
	if o.arch == 0 {
		return 0
	}
	return s * s / (o.arch + math.Sqrt(math.Max((o.arch-s)*(o.arch+s), 0)))
}

// roof returns the roof's depth at s, 0 <= s <= half.
func (o *outline) roof(s float64) float64 {
	if s <= o.meet {
		return o.archAt(s)
	}
	return o.yc - root(o.r, s-o.sc)
}

// root is sqrt(r^2 - x^2), 0 beyond the circle.
func root(r, x float64) float64 { return math.Sqrt(math.Max((r-x)*(r+x), 0)) }

// halfWidth returns how far from the middle the roof lies above a depth u.
func (o *outline) halfWidth(u float64) float64 {
	switch {
	case u >= o.end:
		return o.half
	case u <= o.tangent:
		return root(o.arch, o.arch-u)
	}
	return o.sc + root(o.r, o.yc-u)
}

// integral returns the open area over 0 to s, s at most halfWidth(u).
func (o *outline) integral(s, u float64) float64 {
	return o.under(s, u) - o.above(s)
}

// signed is integral for s on either side of the middle.
func (o *outline) signed(s, u float64) float64 {
	if s < 0 {
		return -o.integral(-s, u)
	}
	return o.integral(s, u)
}

// under returns the integral of min(u, floor) over 0 to s.
func (o *outline) under(s, u float64) float64 {
	if u <= o.floorTop {
		return u * s
	}
	edge := o.sb + root(o.rb, u-o.floorTop) // beyond it the floor's corner is higher than u
	if s <= edge {
		return u * s
	}
	return u*edge + o.floorTop*(s-edge) + circle(o.rb, s-o.sb) - circle(o.rb, edge-o.sb)
}

// above returns the integral of the roof over 0 to s.
func (o *outline) above(s float64) float64 {
	a := math.Min(s, o.meet)
	sum := o.archArea(a)
	if s > o.meet {
		sum += o.yc*(s-o.meet) - circle(o.r, s-o.sc) + circle(o.r, o.meet-o.sc)
	}
	return sum
}

// archArea returns the area above an arch from its middle to s.
//
//	R^2 (sin p - sin(p) cos(p)/2 - p/2), p = asin(s/R)
//
// as a series where the terms would cancel.
func (o *outline) archArea(s float64) float64 {
	if o.arch == 0 {
		return 0
	}
	p := math.Asin(math.Min(s/o.arch, 1))
	if p < 0.05 {
		p2 := p * p
		return o.arch * o.arch * p * p2 * (1.0/6 - p2*(7.0/120-p2*31/5040))
	}
	sin, cos := math.Sincos(p)
	return o.arch * o.arch * (sin - sin*cos/2 - p/2)
}

// circle returns the integral of sqrt(r^2 - x^2) from 0 to x.
func circle(r, x float64) float64 {
	if r == 0 {
		return 0
	}
	x = math.Min(math.Max(x, -r), r)
	return (x*root(r, x) + r*r*math.Asin(x/r)) / 2
}

// Edge returns the depths below the roof's highest point, in mm, at which the
// opening begins and ends at a distance in mm from its middle, to either side
// as far as half the chord.
func (s Shape) Edge(from float64) (roof, floor float64) {
	o := s.outline()
	at := math.Min(math.Abs(from), o.half)
	if floor = o.height; at > o.sb {
		floor = o.floorTop + root(o.rb, at-o.sb)
	}
	return o.roof(at), floor
}

// Openings returns the stretches of the chord between bridges, each from and
// to in mm from the middle.
func (s Shape) Openings() [][2]float64 {
	out := make([][2]float64, 0, s.Bridges+1)
	from := -s.Chord / 2
	for i := range s.Bridges {
		out = append(out, [2]float64{from, s.bridgeAt(i) - s.BridgeWidth/2})
		from = s.bridgeAt(i) + s.BridgeWidth/2
	}
	return append(out, [2]float64{from, s.Chord / 2})
}
