package app

import (
	"slices"

	"portwright/engine/book"
)

// SaveState is what is on its way to the disk, oldest first. Only the first
// write is in flight; the others wait for it, so that the order holds.
type SaveState struct {
	Waiting []Write
	Failed  bool
	Why     string // why the first write could not be kept
	Name    string // DOMException name of the failure
	LastMS  int64  // when something was last kept
}

// Write is one transaction's worth of items.
type Write struct {
	Token string
	Items []book.Item
	Card  *book.Card
}

// write asks for items to be kept in one transaction; every station writes
// through it. Items without an ID get one.
func (m *Model) write(in Input, items ...book.Item) []Effect {
	if len(items) == 0 {
		return nil
	}
	for i := range items {
		if items[i].ID == "" {
			items[i].ID = in.ID(0x8000 + 0x400*len(m.Save.Waiting) + i)
		}
	}
	w := Write{Token: items[len(items)-1].ID, Items: items}
	m.Save.Waiting = append(m.Save.Waiting, w)
	if len(m.Save.Waiting) > 1 {
		return nil
	}
	return m.sendFirst(in)
}

// sendFirst sends the oldest write, with the card as it will be.
func (m *Model) sendFirst(in Input) []Effect {
	if len(m.Save.Waiting) == 0 {
		return nil
	}
	w := &m.Save.Waiting[0]
	w.Card = m.cardWith(w.Items, in)
	return []Effect{Append{Token: w.Token, Items: w.Items, Card: w.Card}}
}

// kept takes entries that are durable. An answer that comes twice changes
// nothing.
func (m *Model) kept(msg Kept, in Input) []Effect {
	m.Save.LastMS = max(m.Save.LastMS, msg.AtMS)
	m.Storage.Entries = max(m.Storage.Entries, msg.Total)
	if n := len(msg.Entries); n > 0 && !m.Mine(msg.Entries[n-1].Device) { // a branch got another name
		m.Former, m.Device = append(slices.Clone(m.Former), m.Device), msg.Entries[n-1].Device
	}
	if m.Open != nil {
		m.learn(msg.Entries)
	}
	at := slices.IndexFunc(m.Save.Waiting, func(w Write) bool { return w.Token == msg.Token })
	if at < 0 {
		return nil
	}
	w := m.Save.Waiting[at]
	m.Save.Waiting = slices.Delete(slices.Clone(m.Save.Waiting), at, at+1)
	m.Bench.Refuse = ""
	m.putCard(w.Card)
	if at > 0 {
		return nil
	}
	m.Save.Failed, m.Save.Why, m.Save.Name = false, "", ""
	var fx []Effect
	if m.Open != nil && m.Bench.Sending == w.Token {
		m.benchWritten()
		if m.Settings.ReadBack {
			fx = append(fx, Say{m.KeptWords(m.Bench.Said)})
		}
		if !m.Settings.Still {
			fx = append(fx, Buzz{})
		}
		if m.Settings.Tone {
			fx = append(fx, Tone{})
		}
	}
	fx = append(fx, m.written(w)...)
	return append(fx, m.sendFirst(in)...)
}

// notKept says so on the screen and holds everything back until it is tried
// again. Items without a token are left from an earlier start.
func (m *Model) notKept(msg NotKept) []Effect {
	if msg.Token == "" && len(msg.Items) > 0 {
		left := Write{Token: msg.Items[len(msg.Items)-1].ID, Items: msg.Items}
		m.Save.Waiting = append([]Write{left}, m.Save.Waiting...)
		msg.Token = left.Token
	}
	if len(m.Save.Waiting) == 0 || m.Save.Waiting[0].Token != msg.Token {
		return nil
	}
	m.Save.Failed, m.Save.Why, m.Save.Name = true, msg.Err, msg.Name
	return []Effect{FocusOn{FocusTryAgain}}
}

// FocusTryAgain is the button that the focus goes to when something could not
// be kept.
const FocusTryAgain = "try-again"

func (m *Model) tryAgain(in Input) []Effect {
	if !m.Save.Failed {
		return nil
	}
	m.Save.Failed = false
	return m.sendFirst(in)
}

// giveUp drops the write that failed; a reading goes back into the field it
// was typed in.
func (m *Model) giveUp(in Input) []Effect {
	if !m.Save.Failed {
		return nil
	}
	w := m.Save.Waiting[0]
	if m.Bench.Sending == w.Token {
		m.Bench.Sending, m.Bench.Next = "", ""
	}
	m.unwritten(w)
	m.Save.Waiting = m.Save.Waiting[1:]
	m.Save.Failed, m.Save.Why, m.Save.Name = false, "", ""
	forget := Forget{}
	for _, it := range w.Items {
		forget.IDs = append(forget.IDs, it.ID)
	}
	return append([]Effect{forget}, m.sendFirst(in)...)
}

// visible asks for the screen to stay awake again, which a hidden page loses,
// and tries once more what could not be kept.
func (m *Model) visible(msg Visible, in Input) []Effect {
	if !msg.Shown {
		return nil
	}
	fx := []Effect{Awake{On: m.Station == AtBench}}
	return append(fx, m.tryAgain(in)...)
}
