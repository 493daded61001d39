package draw

// Pictures of how a question at the bench is answered: no engine's numbers, only
// which edge meets which.

// HowStop shows the wheel with its two readings against the stop, the dead
// centre in their middle, and the piston held by the stop.
func HowStop() string {
	var c canvas
	c.open([4]float64{0, -8, 130, 104}, "how", "The stop check", "The stop holds the piston short of the dead centre; one reading from each side of it, and the dead centre lies in their middle")
	c.bore(82, 122, 6, 90)
	c.path("M86 44H118V84H86Z", 2, "")
	c.path("M102 0V44M96 6H108M96 14H108", 3, "")
	c.b.WriteString(`<g transform="translate(36 56)">`)
	c.circle(30, 2)
	c.circle(2, 2)
	c.path(spoke(-24, 8, 30)+spoke(24, 8, 30), 2, "")
	c.path(arc(-24, 24, 20), 2, "")
	c.path(spoke(0, 14, 34), 2, "4 3")
	c.text(-16, -34, 13, "end", true, "1")
	c.text(16, -34, 13, "start", true, "2")
	c.text(0, -49, 13, "middle", true, "dead centre")
	c.b.WriteString(`</g>`)
	return c.close()
}

// HowEdge shows which edge of the piston meets which edge of the window, and the
// way it goes: the crown at the roof, of a piston-port intake the skirt at the
// floor.
func HowEdge(skirt, down bool) string {
	var c canvas
	edge, y, top := "crown at the roof", 46.0, 46.0
	if skirt {
		edge, y, top = "skirt at the floor", 78, 26
	}
	way := "up"
	if down {
		way = "down"
	}
	c.open([4]float64{0, 0, 130, 96}, "how", "Which edge counts", "The "+edge+" of the window, piston going "+way)
	c.windowed(skirt)
	c.path(lay("M34 #H86V#H34Z", top, top+52), 2, "")
	c.path(lay("M24 #H106", y), 2, "4 3")
	c.text(128, y-4, 13, "end", true, edge[:5])
	c.way(60, top+26, down)
	return c.close()
}

// HowDepth shows the gauge from the cylinder's top face to the edge.
func HowDepth(skirt bool) string {
	var c canvas
	edge, y := "roof", 46.0
	if skirt {
		edge, y = "floor", 78
	}
	c.open([4]float64{0, 0, 130, 96}, "how", "Where the depth is measured", "From the cylinder's top face down to the "+edge+" of the window")
	c.windowed(skirt)
	c.path(lay("M24 6H106M24 #H106", y), 2, "4 3")
	c.path(lay("M60 8V#", y-2), 2, "")
	c.solid("M60 6L56 16H64Z")
	c.solid(lay("M60 #L56 #H64Z", y, y-10))
	c.text(128, y-4, 13, "end", true, edge)
	return c.close()
}

// bore draws the walls of a cylinder without a window.
func (c *canvas) bore(left, right, top, bottom float64) {
	c.path(lay("M# #V#M# #V#", left, top, bottom, right, top, bottom), 4, "")
}

// windowed draws a cylinder with a window in its wall: on the right from y 46 to
// 70, or on the left from 54 to 78 for an intake.
func (c *canvas) windowed(intake bool) {
	if intake {
		c.path("M30 6V54M30 78V92M90 6V92M30 54H18M30 78H18", 4, "")
		return
	}
	c.path("M30 6V92M90 6V46M90 70V92M90 46H104M90 70H104", 4, "")
}

// way is an arrow with its middle at x, y.
func (c *canvas) way(x, y float64, down bool) {
	if !down {
		c.path(lay("M# #V#", x, y+14, y-6), 4, "")
		c.solid(lay("M# #L# #H#Z", x, y-16, x-7, y-4, x+7))
		return
	}
	c.path(lay("M# #V#", x, y-14, y+6), 4, "")
	c.solid(lay("M# #L# #H#Z", x, y+16, x-7, y+4, x+7))
}
