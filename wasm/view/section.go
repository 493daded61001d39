package view

import (
	"math"
	"strconv"

	"portwright/engine/draw"
	"portwright/engine/unit"
	"portwright/wasm/app"
)

// SectionView is the section of the findings, ready to show.
type SectionView struct {
	Pass   string
	Passes []Button
	Why    string // why there is no picture, "" when there is one
	Empty  bool   // no opening is known
	Bench  string // address of the bench

	Label string // the still picture in words
	Parts []SectionPart
	Words []SectionWord

	Title, Text, Below string
	Said               string // at an event: for the live region
	At                 string // the slider's value, whole degrees
	Spoken             string // the same in words
	Play               string // words of the button
	Playing            bool
	Rows               []SectionRow
	Notes              []string
}

// Pressed is the value of aria-pressed of the button Play.
func (v *SectionView) Pressed() string { return truth(v.Playing) }

// SectionPart is a group of the picture.
type SectionPart struct{ SVG, Transform, Visibility string }

// SectionWord is a text of the picture.
type SectionWord struct{ X, Y, Size, Weight, Text string }

// SectionRow is one window at the angle.
type SectionRow struct{ Number, Name, State string }

func sectionOf(m *app.Model) *SectionView {
	v := &SectionView{Bench: app.Route{Station: app.AtBench, Build: m.Open.ID}.Hash()}
	p := m.ShownPass()
	if p != nil {
		v.Pass = p.Name + ", cylinder " + strconv.Itoa(p.Cylinder)
		if all := m.Open.Results.Passes; len(all) > 1 {
			for i := range all {
				v.Passes = append(v.Passes, Button{Words: passCalled(m.Open.Build, all[i].Name, all[i].Cylinder), Msg: app.BenchPass{Pass: all[i].ID}, Now: &all[i] == p})
			}
		}
	}
	s, why := m.Section()
	if s == nil {
		v.Why, v.Empty = why, why == ""
		return v
	}
	f := s.Frame(m.Turning.Deg)
	v.picture(s, &f)
	v.Title, v.Text, v.Below = f.Title, f.Text, f.Below
	v.At = strconv.Itoa(int(math.Round(f.Deg)) % 360)
	v.Spoken = f.Words[1] + " " + f.Words[2]
	if f.Event >= 0 {
		v.Said = f.Title + ", " + v.Spoken + ". " + f.Text
		v.Spoken += ", " + f.Title
	}
	v.Play, v.Playing = "Play", m.Turning.Playing
	if v.Playing {
		v.Play = "Stop"
	}
	for i := range s.Windows {
		if w := &s.Windows[i]; w.Drawn {
			v.Rows = append(v.Rows, SectionRow{strconv.Itoa(w.Number), w.Name, openWords(&f.Windows[i])})
		}
	}
	v.Notes = s.Notes
	return v
}

// picture places the parts and the words.
func (v *SectionView) picture(s *draw.Section, f *draw.Frame) {
	v.Label = s.Title + ". " + s.Text
	v.Parts = make([]SectionPart, len(s.Parts))
	for i := range s.Parts {
		v.Parts[i] = SectionPart{s.Parts[i].SVG, f.Poses[i].Transform, f.Poses[i].Visibility()}
	}
	v.Words = make([]SectionWord, len(s.Words))
	for i, w := range s.Words {
		weight := "500"
		if w.Bold {
			weight = "700"
		}
		v.Words[i] = SectionWord{coord(w.X), coord(w.Y), coord(w.Size), weight, f.Words[i]}
	}
}

// openWords says how far a window stands open; sizes that nobody measured are
// not said.
func openWords(w *draw.WindowAt) string {
	switch {
	case !w.Open:
		return "shut"
	case w.Sized:
		return "open " + unit.Fixed(w.Height, 1) + " mm, " + unit.Fixed(w.Area, 0) + " mm²"
	case w.Known:
		return "open " + unit.Fixed(w.Height, 1) + " mm"
	}
	return "open"
}
