package app

import (
	"portwright/engine/build"
	"portwright/engine/unit"
)

// Methods of seeing the edge, as the record names them.
const (
	MethodLight  = "light"
	MethodFeeler = "feeler"
	MethodPaper  = "paper"
	MethodDepth  = "depth gauge"
	MethodAngle  = "angle gauge"
)

// Choice is one button of a panel; the keyboard takes it by its place, 1 for
// the first.
type Choice struct {
	Words string
	Msg   Msg
	Now   bool // what holds now
}

// Method is how the edge is seen: what was chosen, else what the last reading
// of the pass says, else light. A depth is read with the depth gauge, whatever
// was chosen for a pass in degrees.
func (m *Model) Method() string {
	if m.Habit() == build.HabitDepth {
		return MethodDepth
	}
	if m.Bench.Method != "" {
		return m.Bench.Method
	}
	if m.Open != nil {
		for i := len(m.Open.Tally.Readings) - 1; i >= 0; i-- {
			if r := m.Open.Tally.Readings[i]; r.Method != "" {
				return r.Method
			}
		}
	}
	return MethodLight
}

// Choices are the buttons of the panel that is open.
func (m *Model) Choices() []Choice {
	b := &m.Bench
	switch b.Panel {
	case PanelMethod:
		return m.methodChoices()
	case PanelStrike:
		return m.strikeChoices()
	case PanelQuarter:
		return m.quarterChoices()
	case PanelOdd:
		out := []Choice{
			{Words: "Keep " + b.Text + " all the same", Msg: BenchKeep{Sure: true}},
			{Words: "Change it", Msg: BenchPanel{PanelOdd}},
		}
		if b.Likely != nil {
			out = append(out, Choice{Words: "Make it " + b.Likely.String(), Msg: BenchLikely{}})
		}
		return out
	case PanelPass:
		return m.passChoices()
	case PanelHabit:
		pass := m.another()
		pass.Habit = b.Asked
		return []Choice{
			{Words: "Begin “" + pass.Name + "”", Msg: pass},
			{Words: "Leave it as it is", Msg: BenchPanel{PanelHabit}},
		}
	case PanelHelp:
		return []Choice{{Words: "Back to the keys", Msg: BenchPanel{PanelHelp}}}
	}
	return nil
}

func (m *Model) methodChoices() []Choice {
	q, ok := m.Question()
	if ok && q.Stop() {
		return []Choice{
			{"Stop near top dead centre", BenchNear{NearTDC}, q.Near == NearTDC},
			{"Stop near bottom dead centre", BenchNear{NearBDC}, q.Near == NearBDC},
		}
	}
	now, feeler := m.Method(), 0.0
	if m.Bench.Feeler != nil {
		feeler = m.Bench.Feeler.MM()
	}
	var out []Choice
	if m.Habit() == build.HabitDepth {
		for _, u := range []struct {
			unit  unit.LengthUnit
			words string
		}{{"", "Depths in mm"}, {unit.Inch, "Depths in inches"}, {unit.Thou, "Depths in thou"}} {
			out = append(out, Choice{u.words, BenchUnit{string(u.unit)}, m.Bench.Unit == string(u.unit)})
		}
		return out
	}
	out = append(out, Choice{"Light through the port", BenchMethod{Method: MethodLight}, now == MethodLight})
	for _, mm := range []float64{0.05, 0.1, 0.2} {
		out = append(out, Choice{"Feeler " + unit.Fixed(mm, 2) + " mm", BenchMethod{MethodFeeler, mm}, now == MethodFeeler && feeler == mm})
	}
	out = append(out,
		Choice{"Paper nipped by the crown", BenchMethod{Method: MethodPaper}, now == MethodPaper},
		Choice{"Depth gauge on the crown", BenchMethod{Method: MethodDepth}, now == MethodDepth},
		Choice{"Digital angle gauge", BenchMethod{Method: MethodAngle}, now == MethodAngle})
	if ok && m.WheelMost() != 360 && m.Habit() == build.HabitTDCZero {
		side, words := build.SideUp, "Piston goes up here"
		if !GoingDown(q.Kind, q.Event) {
			side, words = build.SideDown, "Piston goes down here"
		}
		if m.Bench.Side != "" {
			side = ""
		}
		out = append(out, Choice{words, BenchSide{side}, m.Bench.Side != ""})
	}
	return out
}

// Down says which way the piston goes at the question in hand, as the event
// has it or as was chosen for this reading.
func (m *Model) Down(q Question) bool {
	if m.Bench.Side != "" {
		return m.Bench.Side == build.SideDown
	}
	return GoingDown(q.Kind, q.Event)
}

func (m *Model) strikeChoices() []Choice {
	id := m.Bench.Chip
	if !m.Counts(id) {
		return []Choice{
			{Words: "Let it count again", Msg: BenchUnstrike{id}},
			{Words: "Leave it struck out", Msg: BenchPanel{PanelStrike}},
		}
	}
	var out []Choice
	for _, r := range []struct{ reason, words string }{
		{ReasonMisread, "Misread"}, {ReasonBumped, "Wheel bumped"}, {ReasonWindow, "Wrong window"}, {ReasonOther, "Another reason"},
	} {
		out = append(out, Choice{Words: r.words, Msg: BenchStrike{id, r.reason}})
	}
	return append(out, Choice{Words: "Leave it as it is", Msg: BenchPanel{PanelStrike}})
}

// quarterChoices are the two quarters that a value close to a quarter's end
// fits; quarters count from TDC in the running direction.
func (m *Model) quarterChoices() []Choice {
	q, ok := m.Question()
	v, good := m.typed()
	if !ok || !good {
		return nil
	}
	words := []string{
		"First quarter: from TDC to the 90 mark", "Second quarter: from the 90 mark to BDC",
		"Third quarter: from BDC to the 90 mark", "Fourth quarter: from the 90 mark to TDC",
	}
	two := []int{1, 2}
	switch {
	case v < quarterDeg && q.Kind == build.KindIntake:
		two = []int{4, 1}
	case v < quarterDeg:
		two = []int{2, 3}
	case !m.Down(q):
		two = []int{3, 4}
	}
	var out []Choice
	for _, n := range two {
		out = append(out, Choice{Words: words[n-1], Msg: BenchQuarter{n}})
	}
	return out
}

// GoingDown says which way the piston moves at an event: exhaust, transfer and
// boost open as it goes down, a piston-port intake as it goes up.
func GoingDown(kind, event string) bool {
	return (kind == build.KindIntake) == (event == build.Closes)
}

func (m *Model) passChoices() []Choice {
	var out []Choice
	for _, p := range m.Open.Build.Passes {
		out = append(out, Choice{"Go on with “" + p.Name + "”", BenchPass{p.ID}, p.ID == m.Open.Pass})
	}
	first := m.another()
	offer := func(pass BenchNewPass) {
		out = append(out, Choice{Words: "New pass “" + pass.Name + "”", Msg: pass})
	}
	next := m.NextPassName()
	if first.Name != next {
		offer(first)
	}
	cylinder := 1
	if p := m.PassInHand(); p != nil {
		cylinder = p.Cylinder
	}
	for _, name := range []string{"after base cut", "after port work", "finished"} {
		if !m.passNamed(name) {
			offer(BenchNewPass{Name: name, Cylinder: cylinder})
		}
	}
	offer(BenchNewPass{Name: next, Cylinder: cylinder})
	return out
}

func (m *Model) passNamed(name string) bool {
	for _, p := range m.Open.Build.Passes {
		if p.Name == name {
			return true
		}
	}
	return false
}

// Elements that the focus goes to when something opens or closes over the
// keypad, so that a screen reader follows; neither takes the Enter key.
const (
	FocusOver  = "over"
	FocusValue = "value"
	FocusStep  = "step/" // with the step behind it, in the list of questions
)

// followPanel moves the focus with what lies over the keypad.
func (m *Model) followPanel(was Panel) []Effect {
	now := m.Bench.Panel
	switch {
	case m.Station != AtBench || m.Open == nil || now == was:
		return nil
	case now == PanelList && m.Bench.Pick != "":
		return []Effect{FocusOn{FocusStep + m.Bench.Pick}}
	case now == PanelNone || now == PanelList:
		return []Effect{FocusOn{FocusValue}}
	}
	return []Effect{FocusOn{FocusOver}}
}
