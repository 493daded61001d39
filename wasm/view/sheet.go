package view

import (
	"portwright/engine/build"
	"portwright/engine/findings"
	"portwright/engine/sheet"
	"portwright/wasm/app"
)

// SheetView is station Sheet ready to show.
type SheetView struct {
	HTML     string // the sheet or the comparison, for an element of class paper
	Refused  string // why there is neither
	Reading  bool   // the build to compare with is still being read
	Compares bool
	Back     string      // from a comparison to the build's sheet
	Two      string      // address that compares two passes of this build, "" where there is one
	Sides    [2][]Button // passes that each side of a comparison can be; none where there is one
	Names    [2]string   // of the sides
	Lacks    []Button    // what was measured before a cut and is not known since
}

func sheetOf(m *app.Model) *SheetView {
	s := &m.Sheet
	at := func(field string) string {
		return app.Route{Station: app.AtSheet, Build: m.Open.ID, Field: field}.Hash()
	}
	v := &SheetView{Refused: s.Err, Back: at(""), Compares: s.With != nil}
	switch {
	case s.Compared != nil:
		v.HTML = sheet.CompareBody(s.Compared)
	case s.Sheet != nil:
		v.HTML = sheet.Body(s.Sheet)
	case s.Err == "":
		v.Reading = true
	}
	if len(m.Open.Build.Passes) > 1 && s.With == nil {
		v.Two = at(m.Open.ID)
	}
	if s.Sheet != nil {
		v.Lacks = sheetLacks(m)
	}
	if s.With != nil {
		v.Names = [2]string{m.Open.Build.Name, s.With.Name}
		if s.With == m.Open.Build {
			v.Names = [2]string{"First", "Second"}
		}
		for side, b := range [2]*build.Build{m.Open.Build, s.With} {
			if len(b.Passes) < 2 {
				continue
			}
			for i, p := range b.Passes {
				v.Sides[side] = append(v.Sides[side], Button{Words: passCalled(b, p.Name, p.Cylinder), Msg: app.SheetPass{Side: side, Place: i + 1}, Now: s.Passes[side] == i+1})
			}
		}
	}
	return v
}

// passCalled is a pass's name, with its cylinder where there are several.
func passCalled(b *build.Build, name string, cylinder int) string {
	if max(b.Engine.Cylinders, 1) > 1 {
		return name + ", cylinder " + plain(max(cylinder, 1))
	}
	return name
}

// sheetLacks leads to squish and chamber of the last pass where a cut changed
// them and nobody measured them again.
func sheetLacks(m *app.Model) (out []Button) {
	b := m.Open.Build
	last := len(b.Passes) - 1
	if last < 1 {
		return nil
	}
	at := "passes/" + b.Passes[last].ID
	if len(b.Engine.Squish) > 0 && findings.Stale(b, last, func(p *build.Pass) bool { return len(p.Squish) > 0 }) {
		out = append(out, goTo("Give the squish after the cut", engineHash(m, at+".squish_mm[0]")))
	}
	if b.Engine.ChamberCC != nil && findings.Stale(b, last, func(p *build.Pass) bool { return p.ChamberCC != nil }) {
		out = append(out, goTo("Give the chamber after the cut", engineHash(m, at+".chamber_cc")))
	}
	return out
}
