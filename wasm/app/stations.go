package app

import "slices"

// written lets the stations follow a write that was kept.
func (m *Model) written(w Write) []Effect {
	ids := make(map[string]bool, len(w.Items))
	for _, it := range w.Items {
		ids[it.ID] = true
	}
	m.engineWritten(ids)
	m.strikeWritten(w)
	return slices.Concat(m.bookWritten(w), m.findingsWritten(ids), m.cutsWritten(w))
}

// unwritten gives what was typed or tapped back when a write is given up.
func (m *Model) unwritten(w Write) {
	for _, it := range w.Items {
		for path, f := range m.Engine.Typed {
			if f.Sending == it.ID {
				f.Sending = ""
				m.Engine.Typed[path] = f
			}
		}
		if m.Findings.Sending == it.ID {
			m.Findings.Sending = ""
		}
		if m.Book.Opening == it.ID {
			m.Book.Opening, m.Book.said, m.Book.Incoming = "", "", Incoming{}
		}
	}
}
