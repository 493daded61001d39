package view

import (
	"strings"

	"portwright/engine/book"
	"portwright/engine/unit"
	"portwright/wasm/app"
)

// BookView is station Book ready to show.
type BookView struct {
	Kept     string   // where the entries are
	Sync     []string // whether the shop PC has them, one sentence each
	Stored   []string // how safe they are there, one sentence each
	AskKeep  bool     // the browser has not promised to keep the book
	Cards    []BookCard
	Query    string
	Search   bool   // there is enough to look for
	Page     string // "1 to 50 of 1000 builds"
	Before   bool   // there is a page before
	After    bool
	Away     bool // shows what was put away
	AwayLink string
	Nothing  string // why the list is empty
	Demo     bool   // the demo is offered
	Busy     bool   // a build is being made
	Compare  string // the build that another is to be compared with
	Incoming *IncomingView
	Unpaired bool      // the shop PC does not let this device in
	Pair     *PairView // and the person types its code
	Settings *SettingsView
}

// BookCard is one build in the list.
type BookCard struct {
	ID, Hash              string
	Number, Name, Summary string
	State, Touched        string
	Twins                 string // other builds have its number
	Demo, More, Away      bool
	Finished              bool
	First                 bool   // the one that another is to be compared with
	Compare               string // address that compares it with the first
}

// IncomingView is what an import said.
type IncomingView struct {
	Title  string
	Lines  []string
	Faults []FaultRow
	Act    Button // what can be done with it all the same
}

// FaultRow is one thing that is wrong: the field, then the value and what would
// be right.
type FaultRow struct{ Field, Text string }

// SettingsView is this device's settings.
type SettingsView struct {
	Themes  []Choice
	Hands   []Choice
	Repeats []Choice
	Signs   []Button // that a value was kept
	Asked   string   // where the shop PC is asked
}

// Choice is one of a few.
type Choice struct {
	Value, Words, Note string
	Here               bool
}

// Pressed is the value of aria-pressed.
func (c Choice) Pressed() string { return truth(c.Here) }

// Open is the value of aria-expanded.
func (c BookCard) Open() string { return truth(c.More) }

func bookOf(m *app.Model) *BookView {
	all := m.ShownCards()
	v := &BookView{
		Kept: keptWords(m), Sync: syncWords(m), Stored: storedWords(m), AskKeep: m.Storage.Known && !m.Storage.Persisted,
		Query: m.Book.Query, Search: len(m.Book.Cards) > 4 || m.Book.Query != "",
		Away: m.Book.Away, Busy: m.Book.Opening != "",
	}
	from := min(m.Book.Page*app.PageSize, max(0, len(all)-1)/app.PageSize*app.PageSize)
	to := min(from+app.PageSize, len(all))
	for _, c := range all[from:to] {
		v.Cards = append(v.Cards, bookCard(m, c))
	}
	v.Before, v.After = from > 0, to < len(all)
	if v.Before || v.After {
		v.Page = plain(from+1) + " to " + plain(to) + " of " + counted(len(all), "build")
	}
	away := 0
	for _, c := range m.Book.Cards {
		if c.State == app.StateAway {
			away++
		}
	}
	switch {
	case v.Away:
		v.AwayLink = "Back to the builds in work"
	case away > 0:
		v.AwayLink = "Put away: " + counted(away, "build")
	}
	v.Demo = len(m.Book.Cards) == 0
	switch {
	case len(all) > 0:
	case m.Book.Query != "":
		v.Nothing = "No build has these words in its number, name or engine."
	case v.Away:
		v.Nothing = "Nothing is put away."
	case !v.Demo:
		v.Nothing = "Every build is put away."
	default:
		v.Nothing = "No build yet. A build is one engine's work: its numbers, readings, findings and cuts. A first look needs nothing but the wheel on the crank."
	}
	v.Incoming, v.Unpaired, v.Pair = incomingOf(m), m.Unpaired(), pairOf(m)
	if m.Book.Settings {
		v.Settings = settingsOf(m)
	}
	for i := range m.Book.Cards {
		if c := &m.Book.Cards[i]; c.Build == m.Book.Compare {
			v.Compare = strings.TrimSpace(c.Number + " " + c.Name)
		}
	}
	return v
}

func bookCard(m *app.Model, c *book.Card) BookCard {
	station := app.AtBench
	switch {
	case c.State == app.StateFinished || c.State == app.StateAway || c.Demo:
		station = app.AtFindings
	case c.Readings == 0:
		station = app.AtEngine
	}
	v := BookCard{
		ID: c.Build, Hash: app.Route{Station: station, Build: c.Build}.Hash(),
		Number: c.Number, Name: c.Name, Summary: c.Summary, State: c.State,
		Touched: when(c.TouchedMS), Demo: c.Demo, More: m.Book.More == c.Build,
		Away: c.State == app.StateAway, Finished: c.State == app.StateFinished,
	}
	if n := m.SameNumber(c); n > 1 {
		v.Twins = counted(n, "build") + " have number " + c.Number + "."
	}
	if first := m.Book.Compare; first != "" {
		v.First = first == c.Build
		v.Compare = app.Route{Station: app.AtSheet, Build: first, Field: c.Build}.Hash()
	}
	if v.Name == "" {
		v.Name = "Build without a name"
	}
	if v.State == "" {
		v.State = "in work"
	}
	return v
}

// keptWords tells the truth about where the entries are.
func keptWords(m *app.Model) string {
	last := m.Save.LastMS
	for _, c := range m.Book.Cards {
		last = max(last, c.TouchedMS)
	}
	s := counted(m.Storage.Entries, "entry") + " on this device"
	if last > 0 && m.Storage.Entries > 0 {
		s = "Saved " + when(last) + ": " + s
	}
	if m.Settings.LastBackupMS > 0 {
		s += ", last copied to a file " + when(m.Settings.LastBackupMS)
	} else if m.Storage.Entries > 0 {
		s += ", not yet copied to a file"
	}
	return s + "."
}

// storedWords says how safe the entries are on this device.
func storedWords(m *app.Model) []string {
	var out []string
	switch {
	case !m.Storage.Known:
		out = append(out, "This browser does not say whether it keeps the builds: copy the book to a file now and then.")
	case m.Storage.Persisted:
		out = append(out, "The browser has promised to keep the builds.")
	default:
		out = append(out, "The browser may clear the builds away when space runs short.")
	}
	if m.Storage.QuotaMB > 0 && m.Storage.UsedMB > 0.8*m.Storage.QuotaMB {
		out = append(out, "Space is short: "+unit.Fixed(m.Storage.UsedMB, 0)+" of "+unit.Fixed(m.Storage.QuotaMB, 0)+" MB are used.")
	}
	return out
}

func incomingOf(m *app.Model) *IncomingView {
	in := m.Book.Incoming
	v := &IncomingView{Title: in.Name}
	switch {
	case in.Reading:
		v.Lines = []string{"Taking it in ..."}
	case len(in.Faults) > 0:
		v.Title = in.Name + " was not taken in"
		v.Lines = []string{"Nothing was written."}
		for _, f := range in.Faults {
			v.Faults = append(v.Faults, faultRow(f.Field, f))
		}
	case in.Err != "" && in.Name == "":
		v.Title = "That did not work"
		v.Lines = []string{in.Err}
	case in.Err != "":
		v.Title = in.Name + " was not taken in"
		v.Lines = []string{in.Err}
	case in.Known != nil && in.Away:
		v.Lines = []string{"This build is in the book already, and put away: " + in.Known.Number + " " + in.Known.Name + ". Bring it back?"}
		v.Act = Button{Words: "Bring it back", Msg: app.BuildTask{Kind: app.TaskState, Build: in.Known.ID}}
	case in.Known != nil:
		v.Lines = []string{"This build is in the book already: " + in.Known.Number + " " + in.Known.Name +
			". A build file can't be joined with it; a whole-book file can."}
		v.Act = Button{Words: "Open it as a copy", Msg: app.TakeCopy{}}
	case len(in.Held) > 0:
		v.Lines = []string{"This file was altered or damaged. What is whole in it: " + counted(len(in.Held), "entry") + ". Take that in?"}
		v.Act = Button{Words: "Take in what is whole", Msg: app.TakeHeld{}}
	case in.Said != "":
		v.Lines = []string{in.Said}
	default:
		return nil
	}
	if in.Warning != "" {
		v.Lines = append(v.Lines, "The file: "+in.Warning)
	}
	return v
}

func faultRow(field string, f *unit.InputError) FaultRow {
	r := FaultRow{field, f.Reason}
	if v := faultValue(f); v != "" {
		r.Text = v + ", " + f.Reason
	}
	return r
}

func faultValue(f *unit.InputError) string {
	if f.Value == "" || f.Unit == "" {
		return f.Value
	}
	return f.Value + " " + f.Unit
}

// askedWords says at which addresses the shop PC is looked for. It names them
// itself: the page may ask no other.
func askedWords(m *app.Model) string {
	s := "The shop PC is looked for where this app came from"
	if places := strings.Fields(m.Settings.Places); len(places) > 0 {
		s += ", and at " + strings.Join(places, ", ")
	}
	return s + ". It names its addresses itself: a new one comes with the next sync."
}

func settingsOf(m *app.Model) *SettingsView {
	s := m.Settings
	v := &SettingsView{
		Themes: []Choice{
			{"", "As the device", "", s.Theme == ""}, {"day", "Day", "ink on paper", s.Theme == "day"},
			{"shed", "Shed", "light on dark", s.Theme == "shed"}},
		Signs: signsOf(m),
		Asked: askedWords(m),
		Hands: []Choice{{"right", "Right hand", "", !s.LeftHand}, {"left", "Left hand", "", s.LeftHand}},
	}
	repeats := s.Repeats
	if repeats == 0 {
		repeats = 3
	}
	for n := 1; n <= 5; n++ {
		v.Repeats = append(v.Repeats, Choice{plain(n), plain(n), "", n == repeats})
	}
	return v
}
