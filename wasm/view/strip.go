package view

import (
	"strconv"
	"time"

	"portwright/engine/book"
	"portwright/engine/build"
	"portwright/engine/unit"
	"portwright/wasm/app"
)

// Strip is the line along the top.
type Strip struct {
	Title string // the build's name, or the app's
	Home  bool   // at the book: nowhere to go back to
	Place string // at the bench: which question of how many; opens the list
	Kept  string // what was kept last while nothing new is typed, else when, "" when nothing was yet; why not, with Bad
	Bad   bool   // something could not be kept
	Finds string // at the bench: "2 findings"; "" when there is none
	To    string // address of the findings
}

// NavItem is one station of the open build.
type NavItem struct {
	Name, Hash string
	Here       bool
}

// SaveBanner blocks when something could not be kept.
type SaveBanner struct {
	Shown  bool
	What   []string // what is not kept, each with its value
	Reason string
	Full   bool // the device has no room left
	Back   bool // giving up puts the value back into the field
}

// UpdateBar offers a new version.
type UpdateBar struct{ Shown bool }

func stripOf(m *app.Model) Strip {
	s := Strip{Title: "Portwright", Home: m.Station == app.AtBook}
	if m.Open != nil && m.Open.Build != nil {
		s.Title = m.Open.Build.Name
		if s.Title == "" {
			s.Title = "Build without a name"
		}
	}
	if m.Station == app.AtBench && m.Open != nil && len(m.Open.Build.Windows) > 0 {
		s.Place, s.Finds = placeOf(m), findsOf(m)
		s.To = app.Route{Station: app.AtFindings, Build: m.Open.ID}.Hash()
	}
	said := m.Bench.Said
	switch {
	case m.Save.Failed:
		s.Kept, s.Bad = "not saved", true
	case s.Place != "" && m.Bench.Text == "" && m.Counts(said):
		s.Kept = chipText(m, said)
	case m.Save.LastMS > 0:
		s.Kept = clock(m.Save.LastMS)
	case m.Open != nil && m.Open.Fold.TouchedMS > 0:
		s.Kept = clock(m.Open.Fold.TouchedMS)
	}
	return s
}

// placeOf is where in the pass the question in hand stands.
func placeOf(m *app.Model) string {
	steps := m.Steps()
	at := app.Place(steps, m.Bench.At)
	if at < 0 {
		return "all " + strconv.Itoa(len(steps))
	}
	return strconv.Itoa(at+1) + " of " + strconv.Itoa(len(steps))
}

// clock is the time of day on this device.
func clock(ms int64) string { return time.UnixMilli(ms).Format("15:04") }

func navOf(m *app.Model) []NavItem {
	if m.Open == nil {
		return nil
	}
	var out []NavItem
	for _, n := range []struct {
		name string
		st   app.Station
	}{{"Engine", app.AtEngine}, {"Bench", app.AtBench}, {"Findings", app.AtFindings}, {"Cuts", app.AtCuts}, {"Sheet", app.AtSheet}} {
		out = append(out, NavItem{n.name, app.Route{Station: n.st, Build: m.Open.ID}.Hash(), m.Station == n.st || n.st == app.AtFindings && m.Station == app.AtSection})
	}
	return out
}

// saveOf says what could not be kept, with its value, so that nothing that was
// read is off the screen.
func saveOf(m *app.Model) SaveBanner {
	if !m.Save.Failed || len(m.Save.Waiting) == 0 {
		return SaveBanner{}
	}
	b := SaveBanner{Shown: true, Reason: m.Save.Why}
	for _, w := range m.Save.Waiting {
		last := w.Items[len(w.Items)-1] // a reading comes after the pass that it needs
		b.What = append(b.What, itemWords(m, last))
	}
	b.Full = m.Save.Name == "QuotaExceededError"
	b.Back = m.Save.Waiting[0].Token == m.Bench.Sending
	return b
}

// itemWords names an item that is not kept: "exhaust opens 104.5°".
func itemWords(m *app.Model, it book.Item) string {
	switch it.Kind {
	case book.KindReading:
		var b book.ReadingBody
		if build.ReadRecord(it.Body, &b) != nil {
			return "a reading"
		}
		v, err := build.ReadValue(b.Value)
		if err != nil {
			return "a reading"
		}
		name := "window"
		if m.Open != nil && m.Open.Build != nil {
			for _, w := range m.Open.Build.Windows {
				if w.ID == b.Window {
					name = w.Name
				}
			}
		}
		if m.Habit() == build.HabitDepth {
			return name + " depth " + v.String()
		}
		return name + " " + b.Event + " " + unit.Plain(v.Value, 3) + "°"
	case book.KindStop:
		var b book.StopBody
		if build.ReadRecord(it.Body, &b) != nil {
			return "a stop reading"
		}
		return "stop check " + unit.Plain(b.Value, 3) + "°"
	case book.KindBite:
		return "a bite: metal that came off"
	case book.KindStrike:
		return "a reading struck out"
	case book.KindUnstrike:
		return "a reading that counts again"
	case book.KindSet:
		var b book.SetBody
		if build.ReadRecord(it.Body, &b) != nil {
			return "a field"
		}
		return wordsOf(b.Path).name + " " + string(b.Value)
	}
	return ""
}

func updateOf(m *app.Model) UpdateBar { return UpdateBar{Shown: m.Fresh.Waiting != ""} }
