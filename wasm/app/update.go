package app

// New returns the state of an app that has just started.
func New() *Model { return &Model{Station: AtBook} }

// Update takes one message and returns what is to be done outside. It is a
// function of the model, the message and in; it never blocks.
func (m *Model) Update(msg Msg, in Input) []Effect {
	if fx, ok := m.updateCore(msg, in); ok {
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
	return nil
}

// updateCore handles what belongs to no single station.
func (m *Model) updateCore(msg Msg, in Input) ([]Effect, bool) {
	switch msg := msg.(type) {
	case Started:
		return m.started(msg), true
	case Navigated:
		return m.navigated(msg.Hash), true
	case BookLoaded:
		return m.bookLoaded(msg), true
	case BuildLoaded:
		return m.buildLoaded(msg), true
	case Kept:
		return m.kept(msg, in), true
	case NotKept:
		return m.notKept(msg), true
	case TryAgain:
		return m.tryAgain(), true
	case OtherTab:
		return m.otherTab(msg), true
	case Visible:
		return m.visible(msg), true
	case UpdateWaiting:
		return m.updateWaiting(msg), true
	case TakeNewVersion:
		return []Effect{TakeUpdate{}}, true
	case Go:
		return []Effect{GoTo{msg.Hash}}, true
	}
	return nil, false
}

// Intents that belong to no single station.
type (
	// Go asks for another address; see Hash.
	Go struct{ Hash string }

	// TryAgain asks for a write that failed to be tried again.
	TryAgain struct{}

	// TakeNewVersion lets the version that waits take over.
	TakeNewVersion struct{}
)

func (Go) msg()             {}
func (TryAgain) msg()       {}
func (TakeNewVersion) msg() {}
