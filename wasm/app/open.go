package app

import (
	"portwright/engine/build"
)

// started asks for the book; the address is kept until the book is there.
func (m *Model) started(msg Started) []Effect {
	m.wanted = msg.Hash
	return []Effect{LoadBook{}}
}

func (m *Model) bookLoaded(msg BookLoaded) []Effect {
	m.Ready = true
	m.Device, m.Settings, m.Storage = msg.Device, msg.Settings, msg.Storage
	m.Book.Cards = msg.Cards
	m.Alert = msg.Err
	fx := []Effect{m.appear()}
	return append(fx, m.navigated(m.wanted)...)
}

// navigated goes to the address: another build is loaded, another station of
// the same build is shown at once.
func (m *Model) navigated(hash string) []Effect {
	m.wanted = hash
	if !m.Ready {
		return nil
	}
	r := ParseRoute(hash)
	m.Station = r.Station
	if r.Build == "" {
		m.Open = nil
		return []Effect{Awake{On: false}}
	}
	fx := []Effect{Awake{On: r.Station == AtBench}}
	if m.Open != nil && m.Open.ID == r.Build {
		return fx
	}
	m.Open = nil
	return append(fx, LoadBuild{Build: r.Build})
}

func (m *Model) buildLoaded(msg BuildLoaded) []Effect {
	if r := ParseRoute(m.wanted); r.Build != msg.Build {
		return nil
	}
	if msg.Err != "" {
		m.Alert = msg.Err
		return nil
	}
	m.Open = &Open{ID: msg.Build, Entries: msg.Entries}
	m.refresh()
	return nil
}

// refresh folds the entries again and computes the findings anew.
func (m *Model) refresh() {
	m.Open.Build = &build.Build{}
}

// otherTab loads a build again that another tab has written to.
func (m *Model) otherTab(msg OtherTab) []Effect {
	fx := []Effect{LoadBook{}}
	if m.Open != nil && m.Open.ID == msg.Build {
		fx = append(fx, LoadBuild{Build: msg.Build})
	}
	return fx
}

func (m *Model) appear() Effect {
	hand := ""
	if m.Settings.LeftHand {
		hand = "left"
	}
	return Appear{Theme: m.Settings.Theme, Hand: hand}
}
