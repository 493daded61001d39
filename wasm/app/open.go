package app

import (
	"slices"

	"portwright/engine/book"
	"portwright/engine/build"
	"portwright/engine/findings"
	"portwright/engine/unit"
)

// started asks for the book; the address is kept until the book is there.
func (m *Model) started(msg Started) []Effect {
	m.wanted = msg.Hash
	return []Effect{LoadBook{}}
}

func (m *Model) bookLoaded(msg BookLoaded, in Input) []Effect {
	first := !m.Ready
	m.Ready = true
	m.Device, m.Former = msg.Device, msg.Former
	m.setStorage(msg.Storage)
	m.Book.Cards = msg.Cards
	m.Alert = msg.Err
	if !first {
		if m.Unpaired() && msg.Settings.Token != m.Settings.Token { // another window paired
			m.Settings.Token, m.Settings.Places = msg.Settings.Token, msg.Settings.Places
			return m.sync(true)
		}
		return nil
	}
	m.Settings = msg.Settings
	fx := append(m.sync(false), m.appear())
	if m.wanted == DemoHash {
		fx = append(fx, m.openDemo(in)...)
	}
	return append(fx, m.navigated(m.wanted, in)...)
}

// setStorage takes what the browser says; entries are never fewer than they were
// known to be.
func (m *Model) setStorage(s Storage) {
	s.Entries = max(s.Entries, m.Storage.Entries)
	m.Storage = s
}

// navigated goes to the address: another build is loaded, another station of
// the same build is shown at once.
func (m *Model) navigated(hash string, in Input) []Effect {
	m.wanted = hash
	if !m.Ready {
		return nil
	}
	m.Cuts.due = true
	settled := m.settleCuts(in)
	r := ParseRoute(hash)
	m.Station = r.Station
	m.Bench.Panel = PanelNone
	fx := append(settled, Awake{On: r.Station == AtBench})
	fx = append(fx, m.stopTurning()...)
	switch {
	case r.Build == "":
		m.leave()
		return append(fx, LoadBook{})
	case m.Open != nil && m.Open.ID == r.Build:
		return append(fx, m.placeAt(r)...)
	}
	m.leave()
	return append(fx, LoadBuild{Build: r.Build})
}

// placeAt goes to what an address names within the open build.
func (m *Model) placeAt(r Route) []Effect {
	if r.Station == AtSheet {
		return m.sheetAt(r.Field)
	}
	return m.engineAt(r.Field)
}

// leave closes the build in hand; its draft was kept as it was typed.
func (m *Model) leave() {
	m.Open = nil
	m.Bench = BenchState{}
	m.Engine = EngineState{Unit: m.Engine.Unit}
	m.Findings = FindingsState{}
	m.Cuts = CutsState{}
	m.Turning = SectionState{}
	m.Sheet = SheetState{}
}

// buildLoaded opens a build, or takes in what another tab wrote to the one
// that is open; entries once seen are never dropped.
func (m *Model) buildLoaded(msg BuildLoaded, in Input) []Effect {
	if fx, ok := m.taskRead(msg, in); ok {
		return fx
	}
	if r := ParseRoute(m.wanted); r.Build != msg.Build {
		return nil
	}
	if msg.Err != "" {
		m.Alert = msg.Err
		return nil
	}
	if m.Open == nil && len(msg.Entries) == 0 {
		const none = "There is no such build on this device. Take its build file or a book file in, or open one of the builds here."
		m.Book.Incoming, m.Notice = Incoming{Err: none}, none
		return []Effect{GoTo{}}
	}
	if m.Open != nil && m.Open.ID == msg.Build {
		m.learn(msg.Entries)
		return nil
	}
	m.Open = &Open{ID: msg.Build}
	m.Bench = BenchState{}
	m.Open.Entries = slices.Clone(msg.Entries)
	m.takeDraft(msg.Draft)
	m.refresh()
	m.resume()
	m.resumeTyped()
	return m.placeAt(ParseRoute(m.wanted))
}

// resume puts the hand back as it was left: the same question, the same
// half-typed value. A reading that was on its way is either in the book, then
// its question is done with, or still in the field.
func (m *Model) resume() {
	b := &m.Bench
	written := b.Sending != "" && m.holds(b.Sending)
	if written {
		b.Text, b.ID = b.Next, ""
	}
	b.Sending, b.Next = "", ""
	switch {
	case Place(m.Steps(), b.At) < 0:
		b.Text = ""
		b.At = NextOpen(m.Steps(), "")
	case written:
		m.benchSettle()
	}
	m.retire()
}

// holds says that the open build has an entry.
func (m *Model) holds(id string) bool {
	return slices.ContainsFunc(m.Open.Entries, func(e book.Entry) bool { return e.ID == id })
}

// learn adds entries that are new to the open build and computes again what
// follows from them.
func (m *Model) learn(entries []book.Entry) {
	have := make(map[string]bool, len(m.Open.Entries))
	for _, e := range m.Open.Entries {
		have[e.ID] = true
	}
	before := len(m.Open.Entries)
	for _, e := range entries {
		if e.Build == m.Open.ID && !have[e.ID] {
			have[e.ID] = true
			m.Open.Entries = append(m.Open.Entries, e)
		}
	}
	if len(m.Open.Entries) == before {
		return
	}
	m.refresh()
	m.retire()
	if Place(m.Steps(), m.Bench.At) < 0 {
		m.benchSettle()
	}
}

// Mine says whether an entry's device is this one.
func (m *Model) Mine(device string) bool {
	return device == m.Device || slices.Contains(m.Former, device)
}

// refresh folds the entries again and computes the findings anew. It is called
// when entries were added and at no other time.
func (m *Model) refresh() {
	o := m.Open
	o.Fold = book.Fold(o.Entries)
	o.Build = o.Fold.Build
	o.Results, o.Err = nil, ""
	if r, err := results(o.Build); err != nil {
		o.Err = err.Error()
	} else {
		o.Results = r
	}
	m.tallyPass()
}

// results computes the findings. A fault in there must not keep a build from
// opening: its readings can still be seen, kept and handed out.
func results(b *build.Build) (r *findings.Result, err error) {
	defer func() {
		if fault := recover(); fault != nil {
			r, err = nil, unit.Errorf("%s %v", ComputingFailed, fault)
		}
	}()
	return findings.Run(b, findings.Options{})
}

// ComputingFailed begins the reason when computing the findings broke off.
const ComputingFailed = "The findings could not be computed; every reading is kept. The fault:"

// tallyPass chooses the pass in hand: the one of the draft, else the last.
func (m *Model) tallyPass() {
	m.Open.Pass = ""
	for _, p := range m.Open.Build.Passes {
		m.Open.Pass = p.ID
		if p.ID == m.Bench.Pass {
			break
		}
	}
	m.Open.Tally = tallyOf(&m.Open.Fold, m.Open.Pass)
	m.Open.Done, m.Open.Undone = m.deeds()
	m.Cuts.stale, m.Turning.stale, m.Sheet.stale = true, true, true
}

// headsOf names the values of a field that are in force: the one on screen,
// and over it the others of a conflict.
func (m *Model) headsOf(path string) (base string, over []string) {
	heads := m.Open.Fold.Heads(path)
	if len(heads) == 0 {
		return "", nil
	}
	return heads[0], slices.Clone(heads[1:])
}

// otherTab loads a build again that another tab has written to.
func (m *Model) otherTab(msg OtherTab) []Effect {
	var fx []Effect
	if m.Open != nil && (msg.Build == m.Open.ID || msg.Build == "") {
		fx = append(fx, LoadBuild{Build: m.Open.ID})
	}
	if m.Station == AtBook {
		fx = append(fx, LoadBook{})
	}
	return fx
}
