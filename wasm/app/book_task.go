package app

import (
	"portwright/engine/book"
	"portwright/engine/build"
)

// buildTask reads the build's entries first; what is to be done follows in
// taskRead.
func (m *Model) buildTask(msg BuildTask, in Input) []Effect {
	if m.Book.Task.Kind != TaskNone || m.card(msg.Build) == nil || m.Book.Opening != "" {
		return nil
	}
	m.Book.Task = Task(msg)
	return []Effect{LoadBuild{Build: msg.Build}}
}

// taskRead does what a build was read for; ok is false when it was read to be
// opened.
func (m *Model) taskRead(msg BuildLoaded, in Input) (fx []Effect, ok bool) {
	t := m.Book.Task
	if t.Kind == TaskNone || t.Build != msg.Build {
		return nil, false
	}
	m.Book.Task = Task{}
	if msg.Err != "" {
		m.Alert = msg.Err
		return nil, true
	}
	if t.Kind == TaskCompare {
		m.comparedRead(t.Build, msg.Entries)
		return nil, true
	}
	folded := book.Fold(msg.Entries)
	m.Book.More = ""
	switch t.Kind {
	case TaskFile:
		return m.saveBuildFile(folded.Build), true
	case TaskReadings:
		return m.saveReadings(folded.Build), true
	case TaskCopy:
		return m.bringIn(m.copyEngine(folded.Build, in), AtEngine, in), true
	case TaskState:
		if inc := &m.Book.Incoming; inc.Away && inc.Known.ID == t.Build && t.State == "" {
			m.Notice = folded.Build.Name + " is back among the builds in work."
			*inc = Incoming{Name: inc.Name, Said: m.Notice}
			m.Book.Away, m.Book.Page = false, 0
		}
		return m.setState(folded, t.State, in), true
	case TaskNumber:
		return m.setNumber(folded, in), true
	}
	return nil, true
}

// copyEngine is a new build with the engine, wheel and windows of an earlier
// one, without its readings.
func (m *Model) copyEngine(from *build.Build, in Input) *build.Build {
	b := &build.Build{
		ID: in.ID(15), Number: m.NextNumber(in.NowMS), Name: from.Name + ", again",
		Engine: from.Engine, Wheel: from.Wheel,
	}
	for _, w := range from.Windows {
		w.ID = ""
		b.Windows = append(b.Windows, w)
	}
	return b
}

// setState writes a build's state over the values that are in force.
func (m *Model) setState(f book.Folded, state string, in Input) []Effect {
	item, err := book.SetItem(in.ID(1), f.Build.ID, "state", build.TextJSON(state), f.Heads("state")...)
	if err != nil || f.Build.State == state {
		return nil
	}
	return m.write(in, item)
}

// SameNumber is how many builds have a card's number: two phones without the
// shop PC may both have taken the next one. 1 for a build without a number, and
// for the demo.
func (m *Model) SameNumber(c *book.Card) int {
	n := 1
	for i := range m.Book.Cards {
		o := &m.Book.Cards[i]
		if c.Number != "" && !c.Demo && o.Number == c.Number && !o.Demo && o.Build != c.Build {
			n++
		}
	}
	return n
}

// setNumber gives a build the next number.
func (m *Model) setNumber(f book.Folded, in Input) []Effect {
	if c := m.card(f.Build.ID); c == nil || m.SameNumber(c) == 1 || f.Build.Number != c.Number {
		return nil
	}
	number := m.NextNumber(in.NowMS)
	item, err := book.SetItem(in.ID(1), f.Build.ID, "number", build.TextJSON(number), f.Heads("number")...)
	if err != nil {
		return nil
	}
	m.Notice = f.Build.Name + " has number " + number + " now."
	return m.write(in, item)
}
