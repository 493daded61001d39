package findings

import (
	"math"

	"portwright/engine/build"
	"portwright/engine/port"
	"portwright/engine/unit"
)

// rereadProblem says how numbers were probably meant.
func (s *state) rereadProblem(r *reread, rivals []*reread) Problem {
	p := Problem{Remedy: r.remedy, Evidence: s.turnEvidence(r), Windows: s.turnedNames(r)}
	if r.remedy != nil {
		p.Readings = r.remedy.Readings
	}
	switch r.what {
	case otherWay:
		p.Code, p.Title = CodeReversed, "The numbers run the other way"
		p.Text = "As the wheel is set up " + s.complaint() + " With its numbers " + s.otherRun() + " as the engine turns its running way, " + s.turnWords(r) + "."
		if s.zero != nil && s.zero.Swapped > 0 {
			p.Text += " The two readings against the stop stand in that order too."
		}
		p.Action = "Count the numbers the other way"
	case otherDead:
		p.Code, p.Title = CodeZeroError, "Everything is half a turn out"
		p.Text = "As read " + s.complaint() + " Taken from the other dead centre " + s.turnWords(r) + ": the stop, or the zero, was at the dead centre that was not named."
		p.Evidence["zero_off_deg"] = 180
		p.Action = "Count from the other dead centre"
	case numbered:
		p.Code, p.Title = CodeWrongSide, "The wheel is numbered another way"
		p.Text = "On a wheel numbered " + string(s.wheel.Numbering) + " " + s.complaint() + " On one numbered " + r.remedy.Field + " " + s.turnWords(r) + "."
		p.Action = "Take the wheel as " + r.remedy.Field
	case exchanged:
		p.Code, p.Title = CodeImpossibleOrder, "Opening and closing changed places"
		p.Text = capital(s.complaint()) + " With opening and closing exchanged " + s.turnWords(r) + "."
		p.Action = "Exchange opening and closing"
	case misnamed:
		p.Code, p.Title, p.Windows = CodeImpossibleOrder, "Exhaust and transfer changed places?", s.namesOf(build.KindExhaust, build.KindTransfer)
		p.Text = capital(s.complaint()) + " With the readings of exhaust and transfer exchanged all is in order: look under which window they were kept."
	default:
		p.Code, p.Title = CodeWrongSide, "Read from the wrong side of the wheel"
		p.Text = capital(s.complaint()) + " " + s.sideWords(r) + " " + s.turnWords(r) + "."
		p.Action = "Take it from the other side"
	}
	for _, o := range rivals {
		p.Text += " It could also be that " + s.turnWords(o) + "."
	}
	if len(rivals) > 0 {
		p.Text += " One of these readings again, with the piston's direction watched, settles it."
	}
	return p
}

func (s *state) otherRun() string {
	if s.wheel.Falls {
		return "rising"
	}
	return "falling"
}

// sideWords says from where the numbers are taken anew.
func (s *state) sideWords(r *reread) string {
	switch r.what {
	case acrossTDC:
		return "Taken on the other stroke, as far from TDC,"
	case halfTurned:
		return "Counted from the other dead centre"
	}
	return "Counted from the other side of the wheel, its 180 mark as 0,"
}

// turnedNames lists the windows that a rereading changes.
func (s *state) turnedNames(r *reread) []string {
	var out []string
	base := s.outline()
	for i := range base {
		if differ(base[i].o, r.out[i].o) || differ(base[i].c, r.out[i].c) {
			out = append(out, s.windows[i].doc.Name)
		}
	}
	return out
}

func (s *state) namesOf(kinds ...string) []string {
	var out []string
	for i := range s.windows {
		for _, k := range kinds {
			if s.windows[i].doc.Kind == k && (s.windows[i].o >= 0 || s.windows[i].c >= 0) {
				out = append(out, s.windows[i].doc.Name)
			}
		}
	}
	return out
}

// turnWords says where the first window that a rereading changes then lies, and
// what it does to duration and blowdown.
func (s *state) turnWords(r *reread) string {
	base := s.outline()
	for i := range base {
		was, is := &base[i], &r.out[i]
		name, kind := s.windows[i].doc.Name, s.windows[i].doc.Kind
		var text string
		switch {
		case differ(was.o, is.o):
			text = name + " opens " + Moment(kind, build.Opens, is.o) + ", not " + Moment(kind, build.Opens, was.o)
		case differ(was.c, is.c):
			text = name + " closes " + Moment(kind, build.Closes, is.c) + ", not " + Moment(kind, build.Closes, was.c)
		default:
			continue
		}
		if d, e := was.duration(), is.duration(); !math.IsNaN(d) && !math.IsNaN(e) && differ(d, e) {
			text += unit.Sprintf(": %s of duration in place of %s", degrees(e), degrees(d))
		}
		if b, c := blow(base), blow(r.out); !math.IsNaN(c) && differ(b, c) {
			text += ", blowdown " + degrees(c)
		}
		return text
	}
	return "all is in order"
}

func blow(o outline) float64 { return port.Blowdown(o.first(true), o.first(false)) }

// turnEvidence gives the first changed event as read and as taken anew.
func (s *state) turnEvidence(r *reread) map[string]float64 {
	e := map[string]float64{}
	base := s.outline()
	for i := range base {
		was, is := &base[i], &r.out[i]
		if !differ(was.o, is.o) && !differ(was.c, is.c) {
			continue
		}
		if differ(was.o, is.o) {
			e["read_deg"], e["other_deg"] = was.o, is.o
		} else {
			e["read_deg"], e["other_deg"] = was.c, is.c
		}
		e["duration_read_deg"], e["duration_other_deg"] = was.duration(), is.duration()
		break
	}
	e["blowdown_read_deg"], e["blowdown_other_deg"] = blow(base), blow(r.out)
	return e
}

// complaint says what is wrong with the numbers as read: the first thing, the
// hardest first.
func (s *state) complaint() string {
	o := s.outline()
	for i := range o {
		w, name := &o[i], s.windows[i].doc.Name
		if w.side() == 0 {
			continue
		}
		going := "going down"
		if w.around == port.AroundTDC {
			going = "coming up"
		}
		if !math.IsNaN(w.o) && (w.o < 180) != (w.around == port.AroundBDC) {
			return unit.Sprintf("%s would open %s, but the piston opens it %s.", name, Angle(w.o), going)
		}
		return unit.Sprintf("%s would close %s, on the stroke on which it opens.", name, Angle(w.c))
	}
	if o.order() > 0 {
		return s.orderComplaint(o)
	}
	if text := s.pairComplaint(o); text != "" {
		return text
	}
	if b := blow(o); o.blowdownOdd() >= softCost {
		return unit.Sprintf("blowdown would be %s, which hardly any engine has.", degrees(b))
	}
	for i := range o {
		if o[i].odd() > 0 {
			return unit.Sprintf("%s would be open for %s, which is hardly ever found.", s.windows[i].doc.Name, degrees(o[i].duration()))
		}
	}
	return "the numbers are unusual."
}

// orderComplaint names the window that opens before the exhaust, or closes
// after it.
func (s *state) orderComplaint(o outline) string {
	for i := range o {
		if o[i].kind != build.KindTransfer && o[i].kind != build.KindBoost {
			continue
		}
		for k := range o {
			if o[k].kind != build.KindExhaust {
				continue
			}
			if o[i].o < o[k].o-orderSlack {
				return unit.Sprintf("%s would open %s, before %s at %s; the exhaust always opens first.", s.windows[i].doc.Name,
					Angle(o[i].o), s.windows[k].doc.Name, degrees(o[k].o))
			}
			if o[i].c > o[k].c+orderSlack {
				return unit.Sprintf("%s would close %s, after %s at %s; the exhaust always closes last.", s.windows[i].doc.Name,
					Moment(o[i].kind, build.Closes, o[i].c), s.windows[k].doc.Name, Moment(o[k].kind, build.Closes, o[k].c))
			}
		}
	}
	return "the order of events can't be."
}

// pairComplaint names the pair that closes worst.
func (s *state) pairComplaint(o outline) string {
	worst, at := pairSlack, -1
	for i := range o {
		if x := math.Abs(o[i].excess()); x > worst {
			worst, at = x, i
		}
	}
	if at < 0 {
		return ""
	}
	return unit.Sprintf("opening and closing of %s add to %s, not to 360°.", s.windows[at].doc.Name,
		degrees(360+unit.Signed(o[at].excess())))
}

// impossible is an order of events that nothing simple explains.
func (s *state) impossible(o outline) Problem {
	p := Problem{Code: CodeImpossibleOrder, Title: "This order of events can't be",
		Text:     capital(s.complaint()) + " No one turned or exchanged number explains it: read these windows again, with the piston's direction watched.",
		Evidence: map[string]float64{}}
	for i := range o {
		if o[i].side() > 0 || o.order() > 0 && o[i].kind != build.KindIntake {
			p.Windows = append(p.Windows, s.windows[i].doc.Name)
		}
	}
	p.Evidence["blowdown_read_deg"] = blow(o)
	return p
}
