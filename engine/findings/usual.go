package findings

import (
	"math"

	"portwright/engine/build"
	"portwright/engine/port"
	"portwright/engine/unit"
)

// usual are durations in degrees, from mopeds to race engines, and those beyond
// which a number is sooner a misread one (common practice, no source).
type usual struct{ least, most, never, ever float64 }

func usualDuration(kind string, symmetric bool) usual {
	switch {
	case kind == build.KindExhaust:
		return usual{110, 206, 90, 230}
	case kind == build.KindIntake && symmetric:
		return usual{90, 200, 60, 240}
	case kind == build.KindIntake:
		return usual{120, 260, 90, 300}
	}
	return usual{80, 150, 50, 175}
}

// Usual returns between which angles after TDC, in degrees, an event of a kind
// of window lies in mopeds and race engines alike; least may be more than 0 and
// most less than 360 only. Not ok where nothing is usual: a rotary or reed
// intake. Source: common practice, none printed.
func Usual(kind, event string, pistonPort bool) (least, most float64, ok bool) {
	if kind == build.KindIntake && !pistonPort {
		return 0, 0, false
	}
	u, around := usualDuration(kind, true), port.AroundBDC
	if kind == build.KindIntake {
		around = port.AroundTDC
	}
	least, most = port.SymmetricOpening(u.most, around), port.SymmetricOpening(u.least, around)
	if event == build.Closes {
		least, most = 360-most, 360-least
	}
	return least, most, true
}

// unusual says of windows that they would be open for longer or shorter than
// any engine known, where nothing else explains it: a digit left out, or a
// number of another window.
func (d *diagnosis) unusual(o outline) {
	s := d.now
	for i := range o {
		long, u := o[i].duration(), usualDuration(o[i].kind, o[i].symmetric)
		if math.IsNaN(long) || long >= u.never && long <= u.ever || o[i].side() > 0 {
			continue
		}
		name := s.windows[i].doc.Name
		d.add(Problem{
			Code: CodeImpossibleOrder, Windows: []string{name}, Title: capital(name) + " would be open for " + s.degrees(long),
			Text: unit.Sprintf("%s would be open for %s; %s to %s is usual (common practice). A digit may be missing or too many, or it was read at another window. Strike it out and read it again.",
				capital(name), s.degrees(long), degrees(u.least), degrees(u.most)),
			Evidence: map[string]float64{"duration_read_deg": long, "usual_least_deg": u.least, "usual_most_deg": u.most},
		})
	}
}
