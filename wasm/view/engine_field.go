package view

import (
	"encoding/json"
	"math"
	"strings"

	"portwright/engine/book"
	"portwright/engine/build"
	"portwright/engine/draw"
	"portwright/engine/unit"
	"portwright/wasm/app"
)

// FieldView is the field in hand, large.
type FieldView struct {
	Path, Name, Ask, Use string
	Unlocks              []string // what the findings say it would unlock
	Place                string   // "3 of 24"
	List, Before, After  string   // addresses; "" where there is none
	BeforeName           string
	ListName             string
	Unknown              string // words of the button that gives no value
	AfterName            string

	Text       string
	Words      bool // takes words, not a number
	Long       bool // takes several lines
	Decimal    bool // the phone shows digits with a point
	Signed     bool
	Stroke     bool // inches: the stroke of a fraction has a key
	Units      []Choice
	Unit       string // behind the number: "cc", "°"
	Other      string // the same in the other units
	Kept       string // the value in the book
	Changed    bool   // what is typed is not kept yet
	Sending    bool
	Asked      bool // Keep asked about Doubt and waits for an answer
	MayBeEmpty bool // "not known" is an answer

	Doubt    string
	Suggest  string // words of the button, "" without one
	Length   unit.Length
	Faults   []string
	Options  []Choice
	Asks     []Button // what a choice means for the readings that were taken
	Wheel    string   // SVG
	Conflict *ConflictView
	Siblings []FieldRow // the other fields of the same window or pass
	About    string     // the window or pass that it belongs to
}

func fieldOf(m *app.Model, values app.Values, groups []app.FieldGroup) *FieldView {
	spec, f, ok := m.InHand()
	if !ok {
		return nil
	}
	w := wordsOf(spec.Path)
	_, before, after, _ := app.FieldAt(m.Open.Build, spec.Path)
	kept, _ := valueWords(values, spec)
	list, listName := engineHash(m, ""), "All of the engine"
	if app.StationOf(spec.Path) == app.AtCuts {
		list, listName = cutsHash(m, ""), "All of the cuts"
	}
	v := &FieldView{
		Unknown: upperFirst(unknownWords(spec.Path)), ListName: listName,
		Path: spec.Path, Name: w.name, Ask: w.ask, Use: w.use, Unlocks: unlocks(m, spec.Path),
		List: list, Text: f.Text, Kept: kept, Signed: spec.Signed, Sending: f.Sending != "",
		Words: spec.Kind == app.FieldText, Long: spec.Path == "note", MayBeEmpty: !spec.Needed && spec.Kind != app.FieldChoice,
		Decimal: spec.Kind == app.FieldLength || spec.Kind == app.FieldNumber,
	}
	_, v.Changed = m.Engine.Typed[spec.Path]
	if before != "" {
		v.Before, v.BeforeName = engineHash(m, before), wordsOf(before).name
	}
	if after != "" {
		v.After, v.AfterName = engineHash(m, after), wordsOf(after).name
	}
	switch spec.Kind {
	case app.FieldLength:
		lengthParts(m, v, spec, f)
	case app.FieldNumber:
		v.Unit = strings.TrimSpace(numberUnit(spec.Path))
	case app.FieldChoice:
		v.Options = optionsOf(values, spec)
		meaningOf(m, v, spec.Path)
	}
	for _, fault := range f.Faults {
		v.Faults = append(v.Faults, faultSentence(spec, fault))
	}
	if strings.HasPrefix(spec.Path, "wheel.") {
		v.Wheel = draw.Wheel(wheelAsked(m))
	}
	for _, c := range m.Open.Fold.Conflicts {
		if c.Path == spec.Path {
			cv := conflictOf(m, c)
			v.Conflict = &cv
		}
	}
	siblings(m, v, values, groups, spec.Path)
	biteParts(m, v, spec, f)
	return v
}

// biteParts offers what was planned for a bite that is measured.
func biteParts(m *app.Model, v *FieldView, spec app.FieldSpec, f app.Field) {
	mv, ok := m.BiteAt(spec.Path)
	if !ok {
		return
	}
	v.Name, v.Ask, v.Use = biteName(mv), biteAsk(mv.Move), "the plan from here on, until the windows are read again"
	s := m.Planned(mv)
	if s == nil || f.Text != "" {
		return
	}
	mm := s.FirstBiteMM
	if s.ToMM != nil {
		mm = s.ToMM
	}
	if mm != nil && (*mm > 0 || s.ToMM != nil) {
		v.Length = unit.Length{Value: *mm, Unit: unit.MM}
		v.Suggest = "As planned: " + v.Length.String()
	}
}

// lengthParts fills in what only a length has.
func lengthParts(m *app.Model, v *FieldView, spec app.FieldSpec, f app.Field) {
	for _, u := range []unit.LengthUnit{unit.MM, unit.Inch, unit.Thou} {
		v.Units = append(v.Units, Choice{Value: string(u), Words: string(u), Here: f.Unit == u})
	}
	v.Stroke = f.Unit == unit.Inch
	if f.Err != nil {
		return
	}
	l := unit.Length{Value: f.Value, Unit: f.Unit}
	v.Other = otherUnits(l)
	if d := m.DoubtOf(spec, l); d != nil {
		v.Doubt = d.Text
		if v.Asked = f.AskedMS > 0; v.Asked {
			v.Doubt += " It is not kept yet: keep it all the same?"
		}
		if d.Suggest != nil {
			v.Suggest, v.Length = "Make it "+d.Suggest.String(), *d.Suggest
		}
	}
}

// otherUnits shows a length in the units it was not given in; a short one of
// mm in thou, as the trade says it.
func otherUnits(l unit.Length) string {
	switch l.Unit {
	case unit.Inch:
		return l.In(unit.MM).String()
	case unit.Thou:
		return l.In(unit.MM).String()
	}
	if math.Abs(l.MM()) < 3 {
		return unit.Plain(l.In(unit.Thou).Value, 1) + " thou"
	}
	return l.In(unit.Inch).String()
}

func optionsOf(values app.Values, spec app.FieldSpec) []Choice {
	now := values.Text(spec.Path)
	if now == "" {
		now = defaultChoice(spec.Path)
	}
	var out []Choice
	for _, o := range spec.Options {
		words, note := optionWords(spec.Path, o)
		out = append(out, Choice{Value: o, Words: words, Note: note, Here: o == now})
	}
	return out
}

// meaningOf asks what a choice about wheel or habit means for the readings that
// were taken, and says before how many there are.
func meaningOf(m *app.Model, v *FieldView, path string) {
	n := m.Meant(path)
	if n == 0 {
		return
	}
	v.Doubt = "Taken as it is chosen now: " + counted(n, "reading") + ". They stay as they were read, whatever is chosen."
	a := m.Engine.Asked
	if a.Path != path {
		return
	}
	words, _ := optionWords(path, a.Value)
	v.Doubt = "Taken before: " + counted(n, "reading") + ". What does “" + words + "” mean for them?"
	always, next := "It was always this wheel: read all of them with it", "A new wheel, from a new pass on"
	if strings.HasSuffix(path, ".habit") {
		always, next = "They were all taken this way", "A new pass this way"
	}
	if m.CanAlways() {
		a.From = app.FromAlways
		v.Asks = append(v.Asks, Button{Words: always, Msg: a})
	} else {
		v.Doubt += " Some of them can't stand on it."
	}
	a.From = app.FromNext
	v.Asks = append(v.Asks, Button{Words: next, Msg: a}, Button{Words: "Leave it as it was", Msg: app.EngineLeave{}})
}

// wheelAsked is the build's wheel, with what is asked about in place.
func wheelAsked(m *app.Model) build.Wheel {
	w, a := m.Open.Build.Wheel, m.Engine.Asked
	switch a.Path {
	case "wheel.numbering":
		w.Numbering = a.Value
	case "wheel.numbers":
		w.Numbers = a.Value
	}
	return w
}

// faultSentence says at the field what would be right; a fault of another
// field is named.
func faultSentence(spec app.FieldSpec, f *unit.InputError) string {
	s := f.Reason
	if v := faultValue(f); v != "" {
		s = v + ": " + s
	}
	last := func(p string) string { return p[strings.LastIndexByte(p, '.')+1:] }
	if f.Field != "" && last(f.Field) != last(spec.Path) {
		s = wordsOf(f.Field).name + ", " + s
	}
	return upperFirst(s) + "."
}

func upperFirst(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

// unlocks is what the findings say a field would unlock.
func unlocks(m *app.Model, path string) []string {
	if m.Open.Results == nil {
		return nil
	}
	var out []string
	seen := map[string]bool{}
	for _, p := range m.Open.Results.Passes {
		for _, n := range p.Needs {
			if n.Field == path && !seen[n.Unlocks] {
				seen[n.Unlocks] = true
				out = append(out, n.Unlocks)
			}
		}
	}
	return out
}

// siblings lists the fields of the window or pass that the field belongs to,
// and where among its group it stands.
func siblings(m *app.Model, v *FieldView, values app.Values, groups []app.FieldGroup, path string) {
	for _, g := range groups {
		for i, f := range g.Fields {
			if f.Path != path {
				continue
			}
			v.Place = plain(i+1) + " of " + plain(len(g.Fields))
			v.About = groupTitle(g.ID)
			if list, id, ok := strings.Cut(g.ID, "/"); ok {
				v.Siblings = fieldRows(m, values, g)
				v.About = partName(m.Open.Build, list, id)
			}
		}
	}
}

func partName(b *build.Build, list, id string) string {
	for _, w := range b.Windows {
		if list == "windows" && w.ID == id {
			return "Window " + w.Name
		}
	}
	for _, p := range b.Passes {
		if list == "passes" && p.ID == id {
			return "Pass " + p.Name
		}
	}
	return ""
}

func conflictOf(m *app.Model, c book.Conflict) ConflictView {
	v := ConflictView{Name: wordsOf(c.Path).name, Path: c.Path}
	for i, o := range append([]book.Value{c.Used}, c.Others...) {
		whence := "set " + when(o.Clock.MS) + " on " + m.Called(o.Device)
		if m.Mine(o.Device) {
			whence = "set " + when(o.Clock.MS) + " on this device"
		}
		v.Values = append(v.Values, ConflictValue{Head: o.Entry, Value: rawWords(c.Path, o.Value), Whence: whence, Used: i == 0})
	}
	return v
}

// rawWords shows a value as it stands in the record.
func rawWords(path string, raw json.RawMessage) string {
	if string(raw) == "null" {
		return unknownWords(path)
	}
	if s, ok := build.Text(raw); ok {
		words, _ := optionWords(path, s)
		return words
	}
	if l, err := build.ReadValue(raw); err == nil && strings.HasSuffix(path, "_mm") {
		return l.String()
	}
	var room build.Room
	if strings.HasPrefix(path, "moves_allowed.") && build.DecodePart(raw, &room) == nil {
		return boundWords(&room)
	}
	return string(raw) + numberUnit(path)
}
