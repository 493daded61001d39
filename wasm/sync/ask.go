package sync

import "portwright/server/wire"

// ask asks the shop PC at the address that is in turn.
func (m *Machine) ask(push []byte, pull string) Effect {
	return &Ask{Address: m.addresses[m.tried], Push: push, Pull: pull}
}

// answered takes an answer. It returns an effect when what follows is no
// matter of plan.
func (m *Machine) answered(ev *Answered, in *In) Effect {
	pushing := m.sent
	m.sent = false
	if ev.Status != 200 {
		m.push = nil
		return m.notDone(ev, pushing, in)
	}
	var next Effect
	var serverMS int64
	if pushing {
		var a pushAnswer
		if decode(ev.Body, &a, &a.epoch) != nil {
			m.push = nil
			return m.elsewhere(Garbled, "", in)
		}
		m.asked, serverMS = true, a.serverMS
		m.pushed(&a)
	} else {
		var a pullAnswer
		if decode(ev.Body, &a, &a.Epoch) != nil {
			return m.elsewhere(Garbled, "", in)
		}
		serverMS = a.ServerMS
		next = m.take(&a)
	}
	m.status.Code, m.status.Said = "", "" // of an earlier round
	m.saved.Address = m.addresses[m.tried]
	m.saved.OffsetMS = serverMS - (ev.SentMS+in.NowMS)/2
	return next
}

// notDone takes an answer that is an error: nothing was taken in.
func (m *Machine) notDone(ev *Answered, pushing bool, in *In) Effect {
	if ev.Status == 0 {
		return m.elsewhere(Unreached, "", in)
	}
	switch e := decodeFault(ev.Status, ev.Body); {
	case e.Code == wire.TooLarge && pushing && m.room > 1:
		m.room /= 2
		return nil
	case e.Code == wire.NoSpace && pushing && !m.full:
		m.full, m.trouble, m.words = true, e.Code, e.Message // pulling goes on
		return nil
	case e.Code == wire.WrongHost, e.Code == wire.NotFound, e.Code == wire.Method:
		return m.elsewhere(e.Code, e.Message, in) // it is not the shop PC, or not by this name
	default:
		return m.fail(e.Code, e.Message, in)
	}
}

// elsewhere goes on with the next address.
func (m *Machine) elsewhere(code, said string, in *In) Effect {
	if m.tried++; m.tried < len(m.addresses) {
		return nil
	}
	return m.fail(code, said, in)
}
