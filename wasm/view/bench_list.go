package view

import (
	"strconv"

	"portwright/engine/build"
	"portwright/wasm/app"
)

// BenchList is the order of questions with what is kept for each, and the
// choices that hold for the pass.
type BenchList struct {
	Pass    string
	Rows    []BenchRow
	Modes   []Button
	Habits  []Button
	Wheel   []Button // its numbering
	Turns   []Button // whether its numbers rise as the engine turns
	Repeats []Button
	Hands   []Button
	Signs   []Button
	Themes  []Button
	Undo    []Button
	Keys    string // what a keyboard or number pad does
}

// BenchRow is one question.
type BenchRow struct {
	Step         string
	Words, State string
	Chips        []Chip
	Here, Full   bool
}

func benchListOf(m *app.Model) BenchList {
	l := BenchList{Pass: passName(m), Keys: helpKeys}
	habit := m.Habit()
	for _, s := range m.Steps() {
		r := BenchRow{Step: s.ID, Words: stepWords(habit, s), Chips: chipsOf(m, s), Here: s.ID == m.Bench.At, Full: s.Full()}
		unitWord := ""
		if s.Stop() {
			unitWord = " pairs"
			if s.Want == 1 {
				unitWord = " pair"
			}
		}
		r.State = strconv.Itoa(s.Have) + " of " + strconv.Itoa(s.Want) + unitWord
		if s.Skipped && !s.Full() {
			r.State += ", skipped"
		}
		l.Rows = append(l.Rows, r)
	}
	mode := m.Bench.Mode
	l.Modes = []Button{
		{"Everything", app.BenchMode{Mode: app.Everything}, mode == app.Everything},
		{"Openings only", app.BenchMode{Mode: app.OpeningsOnly}, mode == app.OpeningsOnly},
		{"First look", app.BenchMode{Mode: app.FirstLook}, mode == app.FirstLook},
	}
	l.Habits = []Button{
		{"Zero at TDC", app.BenchHabit{Habit: build.HabitTDCZero}, habit == build.HabitTDCZero},
		{"Zero where it opens", app.BenchHabit{Habit: build.HabitOpenZero}, habit == build.HabitOpenZero},
		{"Depths", app.BenchHabit{Habit: build.HabitDepth}, habit == build.HabitDepth},
	}
	if habit != build.HabitDepth {
		l.Wheel = wheelPicks(m, "wheel.numbering", build.Numbering360, build.Numbering180, build.Numbering90)
		l.Turns = wheelPicks(m, "wheel.numbers", build.NumbersRise, build.NumbersFall)
	}
	repeats := m.Settings.Repeats
	if repeats == 0 {
		repeats = 3
	}
	for n := 1; n <= 5 && mode != app.FirstLook; n++ { // a first look asks once
		l.Repeats = append(l.Repeats, Button{strconv.Itoa(n), app.SetRepeats{N: n}, n == repeats})
	}
	l.Hands = []Button{
		{"Right hand", app.SetHand{}, !m.Settings.LeftHand},
		{"Left hand", app.SetHand{Left: true}, m.Settings.LeftHand},
	}
	l.Signs = signsOf(m)
	for _, t := range []struct{ theme, words string }{{"", "As the device"}, {"day", "Day"}, {"shed", "Shed"}} {
		l.Themes = append(l.Themes, Button{t.words, app.SetTheme{Theme: t.theme}, m.Settings.Theme == t.theme})
	}
	if len(m.Open.Done) > 0 {
		l.Undo = append(l.Undo, Button{Words: "Take back the last", Msg: app.TakeBack{}})
	}
	if len(m.Open.Undone) > 0 {
		l.Undo = append(l.Undo, Button{Words: "Put it back", Msg: app.PutBack{}})
	}
	return l
}

// signsOf are the signs, besides the one on the screen, that a value was kept.
func signsOf(m *app.Model) []Button {
	s := m.Settings
	return []Button{
		{"Vibration", app.SetStill{On: !s.Still}, !s.Still},
		{"Tone", app.SetTone{On: !s.Tone}, s.Tone},
		{"Spoken", app.SetReadBack{On: !s.ReadBack}, s.ReadBack},
	}
}

// wheelPicks choose the set-up of the wheel here as long as nothing was read on
// it; after that they lead to where it is asked what the choice means.
func wheelPicks(m *app.Model, path string, options ...string) []Button {
	w := m.Wheel()
	now := w.Numbering
	if path == "wheel.numbers" {
		now = w.Numbers
	}
	if now == "" {
		now = options[0]
	}
	var out []Button
	for _, o := range options {
		words, _ := optionWords(path, o)
		b := Button{Words: words, Msg: app.EngineChoose{Path: path, Value: o}, Now: o == now}
		if m.Meant(path) > 0 {
			b.Msg = app.Go{Hash: engineHash(m, path)}
		}
		out = append(out, b)
	}
	return out
}
