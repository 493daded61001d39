package sync

import "portwright/server/wire"

// behind says whether there is something to pull.
func (m *Machine) behind() bool { return m.saved.Cursor != m.head || m.saved.Mark != m.mark }

// take brings what was pulled to the disk, with the cursor behind it.
func (m *Machine) take(a *pullAnswer) Effect {
	m.pulled = a
	s := m.keep()
	s.Epoch, s.Cursor, s.Mark = a.Epoch, a.Next, a.Mark
	entries := make([][]byte, len(a.Entries))
	for i, e := range a.Entries {
		entries[i] = e
	}
	return &Take{Entries: entries, Saved: s}
}

// took goes on with what was brought to the disk.
func (m *Machine) took() {
	a, s := m.pulled, &m.saved
	if m.pulled = nil; a == nil {
		return
	}
	if a.Epoch != s.Epoch {
		m.doubt()
	}
	if a.Reset {
		m.again()
	}
	s.Epoch, s.Cursor, s.Mark = a.Epoch, a.Next, a.Mark
	if a.Next > m.head || !a.More {
		m.head, m.mark = a.Next, a.Mark
	}
	for _, e := range a.Entries {
		if device, seq, err := wire.Address(e); err == nil { // else the shelf refused it
			m.line(device).met(seq, e)
		}
	}
	for _, l := range m.lines {
		l.compare()
	}
}
