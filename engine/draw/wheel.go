package draw

import (
	"math"
	"strconv"

	"portwright/engine/build"
	"portwright/engine/unit"
)

const wheelR = 84.0

// Wheel is the timing wheel as the set-up describes it: its numbers round the
// face, the pointer at the top, and the way it turns with the engine. The face
// is drawn with numbers growing clockwise; one that grows the other way round
// reads the same when it turns the other way, and rise or fall is what counts.
func Wheel(w build.Wheel) string {
	rise := w.Numbers != build.NumbersFall
	var c canvas
	c.open([4]float64{-112, -112, 224, 224}, "wheel", "The timing wheel as understood", WheelText(w))
	c.circle(wheelR, 2)
	c.circle(4, 2)
	for a := 0.0; a < 360; a += 10 {
		in, width := wheelR-6, 1.0
		if math.Mod(a, 30) == 0 {
			in, width = wheelR-11, 2
		}
		c.path(spoke(a, in, wheelR), width, "")
	}
	for a := 0.0; a < 360; a += 30 {
		x, y := point(a, wheelR-23)
		c.text(x, y+5, 14, "middle", math.Mod(a, 90) == 0, strconv.Itoa(Mark(w.Numbering, a)))
	}
	c.solid("M" + at(0, wheelR-2) + "L" + at(-4, wheelR+13) + "L" + at(4, wheelR+13) + "Z")
	turnArrow(&c, !rise)
	return c.close()
}

// turnArrow shows the running direction inside the face.
func turnArrow(c *canvas, clockwise bool) {
	const r = 30.0
	if clockwise {
		c.path(arc(-130, 122, r), 3, "")
		c.solid("M" + at(138, r) + "L" + at(118, r+8) + "L" + at(118, r-8) + "Z")
		return
	}
	c.path(arc(-122, 130, r), 3, "")
	c.solid("M" + at(-138, r) + "L" + at(-118, r+8) + "L" + at(-118, r-8) + "Z")
}

// WheelText says in words how the wheel is understood: what the pointer shows
// while the engine turns its running way from TDC.
func WheelText(w build.Wheel) string {
	step := 30.0
	if w.Numbers == build.NumbersFall {
		step = -30
	}
	s := "Turning the running way from 0 the pointer shows "
	for i := 0; i <= 7; i++ {
		if i > 0 {
			s += ", "
		}
		s += strconv.Itoa(Mark(w.Numbering, unit.Turn(step*float64(i))))
	}
	return s + " and so on"
}

// Mark is the number printed on the face at an angle from its zero, measured
// the way the numbers of a 0-360 wheel grow; deg is a whole number.
//
//	0-360       deg
//	0-180-0     deg up to 180, then 360 - deg
//	0-90-0-90   the distance to the nearer of 0 and 180
func Mark(numbering string, deg float64) int {
	d := int(math.Round(unit.Turn(deg))) % 360
	switch numbering {
	case build.Numbering180:
		return min(d, 360-d)
	case build.Numbering90:
		d %= 180
		return min(d, 180-d)
	}
	return d
}
