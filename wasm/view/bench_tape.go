package view

import (
	"strconv"
	"unicode/utf8"

	"portwright/engine/build"
	"portwright/engine/unit"
	"portwright/wasm/app"
)

// How much stands beside the spread on a screen of 360 px: so many chips, and
// no more than so many figures on them.
const (
	tapeMost    = 3
	tapeFigures = 18
)

func tapeOf(m *app.Model, q app.Question) BenchTape {
	chips := chipsOf(m, q.Step)
	t := BenchTape{Chips: chips}
	most := tapeMost
	if len(m.Open.Undone) > 0 {
		t.Offer = &Button{Words: "put it back", Msg: app.PutBack{}}
		most--
	}
	figures := 0
	for _, c := range chips {
		figures += utf8.RuneCountInString(c.Text)
	}
	if len(chips) > most || len(chips) == most && figures > tapeFigures {
		t.More = "all " + strconv.Itoa(len(chips))
		t.Chips = chips[len(chips)-most+1:]
	}
	if !q.Stop() && t.Offer == nil {
		if s, ok := m.Spread(m.Open.Tally.Of(q.Window, q.Event)); ok {
			t.Spread = unit.Plain(s, 2) + spreadUnit(m)
		}
		if len(chips) == 0 {
			t.Offer = repeatStop(m, q)
		}
	}
	return t
}

func spreadUnit(m *app.Model) string {
	if m.Habit() == build.HabitDepth {
		return " mm"
	}
	return "°"
}

// repeatStop offers the stop check once more right after its first pair; to
// leave the repeat out is the classic mistake.
func repeatStop(m *app.Model, q app.Question) *Button {
	steps := m.Steps()
	at := app.Place(steps, q.ID)
	if at < 1 || !steps[at-1].Stop() || steps[at-1].Have != 1 {
		return nil
	}
	return &Button{Words: "Repeat the stop check", Msg: app.BenchGo{Step: steps[at-1].ID}}
}

func chipsOf(m *app.Model, s app.Step) []Chip {
	var out []Chip
	if s.Stop() {
		for _, r := range m.Open.Tally.StopsOf(s.When) {
			way := "running way"
			if r.Way == app.WayBack {
				way = "turned back"
			}
			out = append(out, chip(r.ID, unit.Plain(r.Value, 2)+"°", way, r.Struck))
		}
		return out
	}
	for _, r := range m.Open.Tally.Of(s.Window, s.Event) {
		text := unit.Plain(r.Value.Value, 3) + "°"
		if m.Habit() == build.HabitDepth {
			text = r.Value.String()
		}
		out = append(out, chip(r.ID, text, r.Method, r.Struck))
	}
	return out
}

func chip(id, text, how, struck string) Chip {
	c := Chip{ID: id, Text: text, Label: text + ", kept", Struck: struck != ""}
	if c.Struck {
		c.Label = text + ", struck out: " + struck
	}
	if how != "" {
		c.Label += ", " + how
	}
	return c
}
