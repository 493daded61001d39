package app

// New returns the state of an app that has just started.
func New() *Model { return &Model{Station: AtBook} }

// Update takes one message and returns what is to be done outside. It is a
// function of the model, the message and in; it never blocks.
func (m *Model) Update(msg Msg, in Input) []Effect {
	if t, ok := msg.(Tick); ok { // sixty times a second, and nothing else follows from it
		return m.tick(t)
	}
	if !outside(msg) {
		m.Fresh.touched, m.Notice = true, ""
	}
	panel, hand := m.Bench.Panel, m.Bench.Hand
	fx := m.dispatch(msg, in)
	m.nameHand(hand, in)
	fx = append(fx, m.followPanel(panel)...)
	fx = append(fx, m.settleCuts(in)...)
	m.planCuts()
	m.drawSection()
	m.planSheet(in)
	return append(fx, m.keepDraft()...)
}

// dispatch hands the message to the one who takes it.
func (m *Model) dispatch(msg Msg, in Input) []Effect {
	if fx, ok := m.updateCore(msg, in); ok {
		return fx
	}
	if fx, ok := m.updateSync(msg); ok {
		return fx
	}
	if fx, ok := m.updatePair(msg); ok {
		return fx
	}
	if fx, ok := m.updateSettings(msg); ok {
		return fx
	}
	if fx, ok := m.updateBook(msg, in); ok {
		return fx
	}
	if fx, ok := m.updateEngine(msg, in); ok {
		return fx
	}
	if fx, ok := m.updateBench(msg, in); ok {
		return fx
	}
	if fx, ok := m.updateFindings(msg, in); ok {
		return fx
	}
	if fx, ok := m.updateCuts(msg, in); ok {
		return fx
	}
	if fx, ok := m.updateSection(msg); ok {
		return fx
	}
	if fx, ok := m.updateSheet(msg); ok {
		return fx
	}
	return nil
}

// updateCore handles what belongs to no single station.
func (m *Model) updateCore(msg Msg, in Input) ([]Effect, bool) {
	switch msg := msg.(type) {
	case Started:
		return m.started(msg), true
	case Navigated:
		return m.navigated(msg.Hash, in), true
	case BookLoaded:
		return append(m.bookLoaded(msg, in), m.takeQuietly()...), true
	case BuildLoaded:
		return append(m.buildLoaded(msg, in), m.takeQuietly()...), true
	case Kept:
		return append(m.kept(msg, in), m.sync(false)...), true
	case NotKept:
		return m.notKept(msg), true
	case TryAgain:
		return m.tryAgain(in), true
	case GiveUp:
		return m.giveUp(in), true
	case OtherTab:
		return append(m.otherTab(msg), m.sync(false)...), true
	case Visible:
		fx := m.visible(msg, in)
		if msg.Shown {
			fx = append(fx, m.sync(false)...)
		} else {
			fx = append(fx, m.stopTurning()...)
		}
		return fx, true
	case UpdateWaiting:
		return m.updateWaiting(msg), true
	case TakeNewVersion:
		return []Effect{TakeUpdate{}}, true
	case Go:
		return []Effect{GoTo(msg)}, true
	}
	return nil, false
}

// keepDraft keeps the hand whenever it is not as it was last kept.
func (m *Model) keepDraft() []Effect {
	if m.Open == nil {
		return nil
	}
	draft := m.draft()
	if string(draft) == m.Bench.saved {
		return nil
	}
	m.Bench.saved = string(draft)
	return []Effect{SaveDraft{Build: m.Open.ID, Draft: draft}}
}

// Intents that belong to no single station.
type (
	// Go asks for another address; see Hash.
	Go struct{ Hash string }

	// TryAgain asks for a write that failed to be tried again.
	TryAgain struct{}

	// GiveUp drops a write that failed; a reading goes back into its field.
	GiveUp struct{}

	// TakeNewVersion lets the version that waits take over.
	TakeNewVersion struct{}
)

func (Go) msg()             {}
func (TryAgain) msg()       {}
func (GiveUp) msg()         {}
func (TakeNewVersion) msg() {}
