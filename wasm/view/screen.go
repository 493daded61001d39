// Package view turns the app's state into text and numbers that are ready to
// show. Components print what stands here and compute nothing.
package view

import "portwright/wasm/app"

// Screen is all that is on the screen. At most one of the stations is set.
type Screen struct {
	At     string // the station, for the style sheet
	Strip  Strip
	Nav    []NavItem // the stations of the open build; none at the book
	Save   SaveBanner
	Update UpdateBar
	Notice string // permanent polite live region
	Alert  string // permanent assertive live region

	Book     *BookView
	Engine   *EngineView
	Bench    *BenchView
	Findings *FindingsView
	Cuts     *CutsView
	Section  *SectionView
	Sheet    *SheetView
	Loading  bool // the book or the build is still being read
}

// Of shows the model.
func Of(m *app.Model) Screen {
	s := Screen{
		At: string(m.Station), Strip: stripOf(m), Nav: navOf(m), Save: saveOf(m), Update: updateOf(m),
		Notice: m.Notice, Alert: m.Alert,
	}
	if !m.Ready || (m.Station != app.AtBook && m.Open == nil) {
		s.Loading = true
		return s
	}
	switch m.Station {
	case app.AtBook:
		s.Book = bookOf(m)
	case app.AtEngine:
		s.Engine = engineOf(m)
	case app.AtBench:
		s.Bench = benchOf(m)
		if s.Notice == "" {
			s.Notice = benchSaid(m, s.Bench)
		}
	case app.AtFindings:
		s.Findings = findingsOf(m)
	case app.AtSection:
		s.Section = sectionOf(m)
		if s.Notice == "" {
			s.Notice = s.Section.Said
		}
	case app.AtCuts:
		s.Cuts = cutsOf(m)
		if s.Notice == "" {
			s.Notice = cutsSaid(s.Cuts)
		}
	case app.AtSheet:
		s.Sheet = sheetOf(m)
	}
	return s
}
