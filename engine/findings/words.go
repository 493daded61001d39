package findings

import (
	"strconv"
	"strings"

	"portwright/engine/build"
	"portwright/engine/unit"
)

// Angle says an angle after TDC in words: the shorter way to TDC.
//
//	102.5 -> "102.5° after TDC", 285 -> "75° before TDC"
func Angle(deg float64) string {
	a := unit.Turn(deg)
	if a > 180 {
		return degrees(360-a) + " before TDC"
	}
	return degrees(a) + " after TDC"
}

// Moment says where an event lies the way the trade says it for its kind of
// window: an intake from TDC, a closing of the others from BDC.
func Moment(kind, event string, deg float64) string {
	a := unit.Turn(deg)
	if kind != build.KindIntake && event == build.Closes && a >= 180 {
		return degrees(a-180) + " after BDC"
	}
	return Angle(a)
}

func degrees(v float64) string { return unit.Plain(v, 1) + "°" }

// degrees writes an angle with a second decimal where the wheel is read that finely.
func (s *state) degrees(v float64) string {
	if s.step < 0.1 {
		return unit.Plain(v, 2) + "°"
	}
	return degrees(v)
}

// doubt writes an uncertainty in degrees as degrees does, rounded up.
func (s *state) doubt(u float64) string {
	if s.step < 0.1 {
		return unit.Up(u, 2) + "°"
	}
	return unit.Up(u, 1) + "°"
}

func millimetres(v float64) string { return unit.Plain(v, 2) + " mm" }

// list joins names as one says them: "a", "a and b", "a, b and c".
func list(names []string) string {
	switch n := len(names); n {
	case 0:
		return ""
	case 1:
		return names[0]
	default:
		return strings.Join(names[:n-1], ", ") + " and " + names[n-1]
	}
}

// capital writes a sentence's first letter large.
func capital(text string) string {
	if text == "" {
		return text
	}
	return strings.ToUpper(text[:1]) + text[1:]
}

// eventName is "exhaust opens".
func (s *state) eventName(e int) string {
	ev := &s.events[e]
	if ev.opens {
		return s.windows[ev.win].doc.Name + " opens"
	}
	return s.windows[ev.win].doc.Name + " closes"
}

// readName is "exhaust opens" for a reading.
func (s *state) readName(i int) string {
	r := &s.reads[i]
	return r.doc.Window + " " + eventWord(r.opens)
}

// turnName is "2nd reading of exhaust opens": which of its event's readings it
// is, struck out ones counted, as they stand on the bench.
func (s *state) turnName(i int) string {
	r, turn := &s.reads[i], 1
	for k := range s.reads[:i] {
		if o := &s.reads[k]; o.win == r.win && o.opens == r.opens {
			turn++
		}
	}
	return ordinal(turn) + " reading of " + s.readName(i)
}

// ordinal is "1st", "2nd", "3rd", "4th", "11th", "21st".
func ordinal(n int) string {
	end := "th"
	if n%100 < 11 || n%100 > 13 {
		switch n % 10 {
		case 1:
			end = "st"
		case 2:
			end = "nd"
		case 3:
			end = "rd"
		}
	}
	return strconv.Itoa(n) + end
}

func eventWord(opens bool) string {
	if opens {
		return build.Opens
	}
	return build.Closes
}

// sureWords puts a share in words.
func sureWords(share float64) string {
	switch {
	case share >= 0.99:
		return ""
	case share >= 0.9:
		return " This is fairly sure."
	}
	return " This is the likeliest cause, not the only one: check before you rely on it."
}
