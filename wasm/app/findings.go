package app

import (
	"bytes"

	"portwright/engine/book"
	"portwright/engine/build"
	"portwright/engine/findings"
)

// FindingsState is station Findings.
type FindingsState struct {
	Sending string // ID of the entry on its way to the disk
	Undoing bool   // that entry takes a correction back
}

// Intents of station Findings.
type (
	// ApplyRemedy consents to the remedy of a problem of the pass shown, by
	// its place.
	ApplyRemedy struct{ Problem int }

	// UndoRemedy takes a correction back.
	UndoRemedy struct{ Correction string }

	// ShareBuild hands out the open build as a build file.
	ShareBuild struct{}

	// ShareReadings hands out its readings as CSV.
	ShareReadings struct{}
)

func (ApplyRemedy) msg()   {}
func (UndoRemedy) msg()    {}
func (ShareBuild) msg()    {}
func (ShareReadings) msg() {}

func (m *Model) updateFindings(msg Msg, in Input) ([]Effect, bool) {
	if m.Open == nil || m.Open.Build == nil {
		return nil, false
	}
	switch msg := msg.(type) {
	case ApplyRemedy:
		return m.applyRemedy(msg.Problem, in), true
	case UndoRemedy:
		return m.undoRemedy(msg.Correction, in), true
	case ShareBuild:
		return m.saveBuildFile(m.Open.Build), true
	case ShareReadings:
		return m.saveReadings(m.Open.Build), true
	}
	return nil, false
}

// ShownPass is the result of the pass in hand, else the last; nil without any.
func (m *Model) ShownPass() *findings.PassResult {
	if m.Open == nil || m.Open.Results == nil || len(m.Open.Results.Passes) == 0 {
		return nil
	}
	if p := m.ResultInHand(); p != nil {
		return p
	}
	ps := m.Open.Results.Passes
	return &ps[len(ps)-1]
}

// applyRemedy writes the consent; the readings stay as they were read. A
// second tap while the first is on its way to the disk does nothing.
func (m *Model) applyRemedy(i int, in Input) []Effect {
	p := m.ShownPass()
	if p == nil || i < 0 || i >= len(p.Problems) || p.Problems[i].Remedy == nil || m.Findings.Sending != "" {
		return nil
	}
	c := *p.Problems[i].Remedy
	c.ID = ""
	if c.Code == "" {
		c.Code = p.Problems[i].Code
	}
	item, err := book.CorrectItem(in.ID(1), m.Open.ID, p.ID, c)
	if err != nil {
		m.Alert = "This remedy can't be written: " + err.Error()
		return nil
	}
	m.Findings.Sending, m.Findings.Undoing = in.ID(1), false
	return m.write(in, item)
}

// undoRemedy takes a correction of the pass shown back.
func (m *Model) undoRemedy(id string, in Input) []Effect {
	p := m.ShownPass()
	if p == nil || m.Findings.Sending != "" {
		return nil
	}
	for _, a := range p.Applied {
		if a.ID == id && id != "" {
			m.Findings.Sending, m.Findings.Undoing = in.ID(1), true
			return m.write(in, m.item(book.KindUncorrect, in.ID(1), &book.TargetBody{Target: id}))
		}
	}
	return nil
}

// findingsWritten follows writes that were kept: the screen says what they
// did, and the focus goes where the button was.
func (m *Model) findingsWritten(ids map[string]bool) []Effect {
	f := &m.Findings
	if f.Sending == "" || !ids[f.Sending] {
		return nil
	}
	f.Sending = ""
	m.Notice = "Corrected. The readings stay as they were read; Undo is beside it."
	to := "applied-title"
	if f.Undoing {
		m.Notice, to = "Taken back: the numbers are as they were read.", "problem-0"
	}
	if m.Station != AtFindings {
		return nil
	}
	return []Effect{FocusOn{ID: to}}
}

func (m *Model) saveBuildFile(b *build.Build) []Effect {
	data, err := build.Encode(b)
	if err != nil {
		m.Alert = "The build file can't be written: " + err.Error()
		return nil
	}
	return []Effect{SaveFile{Name: fileName(b, "json"), MIME: "application/json", Data: data}}
}

func (m *Model) saveReadings(b *build.Build) []Effect {
	var buf bytes.Buffer
	if err := build.WriteCSV(&buf, b); err != nil {
		m.Alert = "The readings can't be written: " + err.Error()
		return nil
	}
	return []Effect{SaveFile{Name: fileName(b, "csv"), MIME: "text/csv", Data: buf.Bytes()}}
}

// fileName is a name that every file system takes: number and name in letters,
// digits and hyphens.
func fileName(b *build.Build, ending string) string {
	var out []byte
	for _, r := range b.Number + " " + b.Name {
		switch {
		case r >= 'A' && r <= 'Z', r >= 'a' && r <= 'z', r >= '0' && r <= '9':
			out = append(out, byte(r))
		case len(out) > 0 && out[len(out)-1] != '-':
			out = append(out, '-')
		}
		if len(out) >= 60 {
			break
		}
	}
	name := string(bytes.Trim(out, "-"))
	if name == "" {
		name = "build"
	}
	return name + "." + ending
}
