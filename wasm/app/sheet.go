package app

import (
	"strings"
	"time"

	"portwright/engine/book"
	"portwright/engine/build"
	"portwright/engine/sheet"
	"portwright/engine/unit"
)

// SheetState is station Sheet: the sheet of the build in hand, or that build
// beside another, or beside itself at another pass.
type SheetState struct {
	Sheet    *sheet.Sheet      // nil: Compared or Err is there
	Compared *sheet.Comparison // nil: nothing is compared
	Err      string            // why there is neither
	With     *build.Build      // what is compared with; nil until it is read
	Passes   [2]int            // places of the passes compared, from 1
	stale    bool
}

// Intents of station Sheet.
type (
	// SheetPrint prints what the station shows.
	SheetPrint struct{}

	// SheetShare hands it out as a page that needs nothing else.
	SheetShare struct{}

	// SheetNumbers hands out the sheet's numbers as CSV.
	SheetNumbers struct{}

	// SheetPass takes another pass for one side of a comparison: 0 or 1.
	SheetPass struct{ Side, Place int }
)

func (SheetPrint) msg()   {}
func (SheetShare) msg()   {}
func (SheetNumbers) msg() {}
func (SheetPass) msg()    {}

func (m *Model) updateSheet(msg Msg) ([]Effect, bool) {
	s := &m.Sheet
	if m.Open == nil || m.Station != AtSheet {
		return nil, false
	}
	switch msg := msg.(type) {
	case SheetPrint:
		switch {
		case s.Compared != nil:
			return []Effect{Print{Style: sheet.PageFoot(s.Compared.Title, s.Compared.Date)}}, true
		case s.Sheet != nil:
			return []Effect{Print{Style: sheet.PageFoot(s.Sheet.Title(), s.Sheet.Date)}}, true
		}
	case SheetShare:
		switch {
		case s.Compared != nil:
			return sharedPage("compared-"+fileName(m.Open.Build, "html"), sheet.CompareHTML(s.Compared)), true
		case s.Sheet != nil:
			return sharedPage(fileName(m.Open.Build, "html"), sheet.HTML(s.Sheet)), true
		}
	case SheetNumbers:
		if s.Sheet != nil {
			return []Effect{SaveFile{Name: "numbers-" + fileName(m.Open.Build, "csv"), MIME: "text/csv", Data: sheet.CSV(s.Sheet)}}, true
		}
	case SheetPass:
		if s.Compared != nil && (msg.Side == 0 || msg.Side == 1) {
			s.Passes[msg.Side], s.stale = msg.Place, true
		}
	default:
		return nil, false
	}
	return nil, true
}

func sharedPage(name, page string) []Effect {
	return []Effect{SaveFile{Name: name, MIME: "text/html", Data: []byte(page)}}
}

// sheetAt begins the sheet, or asks for the build that it is compared with.
func (m *Model) sheetAt(with string) []Effect {
	m.Sheet = SheetState{stale: true}
	switch {
	case m.Station != AtSheet || with == "":
	case with == m.Open.ID:
		m.compareWith(m.Open.Build)
	default:
		m.Book.Task = Task{Kind: TaskCompare, Build: with}
		return []Effect{LoadBuild{Build: with}}
	}
	return nil
}

// compareWith takes the first pass of the build in hand and its last, or the
// last of each of two builds.
func (m *Model) compareWith(b *build.Build) {
	m.Sheet = SheetState{With: b, Passes: [2]int{len(m.Open.Build.Passes), len(b.Passes)}, stale: true}
	if b == m.Open.Build {
		m.Sheet.Passes[0] = 1
	}
}

// comparedRead takes in the other build of a comparison.
func (m *Model) comparedRead(id string, entries []book.Entry) {
	if r := ParseRoute(m.wanted); m.Open == nil || r.Station != AtSheet || r.Field != id {
		return
	}
	if len(entries) == 0 {
		m.Sheet = SheetState{Err: "The build to compare with is not on this device."}
		return
	}
	m.compareWith(book.Fold(entries).Build)
}

// planSheet makes the sheet anew when the station is shown and something of
// the build changed.
func (m *Model) planSheet(in Input) {
	s := &m.Sheet
	if m.Station != AtSheet || m.Open == nil || !s.stale || m.Book.Task.Kind == TaskCompare {
		return
	}
	if s.With == nil && s.Err != "" {
		return
	}
	s.stale, s.Sheet, s.Compared, s.Err = false, nil, nil, ""
	if s.With != nil && ParseRoute(m.wanted).Field == m.Open.ID {
		s.With = m.Open.Build
	}
	if err := s.make(m.Open.Build, strings.TrimPrefix(m.Called(m.Device), "device "), time.UnixMilli(in.NowMS).Format(time.DateOnly)); err != nil {
		s.Err = err.Error()
	}
}

// make is guarded: a fault in there must not keep a build from opening.
func (s *SheetState) make(b *build.Build, device, date string) (err error) {
	defer func() {
		if fault := recover(); fault != nil {
			err = unit.Errorf("%s %v", SheetFailed, fault)
		}
	}()
	if s.With == nil {
		s.Sheet, _, err = sheet.Of(b, sheet.Options{Date: date, Device: device, Digest: digestOf(b)})
		return err
	}
	s.Compared, err = sheet.Compare(sheet.Side{Build: b, Pass: s.Passes[0], Digest: digestOf(b)},
		sheet.Side{Build: s.With, Pass: s.Passes[1], Digest: digestOf(s.With)})
	if err == nil {
		s.Compared.Date = date
	}
	return err
}

// SheetFailed begins the reason when making the sheet broke off.
const SheetFailed = "The sheet could not be made; every entry is kept. The fault:"

// digestOf is that of the build's file.
func digestOf(b *build.Build) string {
	data, err := build.Encode(b)
	if err != nil {
		return ""
	}
	return sheet.Digest(data)
}
