package draw

import (
	"math"
	"sort"

	"portwright/engine/build"
	"portwright/engine/findings"
	"portwright/engine/unit"
)

// Event is something that happens at an angle.
type Event struct {
	Deg   float64 // after TDC
	Title string  // "Exhaust opens"
	Why   string
}

// sight says what is known of the windows.
type sight struct{ exhaust, transfer, intake, skirt, valve bool }

// together is how close events of one kind lie that count as one, in degrees:
// below what any wheel shows.
const together = 0.05

// setEvents lists the dead centres and every window's opening and closing.
// What is said of the gas is common practice, no source; the numbers are the
// engine's own.
func (s *Section) setEvents(p *findings.PassResult) {
	firstTransfer, lastTransfer := math.Inf(1), math.Inf(-1)
	for i := range s.Windows {
		w := &s.Windows[i]
		if !w.Drawn {
			continue
		}
		switch w.Kind {
		case build.KindExhaust:
			s.sees.exhaust = true
		case build.KindIntake:
			s.sees.intake = true
			s.sees.skirt = s.sees.skirt || w.port.Skirt
			s.sees.valve = s.sees.valve || !w.port.Skirt
		default:
			s.sees.transfer = true
			firstTransfer = math.Min(firstTransfer, w.opens)
			lastTransfer = math.Max(lastTransfer, w.closes())
		}
	}
	s.Events = append(s.Events,
		Event{0, "Top dead centre", "The piston turns round: least volume above it, most in the case. The spark came a little before."},
		Event{s.bdc, "Bottom dead centre", "The piston turns round: the windows that the crown uncovers stand open as far as they get, and the case is smallest."})
	for i := range s.Windows {
		w := &s.Windows[i]
		if !w.Drawn {
			continue
		}
		switch {
		case w.Kind == build.KindExhaust:
			s.exhaust(w, p)
		case w.Kind != build.KindIntake:
			s.transfer(w, p, firstTransfer, lastTransfer)
		case w.port.Skirt:
			s.happens(w.opens, w, "opens", "The rising skirt's end leaves the floor"+s.reached(w)+". The case has grown since bottom dead centre and draws fresh charge in.")
			s.happens(w.closes(), w, "closes", "The skirt's end, going down, covers the floor again. From here the shut case is squeezed until the transfers open.")
		default:
			s.happens(w.opens, w, "opens", "The valve opens the way into the case.")
			s.happens(w.closes(), w, "closes", "The valve shuts the case.")
		}
	}
	s.underSkirt()
	sort.SliceStable(s.Events, func(i, j int) bool { return s.Events[i].Deg < s.Events[j].Deg })
	s.join()
}

func (w *SectionWindow) closes() float64 { return unit.Turn(w.opens + w.open) }

func (s *Section) happens(deg float64, w *SectionWindow, what, why string) {
	s.Events = append(s.Events, Event{deg, upper(w.Name) + " " + what, why})
}

// upper gives a sentence its capital.
func upper(s string) string {
	if s == "" || s[0] < 'a' || s[0] > 'z' {
		return s
	}
	return string(s[0]-'a'+'A') + s[1:]
}

// reached says how far below TDC the piston meets a window's edge.
func (s *Section) reached(w *SectionWindow) string {
	if !s.length {
		return ""
	}
	return ", " + unit.Fixed(*w.port.Travel, 2) + " mm below TDC"
}

func (s *Section) exhaust(w *SectionWindow, p *findings.PassResult) {
	s.happens(w.opens, w, "opens", "The crown's edge passes the roof"+s.reached(w)+". Burnt gas, still under pressure, leaves: blowdown begins.")
	why := "The crown's edge covers the roof. What is above it now is trapped, and compression begins"
	if p.TrappedRatio != nil && s.c.ChamberCC != nil {
		why += ": " + unit.Fixed(*p.TrappedRatio, 1) + " to 1 from here"
	}
	s.happens(w.closes(), w, "closes", why+".")
}

func (s *Section) transfer(w *SectionWindow, p *findings.PassResult, first, last float64) {
	why := "The crown's edge passes the roof" + s.reached(w)
	switch {
	case w.opens > first+together:
		why += ", " + degrees(w.opens-first) + " later than the first. More fresh charge comes from the case."
	case p.BlowdownDeg != nil && *p.BlowdownDeg > 0:
		why += ". Blowdown was " + degrees(*p.BlowdownDeg) + ". Fresh charge from the case now pushes the burnt gas out."
	default:
		why += ". Fresh charge comes from the case."
	}
	s.happens(w.opens, w, "opens", why)
	why = "The crown's edge covers the roof. No more comes through it."
	if w.closes() > last-together {
		why = "The crown's edge covers the roof. Nothing more comes from the case, which grows and pulls from here on."
		if s.sees.exhaust {
			why += " The exhaust is still open."
		}
	}
	s.happens(w.closes(), w, "closes", why)
}

// underSkirt adds the turn round TDC in which the skirt uncovers an exhaust.
func (s *Section) underSkirt() {
	skirt, known := s.skirt(false)
	for i := range s.Windows {
		w := &s.Windows[i]
		if w.Kind != build.KindExhaust || !w.Drawn || !known || !w.height || w.floor-skirt <= 0 {
			continue
		}
		down, up, err := s.m.Angles(w.floor - skirt)
		if err != nil {
			continue
		}
		s.happens(unit.Deg(up), w, "opens to the case", "The skirt's end passes the floor of the exhaust: the case is open to it round TDC (free porting).")
		s.happens(unit.Deg(down), w, "shuts to the case", "The skirt's end covers the floor of the exhaust again.")
	}
}

// join makes one event of like ones at one angle.
func (s *Section) join() {
	out := s.Events[:1]
	for _, e := range s.Events[1:] {
		if last := &out[len(out)-1]; e.Deg-last.Deg < together {
			if e.Title != last.Title {
				last.Title += "; " + lower(e.Title)
			}
			if e.Why != last.Why {
				last.Why += " " + e.Why
			}
			continue
		}
		out = append(out, e)
	}
	s.Events = out
}

func lower(s string) string {
	if s == "" || s[0] < 'A' || s[0] > 'Z' {
		return s
	}
	return string(s[0]-'A'+'a') + s[1:]
}

// NextEvent returns the place in Events of the one that comes next after an
// angle, running on past TDC.
func (s *Section) NextEvent(deg float64) int {
	deg = unit.Turn(deg)
	for i := range s.Events {
		if s.Events[i].Deg > deg+together/2 {
			return i
		}
	}
	return 0
}

// PrevEvent returns the place in Events of the last one before an angle.
func (s *Section) PrevEvent(deg float64) int {
	deg = unit.Turn(deg)
	for i := len(s.Events) - 1; i >= 0; i-- {
		if s.Events[i].Deg < deg-together/2 {
			return i
		}
	}
	return len(s.Events) - 1
}

// eventAt returns the event within half a degree, the nearest; -1: none.
func (s *Section) eventAt(deg float64) int {
	best, near := -1, 0.5+1e-9
	for i := range s.Events {
		if d := math.Abs(unit.Signed(s.Events[i].Deg - deg)); d < near {
			best, near = i, d
		}
	}
	return best
}

// blowdownAt says whether the exhaust alone is open on the way down.
func (s *Section) blowdownAt(f *Frame) bool {
	exhaust, transfer, _ := s.opened(f)
	return exhaust && !transfer && f.Deg < s.bdc && s.sees.transfer
}

// opened says which kinds of window are open.
func (s *Section) opened(f *Frame) (exhaust, transfer, intake bool) {
	for i := range s.Windows {
		if !f.Windows[i].Open {
			continue
		}
		switch s.Windows[i].Kind {
		case build.KindExhaust:
			exhaust = true
		case build.KindIntake:
			intake = true
		default:
			transfer = true
		}
	}
	return
}

// tell puts into words what goes on: the event, else the phase. Common
// practice, no source.
func (s *Section) tell(f *Frame) {
	if f.Event >= 0 {
		f.Title, f.Text = s.Events[f.Event].Title, s.Events[f.Event].Why
		return
	}
	exhaust, transfer, intake := s.opened(f)
	down := f.Deg < s.bdc
	switch {
	case exhaust && transfer:
		f.Title, f.Text = "Scavenging", "Fresh charge comes from the case and pushes the burnt gas out through the exhaust."
	case exhaust && !s.sees.transfer:
		f.Title, f.Text = "Exhaust open", "When the transfers open was not read."
	case exhaust && down:
		f.Title, f.Text = "Blowdown", "The exhaust alone is open: the pressure falls before the transfers open."
	case exhaust:
		f.Title, f.Text = "Exhaust still open", "The transfers are shut. The rising piston pushes some charge out until the exhaust closes."
	case transfer:
		f.Title, f.Text = "Transfers open", "Fresh charge comes from the case."
	case down:
		f.Title, f.Text = "Power stroke", "Burning gas pushes the piston down."
	default:
		f.Title, f.Text = "Compression", "The rising piston squeezes the charge."
	}
	switch {
	case transfer:
	case intake && !down:
		f.Below = "Below it the case grows and draws charge in."
	case intake:
		f.Below = "Below it the intake is still open: at speed the charge goes on coming in, at low speed some is pushed back."
	case down:
		f.Below = "Below it the case is squeezed."
	case s.c.Intake == build.IntakeReed:
		f.Below = "Below it the case grows, and the reeds open by themselves."
	default:
		f.Below = "Below it the case grows and its pressure falls."
	}
}
