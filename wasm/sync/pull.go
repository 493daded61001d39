package sync

import "portwright/server/wire"

// behind says whether there is something to pull.
func (m *Machine) behind() bool { return m.saved.Cursor != m.head || m.saved.Mark != m.mark }

// take brings what was pulled to the disk, with the cursor behind it.
func (m *Machine) take(a *wire.PullAnswer) Effect {
	m.pulled = a
	s := m.keep()
	s.Epoch, s.Cursor, s.Mark = a.Epoch, a.Next, a.Mark
	entries := make([][]byte, len(a.Entries))
	for i, e := range a.Entries {
		entries[i] = e
	}
	return Take{Entries: entries, Saved: s}
}

// took goes on with what was brought to the disk.
func (m *Machine) took() {
	a := m.pulled
	if m.pulled = nil; a == nil {
		return
	}
	s := &m.saved
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
		device, seq, err := wire.Address(e)
		if err != nil {
			continue // the shelf refused it
		}
		l := m.lines[device]
		if l == nil {
			l = newLine(Held{Device: device}, Line{})
			m.lines[device] = l
		}
		l.met(seq, e)
	}
	for _, l := range m.lines {
		m.compare(l)
	}
}
