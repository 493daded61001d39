package view

import "portwright/wasm/app"

// Strip is the line along the top.
type Strip struct {
	Title string // the build's name, or the book's
	Place string // where in the work: pass and question
	Kept  string // when something was last kept, "" when nothing was yet
}

// NavItem is one station of the open build.
type NavItem struct {
	Name, Hash string
	Here       bool
}

// SaveBanner blocks when something could not be kept.
type SaveBanner struct {
	Shown  bool
	What   string // what is not kept, with its value
	Reason string
}

// UpdateBar offers a new version.
type UpdateBar struct{ Shown bool }

func stripOf(m *app.Model) Strip {
	s := Strip{Title: "Book"}
	if m.Open != nil && m.Open.Build != nil {
		s.Title = m.Open.Build.Name
	}
	return s
}

func navOf(m *app.Model) []NavItem {
	if m.Open == nil {
		return nil
	}
	var out []NavItem
	for _, n := range []struct {
		name string
		st   app.Station
	}{{"Engine", app.AtEngine}, {"Bench", app.AtBench}, {"Findings", app.AtFindings}} {
		out = append(out, NavItem{n.name, app.Route{Station: n.st, Build: m.Open.ID}.Hash(), m.Station == n.st})
	}
	return out
}

func saveOf(m *app.Model) SaveBanner {
	return SaveBanner{Shown: m.Save.Failed, Reason: m.Save.Why}
}

func updateOf(m *app.Model) UpdateBar { return UpdateBar{Shown: m.Fresh.Waiting != ""} }

// Current is the value of aria-current.
func (n NavItem) Current() string {
	if n.Here {
		return "page"
	}
	return "false"
}
