package app

import "strings"

// PairState is the question that lets this device in at the shop PC.
type PairState struct {
	Open   bool   // the person wants to
	Code   string // as typed
	Name   string // of this device, for people
	Asking bool
	Said   string // why it did not work
}

// PairNameUsual is what a device is called whose person says nothing.
const PairNameUsual = "Phone"

// Messages about pairing.
type (
	// PairOpen asks for the question.
	PairOpen struct{}

	// PairCode types the code that Shop on the PC shows.
	PairCode struct{ Text string }

	// PairName types what this device is called there.
	PairName struct{ Text string }

	// PairNow asks the shop PC.
	PairNow struct{}

	// Paired answers Pair: the token, or why there is none.
	Paired struct{ Token, Said string }
)

func (PairOpen) msg() {}
func (PairCode) msg() {}
func (PairName) msg() {}
func (PairNow) msg()  {}
func (Paired) msg()   {}

// Unpaired says that the shop PC does not let this device in.
func (m *Model) Unpaired() bool { return m.Sync.Code == "no_token" || m.Sync.Code == "revoked" }

func (m *Model) updatePair(msg Msg) ([]Effect, bool) {
	p := &m.Pair
	switch msg := msg.(type) {
	case PairOpen:
		p.Open = true
		return []Effect{FocusOn{"pair-code"}}, true
	case PairCode:
		p.Code, p.Said = msg.Text, ""
	case PairName:
		p.Name, p.Said = msg.Text, ""
	case PairNow:
		return m.pairNow(), true
	case Paired:
		return m.paired(msg), true
	default:
		return nil, false
	}
	return nil, true
}

func (m *Model) pairNow() []Effect {
	p := &m.Pair
	if p.Asking || m.Device == "" {
		return nil
	}
	if strings.TrimSpace(p.Code) == "" {
		p.Said = "Type the code that Shop on the PC shows."
		m.Alert = p.Said
		return []Effect{FocusOn{"pair-code"}}
	}
	name := strings.TrimSpace(p.Name)
	if name == "" {
		name = PairNameUsual
	}
	p.Asking = true
	return []Effect{Pair{Code: p.Code, Device: m.Device, Name: name}}
}

func (m *Model) paired(msg Paired) []Effect {
	p := &m.Pair
	p.Asking = false
	if msg.Token == "" {
		p.Said, m.Alert = msg.Said, msg.Said
		return []Effect{FocusOn{"pair-code"}}
	}
	*p, m.Sync.Code, m.Alert = PairState{}, "", ""
	m.Sync.Told = false // what this shop PC has is asked anew
	m.Settings.Token = msg.Token
	m.Notice = "Paired with the shop PC"
	return append([]Effect{SaveSettings{m.Settings}}, m.sync(true)...)
}
