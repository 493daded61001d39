package app

import (
	"strconv"
	"strings"

	"portwright/engine/build"
	"portwright/engine/unit"
)

// KeptWords says a reading that counts as it is read out: "exhaust opens, 104.5
// degrees, kept, second reading, spread half a degree"; "" when none has this ID.
func (m *Model) KeptWords(id string) string {
	for _, r := range m.Open.Tally.Readings {
		if r.ID != id {
			continue
		}
		all := m.Open.Tally.Of(r.Window, r.Event)
		said := m.windowName(r.Window) + " " + r.Event + ", " + unit.Plain(r.Value.Value, 3) + " degrees"
		if m.Habit() == build.HabitDepth {
			said = m.windowName(r.Window) + ", depth " + spokenLength(r.Value)
		}
		said += ", kept, " + nth(len(Counted(all))) + " reading"
		if spread, ok := m.Spread(all); ok {
			said += ", spread " + m.spokenSpread(spread)
		}
		return said
	}
	for _, s := range m.Open.Tally.Stops {
		if s.ID != id {
			continue
		}
		way := "running way"
		if s.Way == WayBack {
			way = "turned back"
		}
		return "stop check, " + way + ", " + unit.Plain(s.Value, 3) + " degrees, kept"
	}
	return ""
}

func (m *Model) windowName(id string) string {
	for _, w := range m.Open.Build.Windows {
		if w.ID == id {
			return w.Name
		}
	}
	return "window"
}

// nth is first to tenth, and plain numbers after that.
func nth(n int) string {
	words := strings.Fields("first second third fourth fifth sixth seventh eighth ninth tenth")
	if n < 1 || n > len(words) {
		return "number " + strconv.Itoa(n)
	}
	return words[n-1]
}

func spokenLength(l unit.Length) string {
	return strings.Replace(strings.Replace(l.String(), " mm", " millimetres", 1), " in", " inches", 1)
}

func (m *Model) spokenSpread(v float64) string {
	s := unit.Plain(v, 2)
	switch {
	case s == "0":
		return "nothing"
	case m.Habit() == build.HabitDepth:
		return spokenLength(unit.Length{Value: v})
	case s == "0.5":
		return "half a degree"
	case s == "1":
		return "one degree"
	}
	return s + " degrees"
}
