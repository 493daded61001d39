package view

import (
	"strconv"

	"portwright/engine/build"
	"portwright/engine/unit"
	"portwright/wasm/app"
)

// BenchView is station Bench ready to show: either the windows are still to be
// chosen (Setup), or everything was asked (Done), or there is a question.
type BenchView struct {
	Setup []Button
	Done  *BenchDone

	Ask     BenchAsk
	Value   BenchValue
	Tape    BenchTape
	Live    []Cell
	Wait    string // what will stand there, while Live is empty
	Findsto string // address of the findings
	Panel   *BenchPanel
	Keys    BenchKeys
	List    BenchList
	Listed  bool // the list lies over the question on a narrow screen
}

// BenchAsk is the question in words.
type BenchAsk struct {
	Heading, Sub string
	Where        string // pass and cylinder, where there is more than one
	Dial         *Dial  // nil under habit "depth"
}

// BenchValue is the value in hand.
type BenchValue struct {
	Digits  string // "" when nothing is typed
	Unit    string
	Spoken  string // for a screen reader
	Refuse  string // why it can't be kept
	Writing bool   // on its way to the disk
	Method  string // the button that changes it
	Other   string // a depth in the other unit
	CanUndo bool
}

// BenchTape shows the readings of the question in hand.
type BenchTape struct {
	Chips  []Chip
	More   string // "all 5": opens the list; "" when all are shown
	Spread string
	Offer  *Button // a stop check that could be repeated
}

// Chip is one kept reading.
type Chip struct {
	ID, Text, Label string
	Struck          bool
}

// Cell is one number of the live line.
type Cell struct{ Label, Value, Doubt string }

// Button is words and what they do.
type Button struct {
	Words string
	Msg   app.Msg
	Now   bool
}

// BenchPanel lies over the keypad.
type BenchPanel struct {
	Kind    string
	Title   string
	Lines   []string // help and cautions
	Picture string   // SVG
	Caution string
	Buttons []Button
}

// BenchKeys are the words on the keys that change.
type BenchKeys struct {
	Skip    string // "skip" or "next"
	CanKeep bool
	More    PadKey // above: erase, or a step up
	Less    PadKey // below: a half, the stroke of a fraction, or a step down
	Same    string // the value that is kept once more by one tap, "" when there is none
}

// PadKey is a key whose meaning changes: its words, its name for a screen
// reader, and what it does.
type PadKey struct {
	Words, Name string
	Msg         app.Msg
}

// BenchDone is shown when everything was asked.
type BenchDone struct {
	Heading, Sub string
	Rows         []DoneRow
	Buttons      []Button
}

// DoneRow is one window's numbers in short.
type DoneRow struct{ Name, Opens, Doubt, Open string }

func benchOf(m *app.Model) *BenchView {
	v := &BenchView{List: benchListOf(m), Findsto: app.Route{Station: app.AtFindings, Build: m.Open.ID}.Hash()}
	if len(m.Open.Build.Windows) == 0 {
		for _, s := range app.WindowSets() {
			v.Setup = append(v.Setup, Button{Words: s.Words, Msg: app.BenchWindows{Set: s.Key}})
		}
		v.Setup = append(v.Setup, Button{Words: "Something else: set the windows", Msg: app.Go{Hash: engineHash(m, app.WindowsPath)}})
		return v
	}
	v.Listed = m.Bench.Panel == app.PanelList
	v.Panel = panelOf(m)
	v.Value = valueOf(m)
	q, ok := m.Question()
	if !ok {
		v.Done = doneOf(m)
		return v
	}
	v.Ask = askOf(m, q)
	v.Tape = tapeOf(m, q)
	v.Live = liveOf(m, q)
	v.Wait = "The window's numbers stand here from the first reading on."
	if won := wonOf(m); won != "" {
		v.Wait = won
	}
	if q.Stop() {
		v.Wait = "Two readings tell where TDC is. No stop at hand? Skip it."
	}
	v.Keys = keysOf(m, q, v.Value)
	return v
}

func keysOf(m *app.Model, q app.Question, in BenchValue) BenchKeys {
	k := BenchKeys{
		Skip: "skip", CanKeep: in.Digits != "" && in.Refuse == "",
		More: PadKey{"erase", "erase", app.BenchType{Key: "erase"}}, Less: PadKey{"½", "and a half", app.BenchType{Key: "half"}},
	}
	if q.Have > 0 {
		k.Skip = "next"
	}
	switch {
	case m.Nudged():
		step := unit.Plain(m.NudgeStep(), 3)
		k.More = PadKey{"+" + step, step + " more", app.BenchNudge{By: +1}}
		k.Less = PadKey{"−" + step, step + " less", app.BenchNudge{By: -1}}
		if in.Digits == "" {
			k.Same, _ = m.Last()
		}
	case in.Unit == "in":
		k.Less = PadKey{"/", "stroke of a fraction", app.BenchType{Key: "/"}}
	}
	return k
}

// wonOf is what the reading kept last says of its window: it stays to be seen
// while the next window's question stands.
func wonOf(m *app.Model) string {
	p := m.ResultInHand()
	if p == nil || !m.Counts(m.Bench.Said) {
		return ""
	}
	for _, r := range m.Open.Tally.Readings {
		for i := range p.Windows {
			if w := &p.Windows[i]; r.ID == m.Bench.Said && w.ID == r.Window && w.DurationDeg != nil {
				f := figDeg(w.DurationDeg, w.DurationU95Deg)
				return w.Name + " open for " + f.Value + " " + f.Doubt
			}
		}
	}
	return ""
}

func askOf(m *app.Model, q app.Question) BenchAsk {
	a := BenchAsk{Heading: stepWords(m.Habit(), q.Step), Where: whereOf(m)}
	nth := "reading " + strconv.Itoa(q.Nth) + " of " + strconv.Itoa(q.Want)
	if q.Nth > q.Want {
		nth = "one more, reading " + strconv.Itoa(q.Nth)
	}
	switch {
	case q.Stop():
		a.Heading, a.Sub = "Turn to the stop", "the running way, near "+nearWords(q.Near)+" · reading 1 of 2"
		if q.Way == app.WayBack {
			a.Heading, a.Sub = "Turn back to the stop", "the other way round, near "+nearWords(q.Near)+" · reading 2 of 2"
		}
		a.Dial = dialOf(m, q)
		return a
	case m.Habit() == build.HabitDepth:
		a.Sub = "from the cylinder top · " + nth
		return a
	case m.Habit() == build.HabitOpenZero:
		a.Sub = "wheel zeroed where it opens · " + nth
	default:
		a.Sub = "piston going up"
		if m.Down(q) {
			a.Sub = "piston going down"
		}
		if m.Bench.Side != "" {
			a.Sub += ", as chosen"
		}
		a.Sub += " · " + nth
	}
	a.Dial = dialOf(m, q)
	return a
}

// whereOf names the pass in hand, and its cylinder, where there is another.
func whereOf(m *app.Model) string {
	b, p, cylinder := m.Open.Build, m.PassInHand(), 1
	if p != nil {
		cylinder = max(1, p.Cylinder)
	}
	of := "cylinder " + plain(cylinder)
	switch name := passName(m); {
	case name == of:
		return of
	case b.Engine.Cylinders > 1 || cylinder > 1:
		return name + ", " + of
	case len(b.Passes) > 1:
		return name
	}
	return ""
}

// stepWords names a step as the list and the heading do.
func stepWords(habit string, s app.Step) string {
	switch {
	case s.When == app.WhenBefore:
		return "Stop check before"
	case s.When == app.WhenAfter:
		return "Stop check after"
	case habit == build.HabitDepth && s.Kind == build.KindIntake:
		return upper(s.Name) + ", depth of the floor"
	case habit == build.HabitDepth:
		return upper(s.Name) + ", depth of the roof"
	}
	return upper(s.Name) + " " + s.Event
}

func nearWords(near string) string {
	if near == app.NearBDC {
		return "bottom dead centre"
	}
	return "top dead centre"
}

func upper(s string) string {
	if s != "" && s[0] >= 'a' && s[0] <= 'z' {
		return string(s[0]-'a'+'A') + s[1:]
	}
	return s
}

func valueOf(m *app.Model) BenchValue {
	b := &m.Bench
	v := BenchValue{Digits: b.Text, Unit: m.UnitName(), Refuse: b.Refuse, Writing: b.Sending != "", Method: m.Method()}
	if r := m.Refusal(); r != "" {
		v.Refuse = r
	}
	v.Spoken = "nothing typed"
	if b.Text != "" {
		v.Spoken = b.Text + " " + spokenUnit(v.Unit)
	}
	if b.Feeler != nil && v.Method == app.MethodFeeler {
		v.Method += " " + unit.Plain(b.Feeler.MM(), 2)
	}
	if m.Habit() == build.HabitDepth {
		v.Method = v.Unit
		if l, err := unit.ParseLength(b.Text, unit.LengthUnit(b.Unit)); err == nil {
			v.Other = "= " + otherUnits(l)
		}
	}
	if q, ok := m.Question(); ok && q.Stop() {
		v.Method = "near TDC"
		if q.Near == app.NearBDC {
			v.Method = "near BDC"
		}
	}
	v.CanUndo = len(m.Open.Done) > 0
	return v
}

func spokenUnit(u string) string {
	switch u {
	case "°":
		return "degrees"
	case "in":
		return "inches"
	}
	return u
}

// benchSaid is read out after a reading was kept, taken back, struck out or let
// count again: which it was, and what is asked now.
func benchSaid(m *app.Model, v *BenchView) string {
	if m.Bench.Said == "" {
		return ""
	}
	said := chipText(m, m.Bench.Said)
	switch reason := m.Open.Tally.Why(m.Bench.Said); {
	case reason == "" && !m.Bench.Again && m.Counts(m.Bench.Said):
		said = upper(m.KeptWords(m.Bench.Said)) + "."
	case reason == app.ReasonTakenBack:
		said += " taken back."
	case reason != "":
		said += " struck out."
	case m.Bench.Again:
		said += " counts again."
	}
	if v.Done != nil {
		return said + " " + v.Done.Heading + "."
	}
	return said + " " + v.Ask.Heading + ", " + v.Ask.Sub + "."
}

func doneOf(m *app.Model) *BenchDone {
	d := &BenchDone{Heading: "Everything was asked", Sub: "“" + passName(m) + "” is read. A question can be gone back to at any time."}
	if p := m.ResultInHand(); p != nil {
		for i := range p.Windows {
			w := &p.Windows[i]
			at := figWhere(w.Kind, w.OpensDeg, w.OpensU95Deg)
			row := DoneRow{Name: w.Name, Opens: at.Value, Doubt: at.Doubt}
			if at.Word == "before TDC" {
				row.Doubt += " before TDC"
			}
			row.Open = figDeg(w.DurationDeg, nil).Value
			if row.Opens != "" || row.Open != "" {
				d.Rows = append(d.Rows, row)
			}
		}
	}
	d.Buttons = append(d.Buttons, Button{Words: "See what the readings say", Msg: app.Go{Hash: app.Route{Station: app.AtFindings, Build: m.Open.ID}.Hash()}, Now: true})
	more := func(ok bool, words, what string) {
		if ok {
			d.Buttons = append(d.Buttons, Button{Words: words, Msg: app.BenchMore{What: what}})
		}
	}
	look, atTDC := m.Bench.Mode == app.FirstLook, m.Habit() == build.HabitTDCZero
	more(look && atTDC, "Stop check", "stops")
	more(m.Bench.Mode != app.Everything && atTDC, "Read the closings too", "closes")
	more(look || m.Settings.Repeats == 1 || m.Settings.Repeats == 2, "Read each three times", "repeats")
	for _, s := range m.Steps() {
		if s.Skipped && !s.Full() {
			d.Buttons = append(d.Buttons, Button{Words: "Skipped: " + stepWords(m.Habit(), s), Msg: app.BenchGo{Step: s.ID}})
			break
		}
	}
	return d
}

func passName(m *app.Model) string {
	if p := m.PassInHand(); p != nil {
		return p.Name
	}
	return "as received"
}
