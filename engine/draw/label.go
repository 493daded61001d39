package draw

import (
	"math"
	"sort"
	"unicode/utf8"

	"portwright/engine/build"
)

// lineGap is from one line of a label to the next.
const lineGap = 15.0

// label is a number with words outside the ring, tied to its angle.
type label struct {
	deg   float64
	lines []string
	y     float64 // of the first line
	lane  int
	was   bool // the second line is the old number
}

// ringLabels writes both ends of each span outside the ring, each side pushed
// apart until no two overlap, with a thin line from the arc to the number.
func ringLabels(c *canvas, spans, before []span, lanes int) {
	var right, left []label
	for _, s := range spans {
		was, known := firstOf(before, func(o span) bool { return o.name == s.name })
		ends := [2]float64{was.opens, was.closes()}
		for i, deg := range [2]float64{s.opens, s.closes()} {
			var old *float64
			if known {
				old = &ends[i]
			}
			l := label{deg: deg, lines: endLines(s, deg, old), lane: s.lane, was: known}
			x, y := point(deg, ringR+8)
			l.y = y
			if x >= 0 {
				right = append(right, l)
			} else {
				left = append(left, l)
			}
		}
	}
	spread(right)
	spread(left)
	for _, l := range right {
		ringLabel(c, l, 1, lanes)
	}
	for _, l := range left {
		ringLabel(c, l, -1, lanes)
	}
}

// endLines are the words of one end: the number, what it was before, the side
// of TDC where it is not plain, the window's kind.
func endLines(s span, deg float64, was *float64) []string {
	say, side := func(a float64) string { return degrees(a) }, []string{shorten(s.kind)}
	if s.kind == build.KindIntake && deg > 180 {
		say, side = func(a float64) string { return degrees(360 - a) }, []string{"before TDC", shorten(s.kind)}
	}
	out := []string{say(deg)}
	if was != nil {
		out = append(out, "was "+say(*was))
	}
	return append(out, side...)
}

// shorten keeps a word inside the room beside the ring.
func shorten(s string) string { return clip(s, 10) }

// clip cuts a text to so many characters.
func clip(s string, most int) string {
	if utf8.RuneCountInString(s) <= most {
		return s
	}
	return string([]rune(s)[:most-1]) + "…"
}

// spread sorts labels by height and moves them apart, keeping all of them
// inside the picture: first downwards, then what stands too low back up.
func spread(ls []label) {
	sort.SliceStable(ls, func(i, j int) bool { return ls[i].y < ls[j].y })
	const top, bottom = -108.0, 136.0
	need := 0.0
	for _, l := range ls {
		need += height(l)
	}
	for i := range ls {
		if l := &ls[i]; l.was && need > bottom-top { // no room: the table has it
			l.lines = append(l.lines[:1:1], l.lines[2:]...)
		}
	}
	for i := range ls {
		ls[i].y = math.Max(ls[i].y, top)
		if i > 0 {
			ls[i].y = math.Max(ls[i].y, ls[i-1].y+height(ls[i-1]))
		}
	}
	below := bottom
	for i := len(ls) - 1; i >= 0; i-- {
		ls[i].y = math.Min(ls[i].y, below-height(ls[i]))
		below = ls[i].y
	}
}

// height is from a label's first line to that of the one under it.
func height(l label) float64 { return lineGap*float64(len(l.lines)) + 5 }

func ringLabel(c *canvas, l label, side float64, lanes int) {
	x := labelX(l.y) * side
	anchor := "start"
	if side < 0 {
		anchor = "end"
	}
	px, py := point(l.deg, ringR)
	c.path(spoke(l.deg, laneRadius(l.lane, lanes)+6, ringR)+"M"+num(px)+" "+num(py)+"L"+num(x-3*side)+" "+num(l.y-5), 0.8, "")
	for i, s := range l.lines {
		size, bold := 15.0, false
		if i == 0 {
			size, bold = 18, true
		}
		c.text(x, l.y+lineGap*float64(i), size, anchor, bold, s)
	}
}

// labelX is how far out a label stands: beside the ring, a little nearer where
// the ring curves away.
func labelX(y float64) float64 {
	r := ringR + 13
	in := r*r - y*y
	if in < 0 {
		in = 0
	}
	return math.Max(70, math.Sqrt(in))
}
