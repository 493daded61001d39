package app

import (
	"slices"
	"sort"

	"portwright/engine/build"
)

// Whens and ways of a stop check, as in the record.
const (
	WhenBefore = "before"
	WhenAfter  = "after"
	WayRunning = "running"
	WayBack    = "back"
	NearTDC    = "tdc"
	NearBDC    = "bdc"
)

// Step is one place in the order of questions of a pass: a stop check or one
// event of one window.
type Step struct {
	ID      string // "stop/before", "read/<window>/opens", ...
	When    string // of a stop check: before, after
	Window  string // window ID
	Name    string // window's name
	Kind    string // window's kind
	Event   string
	Want    int  // readings asked for; whole pairs at a stop check
	Have    int  // readings that count; whole pairs at a stop check
	Half    bool // of a stop check: the first reading of a pair is there
	Skipped bool
}

// Stop tells a stop check from a window's event.
func (s Step) Stop() bool { return s.When != "" }

// Full says that the set is good.
func (s Step) Full() bool { return s.Have >= s.Want }

// Plan is what the order of questions follows from.
type Plan struct {
	Windows []build.Window
	Habit   string
	Repeats int // readings per event; 0 means 3
	Mode    Mode
	Skipped []string
	Tally   Tally
}

// Mode is how much of a pass is asked for.
type Mode string

// The modes. Closings that were kept count in every mode.
const (
	Everything   Mode = ""         // stops, openings and closings
	OpeningsOnly Mode = "openings" // stops and openings: symmetry is assumed
	FirstLook    Mode = "look"     // openings, once each
)

// Steps is the order of questions: stop check before, then window by window
// in the order exhaust, transfers, boost, intake, opens before closes, then
// the stop check after. A habit asks only what it needs: zero where the window
// opens and depths need no stop, the former only closes, the latter only the
// edge that the crown uncovers.
func (p Plan) Steps() []Step {
	var out []Step
	stops := (p.Habit == "" || p.Habit == build.HabitTDCZero) && p.Mode != FirstLook
	before := p.stop(WhenBefore)
	if stops {
		out = append(out, before)
	}
	windows := slices.Clone(p.Windows)
	sort.SliceStable(windows, func(i, j int) bool { return rank(windows[i].Kind) < rank(windows[j].Kind) })
	for _, w := range windows {
		if p.Habit != build.HabitOpenZero {
			out = append(out, p.event(w, build.Opens))
		}
		if p.Habit == build.HabitOpenZero || (p.Habit != build.HabitDepth && p.Mode == Everything) {
			out = append(out, p.event(w, build.Closes))
		}
	}
	if stops && (!before.Skipped || before.Have > 0) { // the second check says whether the first still holds
		out = append(out, p.stop(WhenAfter))
	}
	return out
}

func rank(kind string) int {
	return slices.Index([]string{build.KindExhaust, build.KindTransfer, build.KindBoost, build.KindIntake}, kind) & 7
}

func (p Plan) stop(when string) Step {
	whole, open := pairs(p.Tally.StopsOf(when))
	id := "stop/" + when
	return Step{ID: id, When: when, Want: 1, Have: whole, Half: open != nil, Skipped: slices.Contains(p.Skipped, id)}
}

func (p Plan) event(w build.Window, event string) Step {
	id := "read/" + w.ID + "/" + event
	s := Step{ID: id, Window: w.ID, Name: w.Name, Kind: w.Kind, Event: event, Want: p.Repeats}
	switch {
	case p.Mode == FirstLook:
		s.Want = 1
	case s.Want <= 0:
		s.Want = 3
	}
	s.Have = len(Counted(p.Tally.Of(w.ID, event)))
	s.Skipped = slices.Contains(p.Skipped, id)
	return s
}

// answers says that a step gives what a need of the findings asks for.
func (s Step) answers(need string) bool {
	switch need {
	case "stops":
		return s.When == WhenBefore
	case "stops after":
		return s.When == WhenAfter
	case "repeats":
		return !s.Stop() && !s.Full()
	case "closes":
		return s.Event == build.Closes && !s.Full()
	case "exhaust opens":
		return s.Kind == build.KindExhaust
	}
	return s.Kind == build.KindTransfer || s.Kind == build.KindBoost
}

// benchMore goes over to the least mode that asks what is needed, and to the
// first question that gives it.
func (m *Model) benchMore(need string) []Effect {
	b := &m.Bench
	if m.writing() {
		return nil
	}
	fx := []Effect{GoTo{Hash: Route{Station: AtBench, Build: m.Open.ID}.Hash()}}
	switch {
	case need == "closes":
		b.Mode = Everything
	case b.Mode == FirstLook && need != "exhaust opens" && need != "transfer opens":
		b.Mode = OpeningsOnly
	}
	if n := &m.Settings.Repeats; need == "repeats" && (*n == 1 || *n == 2) {
		*n = 0
		fx = append(fx, SaveSettings{m.Settings})
	}
	to := ""
	for _, s := range m.Steps() {
		if s.answers(need) {
			b.Skipped = slices.DeleteFunc(slices.Clone(b.Skipped), func(id string) bool { return id == s.ID })
			if to == "" {
				to = s.ID
			}
		}
	}
	if to == "" {
		to = NextOpen(m.Steps(), "")
	}
	m.benchTo(to)
	return fx
}

// Place returns where id stands in steps, -1 when it does not.
func Place(steps []Step, id string) int {
	return slices.IndexFunc(steps, func(s Step) bool { return s.ID == id })
}

// NextOpen returns the first step after id that is neither full nor skipped,
// going round once; "" when there is none.
func NextOpen(steps []Step, id string) string {
	at := Place(steps, id)
	for i := range steps {
		s := steps[(at+1+i)%len(steps)]
		if !s.Full() && !s.Skipped {
			return s.ID
		}
	}
	return ""
}

// Beside returns the step before (by -1) or after (by +1) id without a look at
// what is full; beyond the last is "", and before "" the last.
func Beside(steps []Step, id string, by int) string {
	at := Place(steps, id)
	switch {
	case len(steps) == 0:
		return ""
	case at < 0 && by < 0:
		return steps[len(steps)-1].ID
	case at < 0:
		return ""
	case at+by < 0:
		return steps[0].ID
	case at+by >= len(steps):
		return ""
	}
	return steps[at+by].ID
}

// Question is what the bench asks now.
type Question struct {
	Step
	Nth   int    // which reading of the set, 1 for the first
	Way   string // of a stop check
	Near  string // of a stop check
	Check string // the check that a second stop reading belongs to, "" for a new one
}

// Ask makes the question of a step.
func (p Plan) Ask(s Step, near string) Question {
	q := Question{Step: s, Nth: s.Have + 1}
	if !s.Stop() {
		return q
	}
	q.Near, q.Way = NearTDC, WayRunning
	if near == NearBDC {
		q.Near = NearBDC
	}
	if _, open := pairs(p.Tally.StopsOf(s.When)); open != nil {
		q.Check, q.Near = open.Check, open.Near
		if open.Way == WayRunning {
			q.Way = WayBack
		}
	}
	return q
}
