package app

import (
	"portwright/engine/book"
)

// SaveState is what is on its way to the disk, oldest first. Only the first
// write is in flight; the others wait for it, so that the order holds.
type SaveState struct {
	Waiting []Write
	Failed  string // why the first write could not be kept; "" while none failed
	LastMS  int64  // when something was last kept
}

// Write is one transaction's worth of items.
type Write struct {
	Token string
	Items []book.Item
}

// write asks for items to be kept in one transaction. Items without an ID get
// one, so that what waits can be told from what is kept.
func (m *Model) write(in Input, items ...book.Item) []Effect {
	for i := range items {
		if items[i].ID == "" {
			items[i].ID = in.ID(0x8000 + i)
		}
	}
	w := Write{Token: items[0].ID, Items: items}
	m.Save.Waiting = append(m.Save.Waiting, w)
	if len(m.Save.Waiting) > 1 {
		return nil
	}
	return []Effect{m.appendEffect(w)}
}

func (m *Model) appendEffect(w Write) Effect {
	return Append{Token: w.Token, Items: w.Items}
}

func (m *Model) kept(msg Kept, in Input) []Effect {
	if len(m.Save.Waiting) > 0 && m.Save.Waiting[0].Token == msg.Token {
		m.Save.Waiting = m.Save.Waiting[1:]
		m.Save.Failed = ""
	}
	m.Save.LastMS = msg.AtMS
	if m.Open != nil {
		m.Open.Entries = append(m.Open.Entries, msg.Entries...)
		m.refresh()
	}
	if len(m.Save.Waiting) > 0 {
		return []Effect{m.appendEffect(m.Save.Waiting[0])}
	}
	return nil
}

func (m *Model) notKept(msg NotKept) []Effect {
	if len(m.Save.Waiting) > 0 && m.Save.Waiting[0].Token == msg.Token {
		m.Save.Failed = msg.Err
	}
	return nil
}

func (m *Model) tryAgain() []Effect {
	if m.Save.Failed == "" || len(m.Save.Waiting) == 0 {
		return nil
	}
	m.Save.Failed = ""
	return []Effect{m.appendEffect(m.Save.Waiting[0])}
}

func (m *Model) visible(msg Visible) []Effect {
	if !msg.Shown {
		return nil
	}
	fx := []Effect{Awake{On: m.Station == AtBench}}
	return append(fx, m.tryAgain()...)
}

// updateWaiting takes a new version over by itself at a cold start with
// nothing in hand; else it waits for a tap.
func (m *Model) updateWaiting(msg UpdateWaiting) []Effect {
	m.Fresh.Waiting = msg.Build
	return nil
}
