package view

import (
	"strings"

	"portwright/engine/build"
	"portwright/engine/draw"
	"portwright/wasm/app"
)

// EngineView is station Engine ready to show.
type EngineView struct {
	Groups    []EngineGroup
	Windows   []PartCard
	Passes    []PartCard
	Out       []PartCard // taken out, can be put back
	Conflicts []ConflictView
	Faults    []FaultRow // what in the build can't be
	Wheel     string     // SVG of the wheel as understood
	WheelText string
	Learn     *LearnView
	LearnHash string
	Field     *FieldView // the field in hand
	Undo      string     // the value that can be taken back, "" when there is none
	Next      string     // address of the first number that is not known, "" when all are
	NextName  string
	Known     string // "9 of 28 numbers are known"
}

// EngineGroup is a heading and its fields.
type EngineGroup struct {
	Title string
	Wheel bool // the wheel's picture belongs here
	Rows  []FieldRow
}

// FieldRow is one field in the list.
type FieldRow struct {
	Name, Value, Other string
	Hash               string
	Known, Here        bool
	Words              bool   // takes words, not a number
	Typed              string // typed and not kept, "" when nothing is
}

// Current is the value of aria-current.
func (r FieldRow) Current() string { return truth(r.Here) }

// PartCard is a window or a pass.
type PartCard struct {
	ID, Path, Hash string
	Name, Note     string
	Here           bool // the pass in hand
	First, Last    bool
}

// Pressed is the value of aria-pressed.
func (p PartCard) Pressed() string { return truth(p.Here) }

// ConflictView is one field that two devices set differently.
type ConflictView struct {
	Name, Path string
	Values     []ConflictValue
}

// ConflictValue is one of the values.
type ConflictValue struct {
	Head, Value, Whence string
	Used                bool
}

// Open says whether a page of its own lies over the list on a narrow screen.
func (v *EngineView) Open() string { return truth(v.Field != nil || v.Learn != nil) }

func engineOf(m *app.Model) *EngineView {
	b := m.Open.Build
	values, groups := app.ValuesOf(b), app.FieldGroups(b)
	v := &EngineView{
		Wheel: draw.Wheel(b.Wheel), WheelText: draw.WheelText(b.Wheel) + ".",
		LearnHash: engineHash(m, app.LearnPath), Field: fieldOf(m, values, groups),
	}
	for _, g := range groups {
		switch {
		case strings.HasPrefix(g.ID, "windows/"), strings.HasPrefix(g.ID, "passes/"):
			continue
		}
		v.Groups = append(v.Groups, EngineGroup{Title: groupTitle(g.ID), Wheel: g.ID == "wheel", Rows: fieldRows(m, values, g)})
	}
	nextUnknown(m, v, values, groups)
	v.Undo = undoWords(m)
	v.Windows, v.Passes, v.Out = windowCards(m), passCards(m), outCards(m)
	for _, c := range m.Open.Fold.Conflicts {
		v.Conflicts = append(v.Conflicts, conflictOf(m, c))
	}
	for _, f := range m.Faults() {
		v.Faults = append(v.Faults, faultRow(wordsOf(f.Field).name, f))
	}
	if m.Engine.At == app.LearnPath {
		v.Learn = learnOf(m)
	}
	return v
}

// nextUnknown counts the numbers of the engine and finds the first that is not
// known. What was said about the job and about doubts is not counted.
func nextUnknown(m *app.Model, v *EngineView, values app.Values, groups []app.FieldGroup) {
	known, all := 0, 0
	for _, g := range groups {
		if g.ID == "job" || strings.Contains(g.ID, "/") {
			continue
		}
		for _, f := range g.Fields {
			if strings.HasSuffix(f.Path, "_u_mm") {
				continue
			}
			all++
			if values[f.Path] != nil {
				known++
			} else if v.Next == "" {
				v.Next, v.NextName = engineHash(m, f.Path), wordsOf(f.Path).name
			}
		}
	}
	v.Known = plain(known) + " of " + plain(all) + " are given."
}

// undoWords says which value can be taken back, and what it goes back to.
func undoWords(m *app.Model) string {
	done := m.FieldDeeds()
	if len(done) == 0 {
		return ""
	}
	d := done[len(done)-1]
	s := "Undo: " + wordsOf(d.Path).name
	if d.Was[0] != '[' { // a list's places are told apart in the fields
		s += " back to " + rawWords(d.Path, d.Was)
	}
	return s
}

func engineHash(m *app.Model, field string) string {
	return app.Route{Station: app.StationOf(field), Build: m.Open.ID, Field: field}.Hash()
}

func groupTitle(id string) string {
	switch id {
	case "job":
		return "The job"
	case "crank":
		return "Crank and rod"
	case "cylinder":
		return "Cylinder"
	case "piston":
		return "Piston and ring"
	case "squish":
		return "Squish and volumes"
	case "breathing":
		return "Intake and outlet"
	case "wheel":
		return "Timing wheel"
	case "targets":
		return "Wanted"
	case "allowed":
		return "Allowed moves"
	case "gaskets":
		return "Gaskets at hand"
	case "limits":
		return "Hard limits"
	case "rules":
		return "Rules of thumb"
	case "tools":
		return "Steps of the tools"
	case "bites":
		return "Came off"
	}
	return id
}

func fieldRows(m *app.Model, values app.Values, g app.FieldGroup) []FieldRow {
	var out []FieldRow
	for _, f := range g.Fields {
		row := FieldRow{Name: wordsOf(f.Path).name, Hash: engineHash(m, f.Path), Here: m.Engine.At == f.Path, Words: f.Kind == app.FieldText}
		row.Value, row.Other = valueWords(values, f)
		row.Known = row.Value != ""
		if !row.Known {
			row.Value = unknownWords(f.Path)
			if f.Kind == app.FieldText {
				row.Value = "not given"
			}
			if value, from := usualRule(f.Path); value != "" {
				row.Value, row.Other = value, from
			}
			if u := unlocks(m, f.Path); len(u) > 0 {
				row.Other = "would unlock " + u[0]
			}
		}
		if t, ok := m.Engine.Typed[f.Path]; ok && strings.TrimSpace(t.Text) != "" {
			row.Typed = t.Text
			if f.Kind == app.FieldLength {
				row.Typed += " " + string(t.Unit)
			}
		}
		out = append(out, row)
	}
	return out
}

// valueWords shows a kept value and, for a length, the same in the other unit.
func valueWords(values app.Values, f app.FieldSpec) (value, other string) {
	switch f.Kind {
	case app.FieldLength:
		l := values.Length(f.Path)
		if l == nil {
			return "", ""
		}
		return l.String(), otherUnits(*l)
	case app.FieldChoice:
		s := values.Text(f.Path)
		if s == "" {
			s = defaultChoice(f.Path)
		}
		if s == "" {
			return "", ""
		}
		words, note := optionWords(f.Path, s)
		return words, note
	case app.FieldNumber:
		s := values.Text(f.Path)
		if s == "" {
			return "", ""
		}
		return s + numberUnit(f.Path), ""
	case app.FieldWhole:
		if s := values.Text(f.Path); s != "" && s != "0" {
			return s, ""
		}
		return "1", ""
	}
	return values.Text(f.Path), ""
}

// defaultChoice is what a choice means while nothing is chosen.
func defaultChoice(path string) string {
	switch path[strings.LastIndexByte(path, '.')+1:] {
	case "numbering":
		return build.Numbering360
	case "numbers":
		return build.NumbersRise
	case "habit":
		return build.HabitTDCZero
	}
	return ""
}

// numberUnit is the unit behind a plain number.
func numberUnit(path string) string {
	switch {
	case strings.HasSuffix(path, "_cc"):
		return " cc"
	case strings.HasSuffix(path, "_mm2"):
		return " mm²"
	case strings.HasSuffix(path, "_deg"):
		return "°"
	case strings.HasSuffix(path, "_m_s"):
		return " m/s"
	case strings.HasPrefix(path, "bite/muffler"):
		return " mm²"
	}
	return ""
}

func windowCards(m *app.Model) []PartCard {
	var out []PartCard
	ws := m.Open.Build.Windows
	for i, w := range ws {
		path := "windows/" + w.ID
		c := PartCard{ID: w.ID, Path: path, Hash: engineHash(m, path+".name"), Name: w.Name, First: i == 0, Last: i == len(ws)-1}
		words, _ := optionWords(path+".kind", w.Kind)
		c.Note = strings.ToLower(words)
		switch {
		case w.Chord != nil && w.Height != nil:
			c.Note += ", " + w.Chord.String() + " wide, " + w.Height.String() + " high"
		case w.Chord != nil:
			c.Note += ", " + w.Chord.String() + " wide"
		case w.Height != nil:
			c.Note += ", " + w.Height.String() + " high"
		default:
			c.Note += ", size not known"
		}
		out = append(out, c)
	}
	return out
}

func passCards(m *app.Model) []PartCard {
	var out []PartCard
	for _, p := range m.Open.Build.Passes {
		path := "passes/" + p.ID
		note := "cylinder " + plain(max(1, p.Cylinder)) + ", " + habitWords(p.Habit) + ", " + counted(len(p.Readings), "reading")
		if w := m.Open.Build.WheelOf(&p); w.Numbering != m.Open.Build.Wheel.Numbering || w.Numbers != m.Open.Build.Wheel.Numbers {
			note += ", on a wheel of its own"
		}
		if p.ID == m.Open.Pass {
			note = "in hand now · " + note
		}
		out = append(out, PartCard{ID: p.ID, Path: path, Hash: engineHash(m, path+".name"),
			Name: p.Name, Note: note, Here: p.ID == m.Open.Pass})
	}
	return out
}

func outCards(m *app.Model) []PartCard {
	var out []PartCard
	for _, p := range m.Parts() {
		if p.Out {
			out = append(out, PartCard{Path: p.Path, Name: p.Name})
		}
	}
	return out
}
