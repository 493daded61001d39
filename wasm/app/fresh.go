package app

// updateWaiting takes a new version over by itself at a cold start with
// nothing in hand; else it waits for a tap.
func (m *Model) updateWaiting(msg UpdateWaiting) []Effect {
	m.Fresh.Waiting = msg.Build
	return m.takeQuietly()
}

// takeQuietly lets a waiting version take over when nobody would notice: since
// the start nothing was tapped or typed, nothing is half-typed and nothing on
// its way to the disk. It does so once.
func (m *Model) takeQuietly() []Effect {
	switch {
	case m.Fresh.Waiting == "", m.Fresh.touched, m.Fresh.taking, !m.Ready, len(m.Save.Waiting) > 0:
		return nil
	case ParseRoute(m.wanted).Build != "" && m.Open == nil: // its draft is not known yet
		return nil
	case m.Open != nil && (m.Bench.Text != "" || len(m.Engine.Typed) > 0):
		return nil
	}
	m.Fresh.taking = true
	return []Effect{TakeUpdate{}}
}

// outside tells answers and events from what a person does.
func outside(msg Msg) bool {
	switch msg.(type) {
	case Started, Navigated, BookLoaded, BuildLoaded, Kept, NotKept, Merged, BookExported, FilePicked,
		PersistAnswer, OtherTab, CameIn, SyncTold, Paired, Online, Visible, UpdateWaiting, SectionGoOn:
		return true
	}
	return false
}
