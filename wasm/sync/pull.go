package sync

import "portwright/server/wire"

// behind says whether there is something to pull.
func (m *Machine) behind() bool { return m.saved.Cursor != m.head || m.saved.Mark != m.mark }

// take brings what was pulled to the disk, with the cursor behind it and what
// the lines are then. Where that fails, the next Look makes the lines anew.
func (m *Machine) take(a *pullAnswer) Effect {
	m.pulled = a
	if a.Epoch != m.saved.Epoch {
		m.doubt()
	}
	if a.Reset {
		m.again()
	}
	entries := make([][]byte, len(a.Entries))
	for i, e := range a.Entries {
		entries[i] = e
		if device, seq, err := wire.Address(e); err == nil { // else the shelf refuses it
			m.line(device).met(seq, e)
		}
	}
	s := m.keep()
	s.Epoch, s.Cursor, s.Mark = a.Epoch, a.Next, a.Mark
	return &Take{Entries: entries, Saved: s}
}

// took goes on with what was brought to the disk.
func (m *Machine) took() {
	a, s := m.pulled, &m.saved
	if m.pulled = nil; a == nil {
		return
	}
	s.Epoch, s.Cursor, s.Mark = a.Epoch, a.Next, a.Mark
	if a.Next > m.head || !a.More {
		m.head, m.mark = a.Next, a.Mark
	}
	for _, l := range m.lines {
		l.compare()
	}
}
