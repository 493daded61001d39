package view

import (
	"math"
	"strconv"

	"portwright/engine/build"
	"portwright/engine/draw"
	"portwright/engine/unit"
	"portwright/wasm/app"
)

// Dial is a small drawing of the wheel in the user's numbering, turned so that
// the value in hand stands under the pointer at the top. All in a square of
// 100 units with its middle at 50, 50.
type Dial struct {
	Turn  string // transform of the ticks
	Arrow string // path data: the way the wheel turns past the pointer
	Marks []DialMark
	Under string // number under the pointer, "" when nothing is typed
}

// DialMark is a number on the face.
type DialMark struct{ X, Y, Text string }

// dialOf turns the face to the typed value, else to the last kept one.
func dialOf(m *app.Model, q app.Question) *Dial {
	wheel := m.Wheel()
	value, err := unit.ParseNumber(m.Bench.Text)
	typed := err == nil && m.Refusal() == ""
	if !typed {
		value = lastKept(m, q)
	}
	face := faceAngle(wheel, q, m.Down(q), m.Bench.Quarter, value)
	d := &Dial{}
	if typed {
		d.Under = m.Bench.Text
	}
	d.Turn = "rotate(" + coord(-face) + " 50 50)"
	for a := 0; a < 360; a += 90 {
		turned := float64(a) - face
		if typed && math.Abs(unit.Signed(turned)) < 45 { // the number under the pointer stands there
			continue
		}
		x, y := dialPoint(turned, 27)
		d.Marks = append(d.Marks, DialMark{X: coord(x), Y: coord(y + 5), Text: strconv.Itoa(draw.Mark(wheel.Numbering, float64(a)))})
	}
	d.Arrow = turnPath(wheel.Numbers == build.NumbersFall)
	return d
}

// faceAngle is where on the face a value stands, in degrees from the face's
// zero the way its numbers grow.
//
//	0-360       the value itself
//	0-180-0     value going down, 360 - value going up
//	0-90-0-90   by its quarter: value, 180 - value, 180 + value, 360 - value
//
// counted from TDC in the running direction, and the other way round on a
// wheel whose numbers fall.
func faceAngle(w build.Wheel, q app.Question, down bool, quarter int, v float64) float64 {
	if q.Stop() {
		down = (q.Near == app.NearTDC) == (q.Way == app.WayBack)
	}
	a := v
	switch {
	case w.Numbering == build.Numbering180 && !down:
		a = 360 - v
	case w.Numbering == build.Numbering90:
		if quarter == 0 {
			quarter = usualQuarter(q, down)
		}
		a = []float64{v, 180 - v, 180 + v, 360 - v}[quarter-1]
	case w.Numbering != build.Numbering180:
		return unit.Turn(v)
	}
	if w.Numbers == build.NumbersFall {
		a = -a
	}
	return unit.Turn(a)
}

// usualQuarter is the quarter of an event when nothing else is said: next to
// TDC for the intake and a stop near TDC, next to BDC for the rest.
func usualQuarter(q app.Question, down bool) int {
	top := q.Kind == build.KindIntake || q.Near == app.NearTDC
	switch {
	case top && down:
		return 1
	case top:
		return 4
	case down:
		return 2
	}
	return 3
}

func lastKept(m *app.Model, q app.Question) float64 {
	if q.Stop() {
		stops := m.Open.Tally.StopsOf(q.When)
		if len(stops) > 0 {
			return stops[len(stops)-1].Value
		}
		return 0
	}
	rs := app.Counted(m.Open.Tally.Of(q.Window, q.Event))
	if len(rs) > 0 {
		return rs[len(rs)-1].Value
	}
	return 0
}

// dialPoint is a point at a radius, a degrees clockwise from the top.
func dialPoint(a, r float64) (x, y float64) {
	s, c := math.Sincos(unit.Rad(a))
	return 50 + r*s, 50 - r*c
}

// coord rounds to a tenth of a unit, which is finer than a pixel.
func coord(v float64) string { return unit.Plain(v, 1) }

// turnPath is an arrow round the middle: with numbers that rise clockwise the
// wheel turns anticlockwise past the pointer.
func turnPath(clockwise bool) string {
	if clockwise {
		return "M43 57A9.9 9.9 0 1 1 57 57M57 57l.6-5.4M57 57l-5.4-.4"
	}
	return "M57 57A9.9 9.9 0 1 0 43 57M43 57l-.6-5.4M43 57l5.4-.4"
}
